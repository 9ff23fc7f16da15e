"""An object of known size in a photo, and the small geometry that finding it needs.

Every kind comes out the same: a rectangle of known size and its four corners in the photo.
"""

from dataclasses import dataclass
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
ReferenceKind = Literal["marker-sheets", "plain-sheets", "id-card", "stature"]


@dataclass(frozen=True, eq=False)
class ReferenceObject:
    """A rectangle of known size seen in a photo.

    Args:
        name: "sheet 1", "sheet 2", "sheet" or "card".
        width_mm: extent across, as it hangs.
        height_mm: extent up, as it hangs.
        corners_px: (4, 2) upper left, upper right, lower right, lower left.
        u_px: standard uncertainty of a corner coordinate.
    """

    name: str
    width_mm: float
    height_mm: float
    corners_px: FloatArray
    u_px: float


@dataclass(frozen=True)
class Search:
    """What a search for reference objects brought.

    Args:
        objects: those found whole, from the top down.
        hidden: how many were seen in part only.
    """

    objects: tuple[ReferenceObject, ...]
    hidden: int


def resized(rgb: NDArray[np.uint8], scale: float) -> NDArray[np.uint8]:
    """The working copy of a photo.

    Args:
        rgb: (height, width, 3).
        scale: its size as a fraction of the photo's.
    """
    if scale == 1:
        return rgb
    return np.asarray(
        cv2.resize(rgb, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA), np.uint8
    )


def rectangle(width: float, height: float) -> FloatArray:
    """Corners (4, 2) of an upright rectangle: upper left, upper right, lower right, lower left."""
    return np.array([[0, 0], [width, 0], [width, height], [0, height]], dtype=np.float64)


def mapped(homography: FloatArray, points: FloatArray) -> FloatArray:
    """Points (n, 2) moved by a homography (3, 3)."""
    return np.asarray(cv2.perspectiveTransform(points[None], homography)[0], dtype=np.float64)


def in_photo(working_px: FloatArray, scale: float) -> FloatArray:
    """Working pixels as pixels of the photo; both count from the first pixel's centre.

    Args:
        working_px: any shape.
        scale: size of the working copy as a fraction of the photo's.
    """
    return (working_px + 0.5) / scale - 0.5
