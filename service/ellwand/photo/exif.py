"""The two numbers that are wanted of what the camera wrote: which way is up, and the lens.

Source: Exif 2.32 (JEITA CP-3451), a TIFF 6.0 file with its tags.
"""

import struct
from dataclasses import dataclass

_EXIF_IFD = 0x8769
_ORIENTATION = 0x0112
_FOCAL_LENGTH_IN_35MM_FILM = 0xA405
# Cameras write far fewer (judged).
_MOST_TAGS = 500


@dataclass(frozen=True)
class Exif:
    """What the camera wrote.

    Args:
        orientation: 1 to 8 as in Exif; 1, upright, when it is not known.
        focal_35mm: focal length as 35 mm equivalent, or None when it is not known.
    """

    orientation: int = 1
    focal_35mm: float | None = None


def read_exif(block: bytes) -> Exif:
    """Read an Exif block; whatever is wrong with it is as if it were not there.

    Args:
        block: from its byte order on.

    Returns:
        The two numbers.
    """
    order = {b"II*\0": "<", b"MM\0*": ">"}.get(block[:4])
    if order is None:
        return Exif()
    try:
        main = _tags(block, order, struct.unpack_from(order + "I", block, 4)[0])
        orientation, focal = main.get(_ORIENTATION, 1), 0
        if _EXIF_IFD in main:
            focal = _tags(block, order, main[_EXIF_IFD]).get(_FOCAL_LENGTH_IN_35MM_FILM, 0)
    except struct.error:
        return Exif()
    # 0 means unknown (Exif); outside these limits it is no phone's main camera.
    return Exif(
        orientation if 1 <= orientation <= 8 else 1, float(focal) if 10 <= focal <= 200 else None
    )


def _tags(block: bytes, order: str, at: int) -> dict[int, int]:
    """Tags of one directory that hold one whole number; of several of a name, the first."""
    (count,) = struct.unpack_from(order + "H", block, at)
    tags: dict[int, int] = {}
    for n in range(min(count, _MOST_TAGS)):
        entry = at + 2 + 12 * n
        if entry + 12 > len(block):
            break
        tag, kind, values = struct.unpack_from(order + "HHI", block, entry)
        # 3 is a short, 4 a long.
        if kind in (3, 4) and values == 1:
            letter = "H" if kind == 3 else "I"
            tags.setdefault(tag, struct.unpack_from(order + letter, block, entry + 8)[0])
    return tags
