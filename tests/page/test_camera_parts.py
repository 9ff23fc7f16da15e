"""What the page's camera works out by itself: focal lengths, sharpness, light, level."""

import base64
import io
import json
from typing import Any

import numpy as np
import pytest
from PIL import Image
from scipy.ndimage import gaussian_filter

from ellwand.photo.exif import read_exif
from ellwand.photo.headers import Header
from ellwand.photo.intake import read_photo
from ellwand.photo.quality import too_dark

from .test_page_files import PAGE, run

EXIF_IFD, ORIENTATION, FOCAL_35MM = 0x8769, 0x0112, 0xA405
READ = """
    import {{ readFileSync }} from "node:fs";
    import * as part from {module};
    const given = JSON.parse(readFileSync(0, "utf8"));
    const bytes = (text) => Uint8Array.from(Buffer.from(text, "base64"));
    console.log(JSON.stringify({expression}));
"""


def told(module: str, expression: str, given: object = None) -> Any:
    """What an expression of a module comes to; `part` is the module, `given` what is given."""
    place = json.dumps((PAGE / module).as_uri())
    return run(READ.format(module=place, expression=expression), given)


def as_text(data: bytes) -> str:
    """Bytes as they are given to a script."""
    return base64.b64encode(data).decode()


def jpeg(focal: int | None = None, orientation: int | None = None, **options: Any) -> bytes:
    """A small JPEG with tags."""
    tags = Image.Exif()
    if orientation is not None:
        tags[ORIENTATION] = orientation
    if focal is not None:
        tags.get_ifd(EXIF_IFD)[FOCAL_35MM] = focal
    data = io.BytesIO()
    Image.new("RGB", (1200, 900), "gray").save(data, "JPEG", exif=tags, **options)
    return data.getvalue()


@pytest.mark.parametrize("focal", [None, 9, 10, 24, 26, 200, 201])
@pytest.mark.parametrize("orientation", [None, 6])
def test_the_page_reads_the_focal_length_that_the_service_reads(
    focal: int | None, orientation: int | None
) -> None:
    data = jpeg(focal, orientation, comment=b"before the tags")
    assert (
        told("exif.js", "part.focalOf(bytes(given))", as_text(data)) == read_photo(data).focal_35mm
    )


def test_whatever_is_wrong_with_tags_is_as_if_there_were_none() -> None:
    whole = jpeg(26, 6)
    cut = [whole[:at] for at in range(120)]
    turned = [whole[:at] + bytes([whole[at] ^ 0xFF]) + whole[at + 1 :] for at in range(120)]
    found = told(
        "exif.js",
        "given.map((one) => part.focalOf(bytes(one)))",
        [as_text(one) for one in (b"", b"\x89PNG", *cut, *turned)],
    )
    assert set(found) <= {None, 26}


@pytest.mark.parametrize("focal", [13, 26, 77])
def test_the_focal_length_that_is_written_back_is_all_that_a_photo_carries(focal: int) -> None:
    segment = base64.b64decode(
        told("exif.js", "Buffer.from(part.focalSegment(given)).toString('base64')", focal)
    )
    bare = jpeg()
    made = bare[:2] + segment + bare[2:]
    assert read_photo(made).focal_35mm == focal
    header = Header()
    header.feed(made)
    header.end()
    assert header.exif is not None
    assert read_exif(made[slice(*header.exif)]).orientation == 1
    with Image.open(io.BytesIO(made)) as photo:
        tags = photo.getexif()
        assert dict(tags.get_ifd(EXIF_IFD)) == {FOCAL_35MM: focal}
        assert set(tags) == {EXIF_IFD}


@pytest.mark.parametrize(
    ("size", "within"),
    [((4000, 3000), [2000, 1500]), ((3024, 4032), [1500, 2000]), ((1500, 2000), [1500, 2000]),
     ((640, 480), [640, 480])],
)  # fmt: skip
def test_a_photo_is_made_smaller_and_never_larger(size: tuple[int, int], within: list[int]) -> None:
    assert told("pixels.js", f"part.within({size[0]}, {size[1]}, part.LONG_SIDE_PX)") == within


def rgba(grey: np.ndarray) -> list[int]:
    """Pixels as a canvas gives them."""
    shown = np.clip(np.rint(grey), 0, 255).astype(int)
    return np.stack([shown, shown, shown, np.full_like(shown, 255)], axis=-1).ravel().tolist()


def test_the_less_a_photo_is_blurred_the_sharper_it_is() -> None:
    scene = np.random.default_rng(20261127).uniform(0, 255, (40, 60))
    pictures = [rgba(gaussian_filter(scene, blur)) for blur in (0.5, 0.8, 1.2, 2.0, 4.0)]
    sharp = told("pixels.js", "given.map((one) => part.sharpness(one, 60, 40))", pictures)
    assert sharp == sorted(sharp, reverse=True)
    assert told("pixels.js", "part.sharpness(given, 60, 40)", rgba(np.full((40, 60), 90))) == 0


def test_sharpness_is_the_variance_of_a_laplacian() -> None:
    scene = np.random.default_rng(1).integers(0, 256, (7, 9)).astype(float)
    inner = scene[1:-1, 1:-1]
    laplacian = scene[:-2, 1:-1] + scene[2:, 1:-1] + scene[1:-1, :-2] + scene[1:-1, 2:] - 4 * inner
    found = told("pixels.js", "part.sharpness(given, 9, 7)", rgba(scene))
    assert found == pytest.approx(laplacian.var())


@pytest.mark.parametrize("brightness", [20, 55, 65, 200])
def test_it_is_dark_where_the_service_would_call_it_dark(brightness: int) -> None:
    grey = np.full((48, 64), brightness, np.uint8)
    dark = told("light.js", "part.dark(given)", rgba(grey))
    assert dark == too_dark(np.repeat(grey[:, :, None], 3, axis=2))


@pytest.mark.parametrize(
    ("beta", "gamma", "turn", "back", "roll", "pitch"),
    [
        (90, 0, 0, False, 0, 0),
        # Its top leans away from the one who looks at the screen: the rear camera looks down.
        (70, 0, 0, False, 0, -20),
        (70, 0, 0, True, 0, 20),
        (110, 0, 0, False, 0, 20),
        # Lying on its left side, with the screen turned along.
        (0, -90, 90, False, 0, 0),
        (0, 90, -90, False, 0, 0),
    ],
)
def test_how_a_camera_is_tilted(
    beta: float, gamma: float, turn: float, back: bool, roll: float, pitch: float
) -> None:
    found = told("level.js", f"part.tilted({beta}, {gamma}, {turn}, {json.dumps(back)})")
    assert found["roll"] == pytest.approx(roll, abs=1e-6)
    assert found["pitch"] == pytest.approx(pitch, abs=1e-6)


def test_a_roll_is_seen_whatever_the_pitch() -> None:
    words = told("level.js", "part.levelWords({ roll: 10, pitch: 0 })")
    assert words == "The phone is tilted: turn it 10°."
    straight = told("level.js", "part.levelWords({ roll: -3.9, pitch: 5.9 })")
    assert straight == "The phone stands straight."
    both = told("level.js", "part.levelWords({ roll: -5, pitch: 8 })")
    assert both == "The phone is tilted: turn it 5°, and tip its top 8° towards you."
