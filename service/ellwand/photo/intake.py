"""A photo file becomes upright pixels and one number; nothing else of the file is kept."""

import io
import warnings
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, UnidentifiedImageError

from ellwand.photo import files
from ellwand.photo.exif import read_exif
from ellwand.photo.headers import Header

# Long side of the copy in which things are searched for; edges are refined in the full photo.
WORKING_LONG_SIDE_PX = 2000

# What has to be done to the stored picture. Source: Exif 2.32, tag 0x0112.
_TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}


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
        PhotoProblem: not a JPEG or PNG, damaged, stored as no camera does it, too large or too
            small.
    """
    header = Header()
    header.feed(data)
    header.end()
    exif = read_exif(data[slice(*header.exif)] if header.exif else b"")
    # A decoder gets no more of the file than it needs: no texts, profiles or tags to unpack.
    pixels = b"".join(data[start:end] for start, end in header.needed)
    try:
        with warnings.catch_warnings():
            # Our own limit comes first; Pillow's warning about the same thing is not needed.
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(pixels), formats=("JPEG", "PNG")) as image:
                files.check_size(*image.size)
                rgb = _rgb(_upright(image, exif.orientation))
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError) as error:
        raise files.damaged() from error
    rgb.flags.writeable = False
    return Photo(rgb=rgb, focal_35mm=exif.focal_35mm)


def _upright(image: Image.Image, orientation: int) -> Image.Image:
    # Each copy of a large photo costs as much as a look for a body.
    turn = _TURNS.get(orientation)
    return image if turn is None else image.transpose(turn)


def _rgb(image: Image.Image) -> NDArray[np.uint8]:
    if image.mode.startswith("I"):
        # Pillow cuts 16 bits of grey off at 255; full brightness is 65535.
        grey = (np.asarray(image) >> 8).astype(np.uint8)
        return np.repeat(grey[:, :, None], 3, axis=2)
    return np.asarray(image if image.mode == "RGB" else image.convert("RGB"), np.uint8)
