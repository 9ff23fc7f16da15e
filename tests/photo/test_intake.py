"""What kinds of file come in, and what comes out of them."""

import io
import struct
import zlib

import numpy as np
import pytest
from PIL import Image

from ellwand.errors import PhotoProblem
from ellwand.photo.files import LEAST_LONG_SIDE_PX, MOST_PIXELS
from ellwand.photo.intake import read_photo

ORIENTATION, EXIF_IFD, FOCAL_35MM, GPS_IFD, MAKER = 0x0112, 0x8769, 0xA405, 0x8825, 0x010F

# Four plain quarters tell all eight ways apart: red upper left, green upper right, blue lower left.
RED, GREEN, BLUE, WHITE = (255, 0, 0), (0, 255, 0), (0, 0, 255), (255, 255, 255)
QUARTERS = {(0, 0): RED, (0, 1): GREEN, (1, 0): BLUE, (1, 1): WHITE}


def upright(width=600, height=1000):
    rgb = np.zeros((height, width, 3), np.uint8)
    for (down, across), colour in QUARTERS.items():
        rows = slice(down * height // 2, (down + 1) * height // 2)
        rgb[rows, across * width // 2 : (across + 1) * width // 2] = colour
    return rgb


def file_of(rgb, kind="PNG", **options):
    picture = Image.fromarray(rgb) if isinstance(rgb, np.ndarray) else rgb
    out = io.BytesIO()
    picture.save(out, kind, **options)
    return out.getvalue()


def exif(orientation=None, focal=None):
    tags = Image.Exif()
    tags[MAKER] = "Invented"
    if orientation is not None:
        tags[ORIENTATION] = orientation
    if focal is not None:
        tags.get_ifd(EXIF_IFD)[FOCAL_35MM] = focal
    return tags


def problem_of(data):
    with pytest.raises(PhotoProblem) as caught:
        read_photo(data)
    assert caught.value.sentence.endswith(".")
    assert caught.value.advice.endswith(".")
    return caught.value.code


# Which side of the upright picture the stored first row and first column are.
# Source: Exif 2.32, tag 0x0112.
FIRST_ROW_AND_COLUMN = {
    1: ("top", "left"),
    2: ("top", "right"),
    3: ("bottom", "right"),
    4: ("bottom", "left"),
    5: ("left", "top"),
    6: ("right", "top"),
    7: ("right", "bottom"),
    8: ("left", "bottom"),
}


def stored(rgb, orientation):
    sides = FIRST_ROW_AND_COLUMN[orientation]
    rgb = rgb[::-1] if "bottom" in sides else rgb
    rgb = rgb[:, ::-1] if "right" in sides else rgb
    lying = sides[0] in ("left", "right")
    return np.ascontiguousarray(rgb.swapaxes(0, 1) if lying else rgb)


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
@pytest.mark.parametrize("orientation", FIRST_ROW_AND_COLUMN)
def test_every_orientation_gives_the_same_upright_picture(orientation, kind):
    photo = read_photo(file_of(stored(upright(), orientation), kind, exif=exif(orientation)))
    assert (photo.width_px, photo.height_px) == (600, 1000)
    # JPEG changes colours a little; the middles of the quarters are far from any edge.
    for (down, across), colour in QUARTERS.items():
        middle = photo.rgb[250 + 500 * down, 150 + 300 * across].astype(int)
        assert np.abs(middle - colour).max() < 10


@pytest.mark.parametrize("orientation", [0, 9, 255])
def test_an_orientation_that_does_not_exist_leaves_the_picture_as_it_is(orientation):
    photo = read_photo(file_of(upright(), exif=exif(orientation)))
    assert np.array_equal(photo.rgb, upright())


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
@pytest.mark.parametrize(
    ("written", "read"),
    [
        (26, 26.0),
        (10, 10.0),
        (200, 200.0),
        (None, None),
        # Exif: 0 is unknown.
        (0, None),
        # No phone's main camera.
        (9, None),
        (201, None),
    ],
)
def test_the_focal_length_is_read_when_it_can_be_one(kind, written, read):
    assert read_photo(file_of(upright(), kind, exif=exif(focal=written))).focal_35mm == read


def test_nothing_else_of_the_file_is_kept():
    tags = exif(6, 26)
    tags.get_ifd(GPS_IFD)[2] = (52.0, 31.0, 0.0)
    photo = read_photo(file_of(upright(), "JPEG", exif=tags, comment=b"invented comment"))
    assert set(vars(photo)) == {"rgb", "focal_35mm"}
    assert type(photo.rgb) is np.ndarray
    assert type(photo.focal_35mm) is float


def test_pixels_cannot_be_changed_afterwards():
    photo = read_photo(file_of(upright()))
    with pytest.raises(ValueError, match="read-only"):
        photo.rgb[0, 0] = 0


def grey(mode, value):
    return Image.new(mode, (600, 1000), value)


@pytest.mark.parametrize(
    ("picture", "kind", "colour"),
    [
        (grey("L", 200), "PNG", (200, 200, 200)),
        (grey("1", 1), "PNG", (255, 255, 255)),
        (grey("RGBA", (10, 20, 30, 255)), "PNG", (10, 20, 30)),
        (grey("LA", (40, 255)), "PNG", (40, 40, 40)),
        (grey("RGB", (10, 20, 30)).convert("P", palette=Image.Palette.ADAPTIVE), "PNG",
         (10, 20, 30)),
        (grey("L", 200), "JPEG", (200, 200, 200)),
        (grey("CMYK", (0, 255, 255, 0)), "JPEG", (255, 0, 0)),
    ],
    ids=["grey", "black and white", "alpha", "grey with alpha", "palette", "grey JPEG", "CMYK"],
)  # fmt: skip
def test_every_way_to_store_colours_comes_out_as_8_bit_rgb(picture, kind, colour):
    rgb = read_photo(file_of(picture, kind)).rgb
    assert (rgb.dtype, rgb.shape) == (np.uint8, (1000, 600, 3))
    assert np.abs(rgb.reshape(-1, 3).astype(int) - colour).max() <= 3


def test_sixteen_bits_of_grey_keep_their_brightness():
    """Half of full brightness is half of it, however many bits it is written in."""
    half = Image.fromarray(np.full((1000, 600), 32896, np.uint16))
    rgb = read_photo(file_of(half)).rgb
    assert np.abs(rgb.astype(int) - 128).max() <= 1


def two_pictures(kind):
    first, second = (Image.new("RGB", (600, 1000), colour) for colour in (RED, BLUE))
    return file_of(first, kind, save_all=True, append_images=[second])


def test_an_animated_picture_is_no_photo():
    assert problem_of(two_pictures("PNG")) == "not-from-a-camera"


def test_of_the_two_pictures_that_some_phones_write_the_first_is_taken():
    data = two_pictures("MPO")
    assert np.abs(read_photo(data).rgb.astype(int) - RED).max() <= 1


@pytest.mark.parametrize("brand", [b"heic", b"heix", b"mif1", b"avif"])
def test_heic_is_told_by_its_name_and_with_a_way_out(brand):
    data = struct.pack(">I", 24) + b"ftyp" + brand + bytes(1000)
    assert problem_of(data) == "heic"


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "not-a-photo"),
        (b"\x00", "not-a-photo"),
        (b"A letter, and not a picture of one.\n" * 40, "not-a-photo"),
        (b"%PDF-1.7\n" + bytes(400), "not-a-photo"),
        (file_of(upright(), "GIF"), "not-a-photo"),
        (file_of(upright(), "TIFF"), "not-a-photo"),
        (file_of(upright(), "WEBP"), "not-a-photo"),
        # The first bytes of the two formats, and nothing after them.
        (b"\xff\xd8\xff", "damaged"),
        (b"\x89PNG\r\n\x1a\n", "damaged"),
    ],
    ids=["empty", "one byte", "text", "PDF", "GIF", "TIFF", "WebP", "JPEG start", "PNG start"],
)
def test_what_is_no_jpeg_or_png_is_refused(data, code):
    assert problem_of(data) == code


def noisy():
    return np.random.default_rng(1).integers(0, 256, (1000, 600, 3), np.uint8)


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
@pytest.mark.parametrize("share", [0.02, 0.3, 0.9, 0.999])
def test_a_file_that_was_cut_short_is_damaged(kind, share):
    data = file_of(noisy(), kind)
    assert problem_of(data[: int(len(data) * share)]) == "damaged"


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_whatever_is_written_over_a_file_it_opens_or_is_a_problem(kind):
    """Never another error: 60 files, each with 40 bytes of something else in it."""
    whole = file_of(upright(), kind, exif=exif(6, 26))
    rng = np.random.default_rng(5)
    codes = set()
    for _ in range(60):
        data = bytearray(whole)
        at = int(rng.integers(len(data) - 40))
        data[at : at + 40] = rng.bytes(40)
        try:
            assert read_photo(bytes(data)).rgb.dtype == np.uint8
        except PhotoProblem as problem:
            codes.add(problem.code)
    assert codes <= {"damaged", "not-a-photo", "not-from-a-camera", "too-large", "too-small"}


TAGS = exif(focal=26).tobytes()


@pytest.mark.parametrize("at", range(0, len(TAGS) - 4, 5))
def test_damaged_exif_costs_the_focal_length_at_most(at):
    assert read_photo(file_of(upright(), "JPEG", exif=TAGS)).focal_35mm == 26
    tags = bytearray(TAGS)
    tags[at : at + 4] = b"\xff\xfe\xfd\xfc"
    photo = read_photo(file_of(upright(), "JPEG", exif=bytes(tags)))
    assert photo.rgb.shape == (1000, 600, 3)
    assert photo.focal_35mm in (None, 26)


def png_header(width, height):
    """A PNG that claims a size and holds hardly a pixel of it."""

    def chunk(name, body):
        return struct.pack(">I", len(body)) + name + body + struct.pack(
            ">I", zlib.crc32(name + body))  # fmt: skip

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(
        b"IDAT", zlib.compress(bytes(100))) + chunk(b"IEND", b"")  # fmt: skip


@pytest.mark.parametrize(
    "size",
    [
        (MOST_PIXELS // 5000 + 1, 5000),
        # The largest that phones write, 200 million pixels.
        (12_240, 16_320),
        (100_000, 100_000),
    ],
)
def test_a_huge_picture_is_refused_by_its_header_alone(size):
    # There are no pixels in it: had they been asked for, it would be damaged.
    assert problem_of(png_header(*size)) == "too-large"


def test_just_fifty_million_pixels_are_not_too_many():
    # The size passes, and then the pixels are missing.
    assert problem_of(png_header(MOST_PIXELS // 5000, 5000)) == "damaged"


@pytest.mark.parametrize(
    ("size", "fits"),
    [
        ((LEAST_LONG_SIDE_PX, 40), True),
        ((40, LEAST_LONG_SIDE_PX), True),
        ((LEAST_LONG_SIDE_PX - 1, LEAST_LONG_SIDE_PX - 1), False),
        ((1, 1), False),
    ],
)
def test_the_longer_side_decides_whether_a_photo_is_too_small(size, fits):
    data = file_of(Image.new("RGB", size))
    if fits:
        assert read_photo(data).rgb.shape[:2] == size[::-1]
    else:
        assert problem_of(data) == "too-small"
