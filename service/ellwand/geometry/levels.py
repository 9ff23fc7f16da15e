"""The heights at which the body is measured, read from its two profiles.

Each level is weighed by how well the outline shows it and by where it is on most women: a sharp
waist is taken where it is, a waist that cannot be seen falls back to the usual place, with the
doubt of people's variety. Usual places are fractions of the stature.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ellwand.geometry.profile import Profile
from ellwand.measurements import LevelCode

FloatArray = NDArray[np.float64]

HIGH_HIP_BELOW_WAIST_MM = 90.0

# The outline's own unevenness over a few centimetres, mm, in what it shows of a level: a place
# that stands out less by this much is e times less likely (judged on the demo photos).
_UNEVEN_MM = 0.6
# Between two places that both stand out, this much more counts as much as one deviation nearer to
# the usual place (judged): a belly may stand out further than the bust, but the least breadth is
# the waist by definition.
_RIVAL_MM = {"full_bust": 8.0, "waist": 3.0, "full_hip": 8.0}
# A level that the outline shows is not better known than this: the definition is a flat extreme.
_LEAST_U_MM = 4.0
_REACH_SD = 3.5
# An outline shows a level when it makes its doubt this much smaller than people's variety.
_SHOWN = 0.6

# The tape lies this far below the armpit that is seen with the arms lifted (calibration/README.md:
# 13.9 mm, sd 3.7 on the body model), and an armpit in a photo is placed to about this (judged).
_BELOW_ARMPIT_MM, _BELOW_ARMPIT_U_MM = 14.0, 8.0


@dataclass(frozen=True)
class Usual:
    """Where a level is on most women.

    Args:
        mean: mean of its height over the stature.
        sd: standard deviation of that.
    """

    mean: float
    sd: float


# Means lie between ANSUR II women (armpit 0.761, bust point 0.719, middle of tenth rib and hip bone
# 0.630, buttock 0.512) and the body model (0.747, 0.714, 0.641, 0.513); deviations hold both.
USUAL: dict[str, Usual] = {
    "high_bust": Usual(0.752, 0.013),
    "full_bust": Usual(0.715, 0.018),
    "waist": Usual(0.638, 0.017),
    "full_hip": Usual(0.513, 0.016),
}
# How far the fold below the bust lies under the bust point (body model; same meaning).
_FOLD_BELOW_BUST = Usual(0.0225, 0.0085)
_FOLD_RANGE = (0.010, 0.055)
# The chord that the fold is sought behind spans at least this much of the stature, and the waist
# lies at least this far below the fold (judged).
_LEAST_CHORD = 0.075
_WAIST_BELOW_FOLD_MM = 20.0
# Seen a little from above or aside, the breast hides where it turns inward (demo photos: 11 mm too
# low on average, sd 7).
_FOLD_U_MM = 10.0


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
    bust = _weighed(side.heights_mm, side.high_mm, "full_bust", stature_mm)
    underbust = _fold(side, bust, stature_mm)
    below = front.heights_mm < underbust.height_mm - _WAIST_BELOW_FOLD_MM
    breadth = np.where(below, front.extent_mm, np.nan)
    waist = _weighed(front.heights_mm, -breadth, "waist", stature_mm)
    return {
        "high_bust": _high_bust(stature_mm, armpit_mm),
        "full_bust": bust,
        "underbust": underbust,
        "waist": waist,
        "high_hip": Level(waist.height_mm - HIGH_HIP_BELOW_WAIST_MM, waist.u_mm, waist.shown),
        "full_hip": _weighed(side.heights_mm, -side.low_mm, "full_hip", stature_mm),
    }


def _weighed(heights: FloatArray, stands_out_mm: FloatArray, code: str, stature_mm: float) -> Level:
    """The height that stands out most, weighed against where the level usually is."""
    usual = USUAL[code]
    return _most_likely(
        heights,
        stands_out_mm,
        usual.mean * stature_mm,
        usual.sd * stature_mm,
        rival_mm=_RIVAL_MM[code],
    )


def _most_likely(
    heights: FloatArray,
    stands_out_mm: FloatArray,
    mean: float,
    sd: float,
    rival_mm: float,
    limits: tuple[float, float] | None = None,
) -> Level:
    """Most likely height and its standard uncertainty.

    Args:
        heights: (n,) mm.
        stands_out_mm: (n,) how much each height stands out, NaN where not seen.
        mean: usual height.
        sd: variety of it.
        rival_mm: see `_RIVAL_MM`.
        limits: lowest and highest height possible, None for a few deviations around the mean.
    """
    low, high = limits or (mean - _REACH_SD * sd, mean + _REACH_SD * sd)
    inside = (heights >= low) & (heights <= high) & np.isfinite(stands_out_mm)
    if inside.sum() < 5:
        return Level(mean, sd, shown=False)
    places, value = heights[inside], stands_out_mm[inside]
    z = (places - mean) / sd
    peaks = _peaks(value)
    if len(peaks) == 0:
        return Level(mean, sd, shown=False)
    top = peaks[int(np.argmax(value[peaks] / rival_mm - z[peaks] ** 2 / 2))]
    # A rival that stands out clearly less is not likely; one about as much makes both doubtful.
    alike = np.where(value > value[top] - rival_mm, np.minimum(value, value[top]), -np.inf)
    kept = np.maximum(_downhill(value, top), alike if rival_mm < 5 else -np.inf)
    score = (kept - value[top]) / _UNEVEN_MM - z**2 / 2
    weight = np.exp(score - score.max())
    best = float(np.sum(weight * places) / weight.sum())
    u = float(np.sqrt(np.sum(weight * (places - best) ** 2) / weight.sum()))
    return Level(best, max(u, _LEAST_U_MM), shown=u < _SHOWN * sd)


def _peaks(value: FloatArray) -> NDArray[np.int64]:
    """Indices of the places that stand out from both sides."""
    return np.nonzero((value[1:-1] >= value[:-2]) & (value[1:-1] > value[2:]))[0] + 1


def _downhill(value: FloatArray, top: int) -> FloatArray:
    """The values as if, on both sides of one peak, they never rose again."""
    falling = value.copy()
    falling[top:] = np.minimum.accumulate(value[top:])
    falling[: top + 1] = np.minimum.accumulate(value[top::-1])[::-1]
    return falling


def _high_bust(stature_mm: float, armpit_mm: float | None) -> Level:
    """Straight under the armpits: from the armpit that is seen, or where it usually is."""
    usual = USUAL["high_bust"]
    mean, sd = usual.mean * stature_mm, usual.sd * stature_mm
    if armpit_mm is None or abs(armpit_mm - _BELOW_ARMPIT_MM - mean) > _REACH_SD * sd:
        return Level(mean, sd, shown=False)
    # Two sources, weighed by inverse variance.
    seen, u = armpit_mm - _BELOW_ARMPIT_MM, _BELOW_ARMPIT_U_MM
    weight = u**-2 / (u**-2 + sd**-2)
    return Level(weight * seen + (1 - weight) * mean, (u**-2 + sd**-2) ** -0.5, shown=True)


def _fold(side: Profile, bust: Level, stature_mm: float) -> Level:
    """The inward turn below the bust: where the front lies most behind a chord to the waist."""
    heights = side.heights_mm
    usual_waist = USUAL["waist"].mean * stature_mm
    lower = min(usual_waist, bust.height_mm - _LEAST_CHORD * stature_mm)
    ends = [lower, bust.height_mm]
    chord = np.interp(heights, ends, [side.at(height)[1] for height in ends], left=np.nan)
    nearest, farthest = (fraction * stature_mm for fraction in _FOLD_RANGE)
    found = _most_likely(
        heights,
        chord - side.high_mm,
        bust.height_mm - _FOLD_BELOW_BUST.mean * stature_mm,
        _FOLD_BELOW_BUST.sd * stature_mm,
        _RIVAL_MM["full_bust"],
        (bust.height_mm - farthest, bust.height_mm - nearest),
    )
    return Level(found.height_mm, float(np.hypot(found.u_mm, _FOLD_U_MM)), found.shown)
