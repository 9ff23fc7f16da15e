"""Where the six levels lie, from outlines and, for the truth, from the body model's own points."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.ndimage import gaussian_filter1d

Floats = npt.NDArray[np.float64]

# The tape lies this far under the armpit; judged.
UNDER_ARMPIT_MM = 5.0
# The tape's upper edge lies in the fold below the bust, its middle so far under it: tapes are 15 to
# 20 mm wide (common practice, no source). In the fold itself a girth would jump with the height.
HALF_TAPE_MM = 8.0
# The high hip lies over the hip bones, so far below where the waist would be if no bust held the
# elastic down, and at least so far below where it is held; judged.
HIGH_HIP_BELOW_WAIST_MM, _BELOW_HELD_WAIST_MM = 90.0, 40.0
_HELD_WITHIN_MM = 40.0


class LevelError(ValueError):
    """A level that makes no sense on this body."""


@dataclass(frozen=True)
class Levels:
    """Heights of the six levels over the floor, mm."""

    high_bust: float
    full_bust: float
    underbust: float
    waist: float
    high_hip: float
    full_hip: float

    def heights_mm(self) -> dict[str, float]:
        """Give level code to height."""
        codes = ("high_bust", "full_bust", "underbust", "waist", "high_hip", "full_hip")
        return {code: float(getattr(self, code)) for code in codes}


def peak(heights_mm: Floats, value: Floats) -> float:
    """Give the height of the greatest value, refined by a parabola through its neighbours.

    Args:
        heights_mm: (H,) evenly spaced.
        value: (H,) values.
    """
    best = int(np.argmax(value))
    if not 0 < best < len(value) - 1:
        return float(heights_mm[best])
    before, here, after = value[best - 1 : best + 2]
    bend = before - 2.0 * here + after
    shift = 0.0 if bend >= 0 else 0.5 * (before - after) / bend
    return float(heights_mm[best] + shift * (heights_mm[1] - heights_mm[0]))


def nearest_peak(heights_mm: Floats, value: Floats, near_mm: float) -> float:
    """Give the local maximum nearest to a height, or that height when there is none.

    Args:
        heights_mm: (H,) evenly spaced.
        value: (H,) values.
        near_mm: where it is expected.
    """
    inner = (value[1:-1] >= value[:-2]) & (value[1:-1] > value[2:])
    at = np.flatnonzero(inner) + 1
    if not len(at):
        return near_mm
    best = int(at[np.argmin(np.abs(heights_mm[at] - near_mm))])
    return peak(heights_mm[best - 1 : best + 2], value[best - 1 : best + 2])


def inward_turn(heights_mm: Floats, forward_mm: Floats) -> float:
    """Give the height where an outline turns inward most: farthest behind its own chord.

    Args:
        heights_mm: (H,) ascending, from below the turn up to the bust's foremost point.
        forward_mm: (H,) how far the outline stands out at each height.
    """
    run, rise = heights_mm[-1] - heights_mm[0], forward_mm[-1] - forward_mm[0]
    chord = forward_mm[0] + rise * (heights_mm - heights_mm[0]) / run
    return peak(heights_mm, chord - forward_mm)


@dataclass(frozen=True)
class Band:
    """What lies round a body and comes to rest near its usual height.

    Args:
        usual: where most women have it, over the stature: ANSUR II women, middle of tenth rib and
            hip bone, and buttock height.
        reach: how far from there it lies, over the stature.
        even_mm: sd over which it evens the outline out.
        held_mm: what a height 40 mm from the usual one costs, in breadth; it grows as the square.
    """

    usual: float
    reach: float
    even_mm: float
    held_mm: float


# A tied elastic, wide and held a little; judged, so that it moves smoothly with the outline, where
# a bare least breadth jumps on bodies that narrow in two places or none.
WAIST = Band(0.630, 0.058, 20.0, 1.5)
# A tape where the seat stands out furthest, held so little that it only matters on a flat seat.
SEAT = Band(0.513, 0.042, 12.0, 1.0)


def settled(band: Band, heights_mm: Floats, value_mm: Floats, stature_mm: float) -> float:
    """Give the height where a band comes to rest: at a low value, near its usual height.

    Args:
        band: what lies round her.
        heights_mm: (H,) ascending, evenly spaced.
        value_mm: (H,) breadth, or how far an edge lies to one side.
        stature_mm: her height.
    """
    usual = band.usual * stature_mm
    rows = np.abs(heights_mm - usual) < band.reach * stature_mm
    here, step = heights_mm[rows], heights_mm[1] - heights_mm[0]
    even = gaussian_filter1d(value_mm[rows], band.even_mm / step, mode="nearest")
    return peak(here, -even - band.held_mm * ((here - usual) / _HELD_WITHIN_MM) ** 2)


def high_hip_mm(free_waist_mm: float, waist_mm: float) -> float:
    """Give the height of the high hip.

    Args:
        free_waist_mm: where the elastic would come to rest if nothing held it down.
        waist_mm: where it does.
    """
    return min(free_waist_mm - HIGH_HIP_BELOW_WAIST_MM, waist_mm - _BELOW_HELD_WAIST_MM)


def check_order(levels: Levels, name: str) -> None:
    """Refuse levels that are out of order or too near to each other.

    Raises:
        LevelError: with the body's name and the heights.
    """
    heights = levels.heights_mm()
    values = list(heights.values())
    least_mm = 8.0
    if not np.all(np.isfinite(values)) or np.any(-np.diff(values) < least_mm):
        raise LevelError(f"{name}: levels out of order: {heights}")
