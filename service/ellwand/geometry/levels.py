"""The heights at which the body is measured, read from its two profiles.

Each level is looked for where it is on most women and taken where the outline itself shows it; a
level that the outline does not show falls back to the usual place, with the doubt of people's
variety. Usual places are fractions of the stature.

Source of the fractions: ANSUR II women (bust point height, armpit height, tenth rib and hip bone
heights, buttock height over stature), computed from the public survey.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ellwand.geometry.profile import STEP_MM, Profile
from ellwand.measurements import LevelCode

FloatArray = NDArray[np.float64]

HIGH_HIP_BELOW_WAIST_MM = 90.0


@dataclass(frozen=True)
class Usual:
    """Where a level is on most women, as a fraction of the stature.

    Args:
        mean: mean of the fraction.
        sd: its standard deviation.
    """

    mean: float
    sd: float


# Waist: middle between tenth rib and hip bone (iliac crest) heights.
USUAL: dict[str, Usual] = {
    "high_bust": Usual(0.7607, 0.0091),
    "full_bust": Usual(0.7193, 0.0139),
    "waist": Usual(0.6300, 0.0112),
    "full_hip": Usual(0.5117, 0.0154),
}
_REACH_SD = 3.5
# The fold below the bust lies this far below the bust point, as fractions of stature (judged).
_UNDERBUST_BELOW = (0.02, 0.075)


@dataclass(frozen=True)
class Level:
    """Where a level was found.

    Args:
        height_mm: over the floor.
        u_mm: standard uncertainty of the height.
        shown: whether the outline itself shows it.
    """

    height_mm: float
    u_mm: float
    shown: bool


# Standard uncertainty of a level that the outline shows, mm; see calibration/README.md.
_SHOWN_U_MM = {
    "full_bust": 8.0,
    "underbust": 10.0,
    "waist": 10.0,
    "full_hip": 12.0,
}


def find_levels(front: Profile, side: Profile, stature_mm: float) -> dict[LevelCode, Level]:
    """Find the six levels.

    Args:
        front: from the front: trunk only.
        side: from the side, `high` towards where she faces.
        stature_mm: her height.

    Returns:
        All six levels by code.
    """
    bust = _shown("full_bust", side, stature_mm, lambda at: side.high_mm[at], np.argmax)
    underbust = _fold(side, bust, stature_mm)
    waist = _shown("waist", front, stature_mm, lambda at: front.extent_mm[at], np.argmin)
    hip = _shown("full_hip", side, stature_mm, lambda at: side.low_mm[at], np.argmin)
    return {
        "high_bust": _usual("high_bust", stature_mm),
        "full_bust": bust,
        "underbust": underbust,
        "waist": waist,
        "high_hip": Level(waist.height_mm - HIGH_HIP_BELOW_WAIST_MM, waist.u_mm, waist.shown),
        "full_hip": hip,
    }


def _usual(code: str, stature_mm: float) -> Level:
    usual = USUAL[code]
    return Level(usual.mean * stature_mm, usual.sd * stature_mm, shown=False)


def _shown(
    code: str,
    seen: Profile,
    stature_mm: float,
    values: Callable[[NDArray[np.int64]], FloatArray],
    extreme: Callable[[FloatArray], np.intp],
) -> Level:
    """The extreme of an outline near a level's usual place, if it is one and no rim of the search."""
    usual = USUAL[code]
    reach = _REACH_SD * usual.sd
    at = seen.between((usual.mean - reach) * stature_mm, (usual.mean + reach) * stature_mm)
    if len(at) < 10:
        return _usual(code, stature_mm)
    found = int(extreme(values(at)))
    if found < 2 or found > len(at) - 3:
        return _usual(code, stature_mm)
    return Level(float(seen.heights_mm[at[found]]), _SHOWN_U_MM[code], shown=True)


def _fold(side: Profile, bust: Level, stature_mm: float) -> Level:
    """The inward turn below the bust: where the front outline bends most inward of a chord."""
    nearest, farthest = (fraction * stature_mm for fraction in _UNDERBUST_BELOW)
    chord_end = bust.height_mm - 1.6 * farthest
    at = side.between(chord_end, bust.height_mm)
    middle = bust.height_mm - (nearest + farthest) / 2
    fallback = Level(middle, (farthest - nearest) / np.sqrt(12), shown=False)
    if len(at) < (farthest / STEP_MM):
        return fallback
    heights, front = side.heights_mm[at], side.high_mm[at]
    chord = np.interp(heights, heights[[0, -1]], front[[0, -1]])
    inward = chord - front
    allowed = (heights <= bust.height_mm - nearest) & (heights >= bust.height_mm - farthest)
    if not allowed.any():
        return fallback
    best = int(np.argmax(np.where(allowed, inward, -np.inf)))
    if inward[best] < 1.0:
        return fallback
    return Level(float(heights[best]), _SHOWN_U_MM["underbust"], shown=True)
