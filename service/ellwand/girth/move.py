"""What a hand moves on the picture of a photo, and how sure it is of that."""

from dataclasses import dataclass
from typing import Literal

from ellwand.measurements import LevelCode

MovedPart = Literal["height", "left", "right"]

# How well a finger or a mouse is put where the eye wants it: 2 CSS pixels (judged). On a picture of
# 1.8 m in 450 such pixels, the smallest that a phone shows, that is 8 mm; who knows the picture
# better says so, within limits beyond which it is no hand.
POINTING_CSS_PX, HAND_U_MM = 2.0, 8.0
LEAST_U_MM, MOST_U_MM = 0.5, 50.0
# Farther than this no line is off on photos that were not refused (judged).
MOST_UP_MM, MOST_OUT_MM = 150.0, 80.0


@dataclass(frozen=True)
class Move:
    """One thing that was moved.

    Args:
        view: the photo in which it was moved.
        level: whose line.
        part: the whole line up or down, or its end on the left or the right of the photo.
        by_mm: how far: up, or away from the middle of the body.
        u_mm: standard uncertainty of where the hand put it.
    """

    view: Literal["front", "side"]
    level: LevelCode
    part: MovedPart
    by_mm: float
    u_mm: float
