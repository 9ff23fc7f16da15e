"""Where the six levels lie, from outlines and, for the truth, from the body model's own points."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

# The tape lies this far under the armpit; judged.
UNDER_ARMPIT_MM = 5.0
# Definition of the level.
HIGH_HIP_BELOW_WAIST_MM = 90.0
# A least breadth this near to the end of its window is no waist but the window's end; judged.
_WINDOW_END_MM = 6.0


class LevelError(ValueError):
    """A level that makes no sense on this body."""


@dataclass(frozen=True)
class Levels:
    """Heights of the six levels over the floor, mm.

    Args:
        waist_seen: whether the waist is a least breadth that can be seen; otherwise it is
            midway between lowest rib and hip bone.
    """

    high_bust: float
    full_bust: float
    underbust: float
    waist: float
    high_hip: float
    full_hip: float
    waist_seen: bool

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


def least_breadth(heights_mm: Floats, breadth_mm: Floats) -> float | None:
    """Give the height of the least breadth, or None when it lies at an end of the window.

    Args:
        heights_mm: (H,) ascending heights of the window.
        breadth_mm: (H,) breadths.
    """
    found = peak(heights_mm, -breadth_mm)
    inside = heights_mm[0] + _WINDOW_END_MM < found < heights_mm[-1] - _WINDOW_END_MM
    return found if inside else None


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
