"""A woman of simple shapes whose outline is known everywhere.

Millimetres from the top of her head, x right as seen in the photo, y down; 1650 mm tall.
"""

from dataclasses import dataclass
from functools import cached_property

import cv2
import numpy as np
from numpy.typing import NDArray

from ellwand.photo.body import LANDMARKS, Body
from ellwand.photo.reference import mapped
from tests.photo.drawing import FloatArray, paint, turned

STATURE_MM = 1650.0
AROUND = np.array([[-700, -20], [700, -20], [700, 1670], [-700, 1670]], dtype=np.float64)
CLOTHES, SKIN = 0.06, 0.22
ARM_DEG, ARM_RADIUS_MM, ARM_MM = 55.0, 40.0, 560.0
SHOULDER = np.array([150.0, 310.0])
HIP_Y, CROTCH_Y = 800.0, 880.0


def half_breadth_mm(y: FloatArray) -> FloatArray:
    """Half of the trunk's breadth: 150 mm, drawn in to 120 at the waist (630), 175 at the hips."""
    waist = -30 * np.exp(-(((y - 630) / 90) ** 2))
    hips = 25 * np.exp(-(((y - 820) / 110) ** 2))
    return np.asarray(150 + waist + hips, dtype=np.float64)


def armpit_y() -> float:
    """Where the lower edge of an arm meets the trunk's side, 150 mm from the middle."""
    angle = np.radians(ARM_DEG)
    # The lower edge runs parallel to the arm, one radius below it.
    start = SHOULDER + ARM_RADIUS_MM * np.array([-np.cos(angle), np.sin(angle)])
    return float(start[1] + (150 - start[0]) * np.cos(angle) / np.sin(angle))


def _arm(points: FloatArray) -> NDArray[np.bool_]:
    """Both arms are the same, mirrored."""
    angle = np.radians(ARM_DEG)
    along = np.array([np.sin(angle), np.cos(angle)])
    from_shoulder = np.abs(points * [1, 0]) + points * [0, 1] - SHOULDER
    reach = np.clip(from_shoulder @ along, 0, ARM_MM)
    return np.asarray(
        np.linalg.norm(from_shoulder - reach[:, None] * along, axis=1) < ARM_RADIUS_MM
    )


def shade(points: FloatArray) -> FloatArray:
    """Light of the figure at points (n, 2); NaN beside it."""
    x, y = np.abs(points[:, 0]), points[:, 1]
    head = (x / 75) ** 2 + ((y - 110) / 110) ** 2 < 1
    neck = (x < 50) & (y > 150) & (y < 290)
    trunk = (x < half_breadth_mm(y)) & (y > 270) & (y < CROTCH_Y)
    leg = (np.abs(x - 75) < 65 - 20 * (y - CROTCH_Y) / 720) & (y >= CROTCH_Y) & (y < 1600)
    foot = (np.abs(x - 80) < 45) & (y >= 1600) & (y < STATURE_MM)
    skin = head | neck | _arm(points) | foot
    light = np.where(trunk | leg, CLOTHES, np.where(skin, SKIN, np.nan))
    return np.asarray(light, dtype=np.float64)


def _places() -> dict[str, FloatArray]:
    angle = np.radians(ARM_DEG)
    along = np.array([np.sin(angle), np.cos(angle)])
    right = {
        "eye": np.array([32.0, 109.0]),
        "ear": np.array([74.0, 115.0]),
        "shoulder": SHOULDER,
        "elbow": SHOULDER + 0.5 * ARM_MM * along,
        "wrist": SHOULDER + 0.9 * ARM_MM * along,
        "index": SHOULDER + ARM_MM * along,
        "hip": np.array([85.0, HIP_Y]),
        "knee": np.array([75.0, 1200.0]),
        "ankle": np.array([75.0, 1570.0]),
        "heel": np.array([75.0, 1610.0]),
        "toe": np.array([85.0, 1645.0]),
    }
    # Her left is on the right of the photo.
    both = {f"left_{part}": xy for part, xy in right.items()}
    both |= {f"right_{part}": xy * [-1, 1] for part, xy in right.items()}
    return {"nose": np.array([0.0, 130.0]), **both}


@dataclass(frozen=True, eq=False)
class Figure:
    """The figure in a photo.

    Args:
        size: height and width of the photo.
        to_photo: (3, 3) homography from millimetres to pixels.
    """

    size: tuple[int, int]
    to_photo: FloatArray

    @classmethod
    def standing(cls, size: tuple[int, int], px_per_mm: float, x: float, y: float) -> "Figure":
        """Upright, with the top of her head at a pixel."""
        return cls(size, turned(0, px_per_mm, x, y))

    def paint_into(self, light: FloatArray) -> None:
        """Paint her into a picture of light."""
        paint(light, shade, AROUND, self.to_photo)

    @cached_property
    def cover(self) -> FloatArray:
        """How much of each pixel she covers, (height, width)."""
        cover = np.zeros(self.size)
        paint(cover, lambda points: np.where(np.isnan(shade(points)), np.nan, 1.0), AROUND,
              self.to_photo)  # fmt: skip
        return cover

    def body(self, mask_blur_px: float = 3.0, mask_shift_px: float = 0.0) -> Body:
        """What a pose library would find: landmarks, and a soft mask that may lie aside."""
        moved = np.array([[1, 0, mask_shift_px], [0, 1, 0]], dtype=np.float64)
        mask = cv2.warpAffine(
            cv2.GaussianBlur(self.cover, (0, 0), mask_blur_px), moved, (self.size[1], self.size[0])
        )
        marks = {
            name: (float(seen[0]), float(seen[1]))
            for name, seen in (
                (name, mapped(self.to_photo, xy[None])[0]) for name, xy in _places().items()
            )
        }
        return Body(marks, dict.fromkeys(LANDMARKS, 0.99), mask.astype(np.float32), 0.0)
