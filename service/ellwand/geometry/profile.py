"""The outline of a body in millimetres: how far it reaches to each side at each height."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d, median_filter

FloatArray = NDArray[np.float64]

STEP_MM = 2.0
# Longest gap in an outline that is bridged (an armpit is longer).
_BRIDGED_MM = 12.0
_SMOOTHED_MM = 4.0


@dataclass(frozen=True, eq=False)
class Profile:
    """Extent of the body by height, in one view.

    From the front `low` is her right side and `high` her left side (x in the wall frame); from the
    side `low` is the back and `high` the front of the body (towards where she faces).

    Args:
        heights_mm: (n,) over the floor, ascending by `STEP_MM`.
        low_mm: (n,) lesser end, NaN where the outline is not seen.
        high_mm: (n,) greater end.
    """

    heights_mm: FloatArray
    low_mm: FloatArray
    high_mm: FloatArray

    @property
    def extent_mm(self) -> FloatArray:
        """(n,) breadth or depth."""
        return self.high_mm - self.low_mm

    @property
    def middle_mm(self) -> FloatArray:
        """(n,) middle between the ends."""
        return (self.high_mm + self.low_mm) / 2

    def at(self, height_mm: float) -> tuple[float, float]:
        """Ends at a height, NaN where not seen.

        Args:
            height_mm: over the floor.
        """
        return (
            float(np.interp(height_mm, self.heights_mm, self.low_mm)),
            float(np.interp(height_mm, self.heights_mm, self.high_mm)),
        )

    def between(self, lowest_mm: float, highest_mm: float) -> NDArray[np.int64]:
        """Indices of seen heights between two heights."""
        inside = (self.heights_mm >= lowest_mm) & (self.heights_mm <= highest_mm)
        return np.nonzero(inside & np.isfinite(self.extent_mm))[0]


def profile(low_points: FloatArray, high_points: FloatArray, top_mm: float) -> Profile:
    """Put two edges, seen as scattered points, on common heights.

    Args:
        low_points: (m, 2) position and height of the lesser edge, mm; rows may hold NaN.
        high_points: (m, 2) the greater edge.
        top_mm: highest height wanted.

    Returns:
        The profile from the floor up to `top_mm`.
    """
    heights = np.arange(0.0, top_mm + STEP_MM, STEP_MM)
    return Profile(heights, _resampled(low_points, heights), _resampled(high_points, heights))


def _resampled(points: FloatArray, heights: FloatArray) -> FloatArray:
    seen = points[np.isfinite(points).all(axis=1)]
    if len(seen) < 10:
        return np.full(len(heights), np.nan)
    seen = seen[np.argsort(seen[:, 1], kind="stable")]
    position = median_filter(seen[:, 0], size=5, mode="nearest")
    values = np.interp(heights, seen[:, 1], position, left=np.nan, right=np.nan)
    after = np.searchsorted(seen[:, 1], heights).clip(1, len(seen) - 1)
    gap = seen[after, 1] - seen[after - 1, 1]
    values[gap > _BRIDGED_MM] = np.nan
    have = np.isfinite(values)
    if have.sum() > 10:
        # Smoothing over the heights that are seen; gaps only touch their own rims.
        values[have] = gaussian_filter1d(values[have], _SMOOTHED_MM / STEP_MM, mode="nearest")
    return values
