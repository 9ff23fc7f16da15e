"""Repeats of one measurement: their median, whether they agree, and the tape's own uncertainty."""

import math
import statistics
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

# Standard deviation of one self-measured reading (judged from the technical
# errors of 2 to 19 mm of home measuring with an instruction video).
TAPE_SD_MM = 10.0
# Part of it that a second reading by the same hands does not take away (judged).
COMMON_SD_MM = 5.0
REPEAT_SD_MM = math.sqrt(TAPE_SD_MM**2 - COMMON_SD_MM**2)
# The readings' own spread counts against as many readings of ordinary spread (judged).
ORDINARY_READINGS = 4
# Two readings further apart than the larger of these ask for another (judged).
TOLERANCE_MM = 10.0
TOLERANCE_SHARE = 0.01
# 36 3/8 in and 92.5 cm are compared in floating point.
ROUNDING_MM = 1e-6


@dataclass(frozen=True)
class Taped:
    """What the readings of one measurement come to.

    Args:
        value_mm: their median.
        u_mm: its standard uncertainty.
        count: how many readings there are.
        agree: whether more than half of them, and at least two, lie within the tolerance.
    """

    value_mm: float
    u_mm: float
    count: int
    agree: bool


def tolerance_mm(value_mm: float) -> float:
    """How far apart two readings of the same body may be."""
    return max(TOLERANCE_MM, TOLERANCE_SHARE * value_mm) + ROUNDING_MM


def summarise(readings_mm: Sequence[float]) -> Taped:
    """Take readings of one measurement together.

    The median of all readings counts. Its uncertainty comes from the readings that agree (all of
    them when none do), so that one slip among three does not blow it up.

    Args:
        readings_mm: one or more readings.

    Returns:
        Median, uncertainty and agreement.

    Raises:
        ValueError: no reading.
    """
    if not readings_mm:
        raise ValueError("no reading")
    value = statistics.median(readings_mm)
    group = _majority(sorted(readings_mm))
    agree = len(group) > 1 and group[-1] - group[0] <= tolerance_mm(value)
    u = _uncertainty_mm(_near(readings_mm, value) if agree else readings_mm)
    return Taped(value, u, len(readings_mm), agree)


def agreeing(readings_mm: Sequence[float]) -> list[float]:
    """The readings near the median where most agree, otherwise all of them."""
    taped = summarise(readings_mm)
    return _near(readings_mm, taped.value_mm) if taped.agree else list(readings_mm)


def _near(readings_mm: Sequence[float], value_mm: float) -> list[float]:
    """The readings within the tolerance of a value."""
    return [mm for mm in readings_mm if abs(mm - value_mm) <= tolerance_mm(value_mm)]


def _majority(ordered_mm: Sequence[float]) -> Sequence[float]:
    """The closest group that holds more than half of the readings."""
    size = len(ordered_mm) // 2 + 1
    groups = [ordered_mm[start : start + size] for start in range(len(ordered_mm) - size + 1)]
    return min(groups, key=lambda group: group[-1] - group[0])


def _uncertainty_mm(readings_mm: Sequence[float]) -> float:
    """Standard uncertainty of the median: common part, and spread pooled with the ordinary one."""
    count = len(readings_mm)
    own = statistics.variance(readings_mm) if count > 1 else 0.0
    weight = ORDINARY_READINGS + count - 1
    variance = (ORDINARY_READINGS * REPEAT_SD_MM**2 + (count - 1) * own) / weight
    # Variance of a median of many; for one and two readings it is a mean.
    share = 1 / count if count <= 2 else math.pi / (2 * count)
    return math.sqrt(COMMON_SD_MM**2 + variance * share)


@dataclass(frozen=True)
class TechnicalError:
    """How far repeats of the same hands scatter, over a whole sitting.

    Args:
        value_mm: technical error of measurement.
        share: the same as a share of the mean reading.
        measurements: how many measurements were repeated.
    """

    value_mm: float
    share: float
    measurements: int


def technical_error(repeats_mm: Iterable[Sequence[float]]) -> TechnicalError | None:
    """The technical error of measurement of repeats.

    Args:
        repeats_mm: for each measurement its readings; those with fewer than two are passed over.

    Returns:
        The error, None where nothing was repeated.

    Source: Ulijaszek and Kerr 1999, sqrt(sum of D^2 / 2 N) for N pairs that differ by D; for more
    readings than two the pooled standard deviation, which is the same for pairs.

    >>> round(technical_error([(840, 846), (902, 898), (765, 765), (1010, 1002)]).value_mm, 2)
    3.81
    """
    groups = [group for group in repeats_mm if len(group) > 1]
    if not groups:
        return None
    squares = sum(statistics.variance(group) * (len(group) - 1) for group in groups)
    value = math.sqrt(squares / sum(len(group) - 1 for group in groups))
    mean = statistics.fmean(mm for group in groups for mm in group)
    return TechnicalError(value, value / mean, len(groups))
