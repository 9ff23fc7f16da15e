"""A photo file becomes upright pixels and one number; nothing else of the file is kept."""

import io
import warnings
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps, UnidentifiedImageError

from ellwand.errors import PhotoProblem

# Own limits: phones make up to 50 megapixels; below, the outline is too coarse (judged).
MOST_PIXELS = 50_000_000
LEAST_LONG_SIDE_PX = 1000
# Long side of the copy in which things are searched for; edges are refined in the full photo.
WORKING_LONG_SIDE_PX = 2000

_EXIF_IFD = 0x8769
_FOCAL_LENGTH_IN_35MM_FILM = 0xA405
_HEIC_BRANDS = (b"heic", b"heix", b"hevc", b"mif1", b"msf1", b"heim", b"heis", b"avif")


@dataclass(frozen=True, eq=False)
class Photo:
    """An upright photo in memory.

    Args:
        rgb: pixels, (height, width, 3), uint8.
        focal_35mm: focal length that the camera wrote, as 35 mm equivalent; None when unknown.
    """

    rgb: NDArray[np.uint8]
    focal_35mm: float | None

    @property
    def width_px(self) -> int:
        """Width of the upright photo."""
        return int(self.rgb.shape[1])

    @property
    def height_px(self) -> int:
        """Height of the upright photo."""
        return int(self.rgb.shape[0])


def read_photo(data: bytes) -> Photo:
    """Decode a JPEG or PNG, turn it upright and drop all that came with it.

    Args:
        data: the file's bytes.

    Returns:
        The pixels and the focal length.

    Raises:
        PhotoProblem: not a JPEG or PNG, damaged, too large or too small.

    Source: orientation and focal length are Exif tags 0x0112 and 0xA405.
    """
    if data[4:8] == b"ftyp" and data[8:12] in _HEIC_BRANDS:
        raise PhotoProblem(
            "heic",
            "This photo is in the HEIC format, which ellwand does not open.",
            "Set the phone's camera to the most compatible format (JPEG) and take it again, "
            "or send the photo to yourself as a JPEG.",
        )
    try:
        with warnings.catch_warnings():
            # Our own limit comes first; Pillow's warning about the same thing is not needed.
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(data), formats=("JPEG", "PNG")) as image:
                _check_size(image.size)
                focal = _focal_35mm(image)
                # Each copy of a large photo costs as much as a look for a body.
                ImageOps.exif_transpose(image, in_place=True)
                rgb = _rgb(image)
    except PhotoProblem:
        raise
    except Image.DecompressionBombError as error:
        raise _too_large() from error
    except UnidentifiedImageError as error:
        raise PhotoProblem(
            "not-a-photo",
            "This file is not a JPEG or PNG photo.",
            "Choose the photo itself, as the phone's camera made it.",
        ) from error
    except (OSError, SyntaxError, ValueError) as error:
        raise PhotoProblem(
            "damaged",
            "This photo file is damaged or not complete.",
            "Copy it from the phone again, or take the photo again.",
        ) from error
    rgb.flags.writeable = False
    return Photo(rgb=rgb, focal_35mm=focal)


def _rgb(image: Image.Image) -> NDArray[np.uint8]:
    if image.mode.startswith("I"):
        # Pillow cuts 16 bits of grey off at 255; full brightness is 65535.
        grey = (np.asarray(image, dtype=np.float32) / 257).round().astype(np.uint8)
        return np.repeat(grey[:, :, None], 3, axis=2)
    return np.asarray(image if image.mode == "RGB" else image.convert("RGB"), np.uint8)


def _too_large() -> PhotoProblem:
    return PhotoProblem(
        "too-large",
        "This photo has more than 50 million pixels.",
        "Set the camera to an ordinary size, 8 to 12 megapixels, and take it again.",
    )


def _check_size(size: tuple[int, int]) -> None:
    width, height = size
    if width * height > MOST_PIXELS:
        raise _too_large()
    if max(width, height) < LEAST_LONG_SIDE_PX:
        raise PhotoProblem(
            "too-small",
            "This photo is too small to measure in.",
            "Use the photo as the camera made it, not a preview or a copy from a messenger; "
            "its longer side must have at least 1000 pixels.",
        )


def _focal_35mm(image: Image.Image) -> float | None:
    try:
        value: Any = image.getexif().get_ifd(_EXIF_IFD).get(_FOCAL_LENGTH_IN_35MM_FILM)
        focal = float(value)
    except Exception:
        return None
    # 0 means unknown (Exif); outside these limits it is no phone's main camera.
    return focal if 10 <= focal <= 200 else None
