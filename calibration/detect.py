"""Finds the levels from the two outlines alone, as a program must that has only photos."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calibration.levels import (
    HIGH_HIP_BELOW_WAIST_MM,
    inward_turn,
    least_breadth,
    peak,
)
from calibration.profiles import Profile

Floats = npt.NDArray[np.float64]

# Windows as fractions of stature. Source: ANSUR II women, means and about four standard
# deviations of chest, buttock, and of midway between tenth rib and hip bone.
_BUST_LOWEST = 0.655
_SEAT_WINDOW = (0.45, 0.575)
_MID_WAIST = 0.630
_WAIST_WINDOW = (0.585, 0.695)
_ARMPIT_WINDOW = (0.68, 0.82)
# How far the armpit in the outline (arms lifted) lies over the tape's level; measured by `fit`.
ARMPIT_TO_HIGH_BUST_MM = 15.0
# A bust that stands out less than this in front of its surroundings gives no level; judged.
_LEAST_PROMINENCE_MM = 1.5
# Where the bust is when none stands out. Source: ANSUR II women, chest height over stature.
_BUST_FRACTION = 0.719


@dataclass(frozen=True)
class Detected:
    """Level heights from outlines, mm over the floor.

    Args:
        heights_mm: by level code.
        bust_seen: whether a bust stands out in the side outline.
        waist_seen: whether there is a least breadth in the front outline.
    """

    heights_mm: dict[str, float]
    bust_seen: bool
    waist_seen: bool


def armpit_height_mm(front: Profile, stature_mm: float) -> float:
    """Give the height of the armpits in the front outline: below it the arms are apart.

    Args:
        front: outline from the front, arms away from the trunk.
        stature_mm: her height.
    """
    low, high = (share * stature_mm for share in _ARMPIT_WINDOW)
    rows = (front.heights_mm > low) & (front.heights_mm < high) & front.joined
    return float(front.heights_mm[rows].min()) if rows.any() else 0.757 * stature_mm


def _smooth(value: Floats, rows: int) -> Floats:
    """Give the running mean over an odd number of rows, ends repeated."""
    padded = np.pad(value, rows // 2, mode="edge")
    return np.convolve(padded, np.ones(rows) / rows, mode="valid")


def _bust(heights: Floats, forward: Floats) -> float | None:
    """Give the height of the most prominent bulge of the chest's front outline."""
    from scipy.signal import find_peaks

    found, details = find_peaks(forward, prominence=_LEAST_PROMINENCE_MM)
    if not len(found):
        return None
    best = int(found[np.argmax(details["prominences"])])
    return peak(heights[best - 1 : best + 2], forward[best - 1 : best + 2])


def detect(front: Profile, side: Profile, stature_mm: float) -> Detected:
    """Find the six levels from the outlines.

    Args:
        front: outline from the front, arms away from the trunk.
        side: outline from the side, facing right, on the same rows.
        stature_mm: her height.
    """
    heights = side.heights_mm
    forward, back = _smooth(side.right_mm, 5), _smooth(side.left_mm, 5)
    breadth = _smooth(front.extent_mm(), 5)
    armpit = armpit_height_mm(front, stature_mm)

    chest = (heights > _BUST_LOWEST * stature_mm) & (heights < armpit + 10.0)
    bust = _bust(heights[chest], forward[chest])
    full_bust = _BUST_FRACTION * stature_mm if bust is None else bust
    mid_waist = _MID_WAIST * stature_mm
    below = (heights > min(mid_waist + 10.0, full_bust - 60.0)) & (heights <= full_bust)
    underbust = inward_turn(heights[below], forward[below])
    waist_low, waist_high = (share * stature_mm for share in _WAIST_WINDOW)
    window = (heights > waist_low) & (heights < min(waist_high, underbust - 8.0))
    waist = least_breadth(heights[window], breadth[window]) if window.sum() > 10 else None
    waist_or_mid = min(mid_waist, underbust - 12.0) if waist is None else waist
    seat_low, seat_high = (share * stature_mm for share in _SEAT_WINDOW)
    seat = (heights > seat_low) & (heights < seat_high)
    found = {
        "high_bust": max(armpit - ARMPIT_TO_HIGH_BUST_MM, full_bust + 8.0),
        "full_bust": full_bust,
        "underbust": underbust,
        "waist": waist_or_mid,
        "high_hip": waist_or_mid - HIGH_HIP_BELOW_WAIST_MM,
        "full_hip": peak(heights[seat], -back[seat]),
    }
    return Detected(found, bust is not None, waist is not None)
