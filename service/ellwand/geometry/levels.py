"""The heights at which the body is measured, read from its two profiles.

Each level is where its definition says, sought within the heights at which women have it: the
foremost and the hindmost place of the side outline, the inward turn below the bust, the least
breadth seen from the front. Where an outline shows no such place the usual height is taken and said
to be not shown. Windows and usual heights are fractions of the stature.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.signal import find_peaks

from ellwand.geometry.profile import Profile
from ellwand.measurements import LevelCode

FloatArray = NDArray[np.float64]

HIGH_HIP_BELOW_WAIST_MM = 90.0

# Windows hold the means of ANSUR II women (chest 0.719, middle of tenth rib and hip bone 0.630,
# buttock 0.512, armpit 0.761) to about four standard deviations either way.
_BUST_LOWEST, _BUST_OVER_ARMPIT_MM = 0.655, 10.0
_SEAT_WINDOW = (0.465, 0.575)
_WAIST_WINDOW = (0.585, 0.695)
_ARMPIT_WINDOW = (0.68, 0.82)
_USUAL_ARMPIT, _USUAL_BUST, _USUAL_WAIST, _USUAL_SEAT = 0.757, 0.715, 0.630, 0.513
# The fold below the bust lies so far under it, over the stature (body model: 0.025).
_USUAL_FOLD_BELOW_BUST = 0.025
# A bulge must stand out by this much to be taken for the bust (judged).
_LEAST_BULGE_MM = 1.0
# A least breadth this near to the end of its window is no waist but the window's end (judged).
_WINDOW_END_MM = 6.0
# The fold below the bust is sought down to here; the waist lies below the fold (judged).
_OVER_WAIST_MM, _LEAST_CHEST_MM, _WAIST_BELOW_FOLD_MM = 10.0, 60.0, 8.0
_NO_WAIST_BELOW_FOLD_MM = 12.0
# A waist is clear when the breadth grows by this much within so much height, above and below, and
# when it lies this far below the fold; where one of these fails, the outline more often shows
# another place than the body has (seen on the body model; calibration/report.md, high hip).
_CLEAR_RISE_MM, _CLEAR_WITHIN_MM, _CLEAR_BELOW_FOLD_MM = 2.5, 40.0, 30.0
# The tape lies this far below the armpit that is seen with the arms lifted, and at least this far
# over the bust (body model: 13.9 mm, sd 3.7; judged).
_BELOW_ARMPIT_MM, _OVER_BUST_MM = 14.0, 8.0


@dataclass(frozen=True)
class Level:
    """Where a level was found.

    Args:
        height_mm: over the floor.
        shown: whether the outline itself shows it, clearly.
    """

    height_mm: float
    shown: bool


def find_levels(
    front: Profile, side: Profile, stature_mm: float, armpit_mm: float | None = None
) -> dict[LevelCode, Level]:
    """Find the six levels.

    Args:
        front: from the front: trunk only.
        side: from the side, `high` towards where she faces.
        stature_mm: her height.
        armpit_mm: height of the lower armpit with the arms lifted, None when it is not seen.

    Returns:
        All six levels by code.
    """
    lowest, highest = (share * stature_mm for share in _ARMPIT_WINDOW)
    sees_armpit = armpit_mm is not None and lowest < armpit_mm < highest
    armpit = armpit_mm if armpit_mm is not None and sees_armpit else _USUAL_ARMPIT * stature_mm
    bust = _bust(side, stature_mm, armpit)
    fold = _fold(side, bust.height_mm, stature_mm)
    waist = _waist(front, fold.height_mm, stature_mm)
    high_bust = max(armpit - _BELOW_ARMPIT_MM, bust.height_mm + _OVER_BUST_MM)
    return {
        "high_bust": Level(high_bust, sees_armpit),
        "full_bust": bust,
        "underbust": fold,
        "waist": waist,
        "high_hip": Level(waist.height_mm - HIGH_HIP_BELOW_WAIST_MM, waist.shown),
        "full_hip": _seat(side, stature_mm),
    }


def _window(
    seen: Profile, lowest_mm: float, highest_mm: float, edge: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Heights within a window where an edge is seen, and the edge there."""
    heights = seen.heights_mm
    inside = (heights > lowest_mm) & (heights < highest_mm) & np.isfinite(edge)
    return heights[inside], edge[inside]


def _bust(side: Profile, stature_mm: float, armpit_mm: float) -> Level:
    """The bulge of the chest's front that stands out most from what is above and below it."""
    heights, forward = _window(
        side, _BUST_LOWEST * stature_mm, armpit_mm + _BUST_OVER_ARMPIT_MM, side.high_mm
    )
    bulges, details = find_peaks(forward, prominence=_LEAST_BULGE_MM)
    if len(bulges) == 0:
        return Level(_USUAL_BUST * stature_mm, shown=False)
    best = bulges[int(np.argmax(details["prominences"]))]
    return Level(float(heights[best]), shown=True)


def _fold(side: Profile, bust_mm: float, stature_mm: float) -> Level:
    """The inward turn below the bust: where the front lies most behind its own chord."""
    middle = _USUAL_WAIST * stature_mm
    lowest = min(middle + _OVER_WAIST_MM, bust_mm - _LEAST_CHEST_MM)
    heights, forward = _window(side, lowest, bust_mm + 1.0, side.high_mm)
    if len(heights) > 2:
        chord = np.interp(heights, heights[[0, -1]], forward[[0, -1]])
        deepest = int(np.argmax(chord - forward))
        if 0 < deepest < len(heights) - 1:
            return Level(float(heights[deepest]), shown=True)
    return Level(bust_mm - _USUAL_FOLD_BELOW_BUST * stature_mm, shown=False)


def _waist(front: Profile, fold_mm: float, stature_mm: float) -> Level:
    """The least breadth between underbust and hip."""
    lowest, highest = (share * stature_mm for share in _WAIST_WINDOW)
    top = min(highest, fold_mm - _WAIST_BELOW_FOLD_MM)
    heights, breadth = _window(front, lowest, top, front.extent_mm)
    if len(heights) > 0:
        least = float(heights[int(np.argmin(breadth))])
        if heights[0] + _WINDOW_END_MM < least < heights[-1] - _WINDOW_END_MM:
            around = least + np.array([-_CLEAR_WITHIN_MM, 0.0, _CLEAR_WITHIN_MM])
            below, here, above = np.interp(around, front.heights_mm, front.extent_mm)
            rises = min(below, above) - here >= _CLEAR_RISE_MM
            return Level(least, bool(rises and least < fold_mm - _CLEAR_BELOW_FOLD_MM))
    usual = min(_USUAL_WAIST * stature_mm, fold_mm - _NO_WAIST_BELOW_FOLD_MM)
    return Level(usual, shown=False)


def _seat(side: Profile, stature_mm: float) -> Level:
    """Where the seat stands out furthest behind; a hand behind the thigh is no seat."""
    lowest, highest = (share * stature_mm for share in _SEAT_WINDOW)
    heights, back = _window(side, lowest, highest, side.low_mm)
    bulges, details = find_peaks(-back, prominence=_LEAST_BULGE_MM)
    if len(bulges) == 0:
        return Level(_USUAL_SEAT * stature_mm, shown=False)
    best = bulges[int(np.argmax(details["prominences"]))]
    return Level(float(heights[best]), shown=True)
