"""The heights at which the body is measured, read from its two profiles.

Each level is where its definition says, sought within the heights at which women have it: the
foremost and the hindmost place of the side outline, the inward turn below the bust, and the place
near the usual one where an elastic tied round her would settle: narrow, seen from the front. Where
an outline is not seen the usual height is taken and said to be not shown. Windows and usual heights
are fractions of the stature.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d
from scipy.signal import find_peaks

from ellwand.geometry.profile import STEP_MM, Profile
from ellwand.measurements import LevelCode

FloatArray = NDArray[np.float64]

# The high hip lies over the hip bones, so far below where the waist would be if no bust held the
# elastic down, and at least so far below where it is held (judged).
HIGH_HIP_BELOW_WAIST_MM, _BELOW_HELD_WAIST_MM = 90.0, 40.0

# Windows hold the means of ANSUR II women (chest 0.719, armpit 0.761) to about four standard
# deviations either way; the lowest bust is that of heavy old breasts (body model).
_BUST_LOWEST, _BUST_OVER_ARMPIT_MM = 0.64, 10.0
_ARMPIT_WINDOW = (0.68, 0.82)
_USUAL_ARMPIT, _USUAL_BUST = 0.757, 0.715
# The fold below the bust lies so far under it, over the stature (body model: 0.025).
_USUAL_FOLD_BELOW_BUST = 0.025
# A bulge must stand out by this much to be taken for the bust (judged).
_LEAST_BULGE_MM = 1.0
# The fold below the bust is sought down to here (judged).
_OVER_WAIST_MM, _LEAST_CHEST_MM = 10.0, 60.0
# Waist and seat lie at least this far below the level above them (judged).
_APART_MM = 8.0
# The cost of leaving the usual height is told for this distance.
_HELD_WITHIN_MM = 40.0
# The tape lies this far below the armpit that is seen with the arms lifted, and at least this far
# over the bust (body model: 13.9 mm, sd 3.7; judged).
_BELOW_ARMPIT_MM, _OVER_BUST_MM = 14.0, 8.0


@dataclass(frozen=True)
class Band:
    """What lies round her and comes to rest near its usual height.

    Args:
        usual: where most women have it, over the stature.
        reach: how far from there it is sought, over the stature.
        even_mm: standard deviation over which it evens the outline out.
        held_mm: what a height `_HELD_WITHIN_MM` from the usual one costs; it grows as the square.
    """

    usual: float
    reach: float
    even_mm: float
    held_mm: float


# An elastic tied at the waist: wide, and held a little by its friction. So the waist is the
# narrowest place of who has one, and near the middle of lowest rib and hip bone on who has none or
# two (ANSUR II women: 0.630; the rest judged, so that it moves smoothly with the outline, where a
# bare least breadth jumps).
WAIST_BAND = Band(0.630, 0.058, 20.0, 1.5)
# A tape where the seat stands out furthest (ANSUR II women: 0.512); held so little that it only
# matters on a flat seat (judged). A hand behind the thigh mostly hangs below its reach.
SEAT_BAND = Band(0.513, 0.042, 12.0, 1.0)


@dataclass(frozen=True)
class Level:
    """Where a level was found.

    Args:
        height_mm: over the floor.
        shown: whether the outline itself shows it; a waist that the bust holds down is not shown.
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
    free = _settled(WAIST_BAND, front.heights_mm, front.extent_mm, stature_mm)
    waist = _below(fold, free)
    high_hip = Level(
        min(free.height_mm - HIGH_HIP_BELOW_WAIST_MM, waist.height_mm - _BELOW_HELD_WAIST_MM),
        free.shown,
    )
    seat = _below(high_hip, _settled(SEAT_BAND, side.heights_mm, side.low_mm, stature_mm))
    high_bust = max(armpit - _BELOW_ARMPIT_MM, bust.height_mm + _OVER_BUST_MM)
    return {
        "high_bust": Level(high_bust, sees_armpit),
        "full_bust": bust,
        "underbust": fold,
        "waist": waist,
        "high_hip": high_hip,
        "full_hip": seat,
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
    usual_waist = WAIST_BAND.usual * stature_mm
    lowest = min(usual_waist + _OVER_WAIST_MM, bust_mm - _LEAST_CHEST_MM)
    heights, forward = _window(side, lowest, bust_mm + 1.0, side.high_mm)
    if len(heights) > 2:
        chord = np.interp(heights, heights[[0, -1]], forward[[0, -1]])
        deepest = int(np.argmax(chord - forward))
        if 0 < deepest < len(heights) - 1:
            return Level(float(heights[deepest]), shown=True)
    return Level(bust_mm - _USUAL_FOLD_BELOW_BUST * stature_mm, shown=False)


def _settled(band: Band, heights_mm: FloatArray, value_mm: FloatArray, stature_mm: float) -> Level:
    """Where a band comes to rest: at a low value, near its usual height.

    Args:
        band: what lies round her.
        heights_mm: (n,) of the profile.
        value_mm: (n,) breadth, or how far an edge lies forward, NaN where not seen.
        stature_mm: her height.
    """
    usual = band.usual * stature_mm
    rows = (np.abs(heights_mm - usual) < band.reach * stature_mm) & np.isfinite(value_mm)
    if not rows.any():
        return Level(usual, shown=False)
    here = heights_mm[rows]
    even = gaussian_filter1d(value_mm[rows], band.even_mm / STEP_MM, mode="nearest")
    cost = even + band.held_mm * ((here - usual) / _HELD_WITHIN_MM) ** 2
    return Level(float(here[int(np.argmin(cost))]), shown=True)


def _below(above: Level, found: Level) -> Level:
    """A level, held down to lie below another; it then does not show a place of its own."""
    top = above.height_mm - _APART_MM
    return found if found.height_mm <= top else Level(top, shown=False)
