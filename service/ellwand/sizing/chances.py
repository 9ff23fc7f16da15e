"""How likely each of several sizes or cups is, given the uncertainty of what was measured."""

import math
from collections.abc import Sequence
from itertools import pairwise

# Less likely ones are not told (judged).
LEAST_TOLD = 0.001
# From one chance in four on a neighbour is named, and a cause not passed over (judged: rarely
# enough to be read).
NAMED_CHANCE = 0.25


def nearest_chances(value_mm: float, u_mm: float, drafted_mm: Sequence[float]) -> list[float]:
    """How likely the true value is nearest to each of several drafted ones.

    Args:
        value_mm: as measured; the truth is normally distributed around it.
        u_mm: its standard uncertainty, 0 for a value that is exact.
        drafted_mm: ascending, at least one.

    Returns:
        A probability for each; they sum to 1. A value in the middle between two belongs to the
        larger.

    >>> [round(chance, 3) for chance in nearest_chances(84.0, 1.0, [80.0, 84.0, 88.0])]
    [0.023, 0.954, 0.023]
    """
    middles = [(smaller + larger) / 2 for smaller, larger in pairwise(drafted_mm)]
    return chances_between(value_mm, u_mm, middles)


def chances_between(value_mm: float, u_mm: float, limits_mm: Sequence[float]) -> list[float]:
    """How likely the true value lies below, between and above limits.

    Args:
        value_mm: as measured.
        u_mm: its standard uncertainty.
        limits_mm: ascending.

    Returns:
        One probability more than there are limits; they sum to 1.
    """
    below = [0.0, *(chance_below(limit, value_mm, u_mm) for limit in limits_mm), 1.0]
    return [after - before for before, after in pairwise(below)]


def chance_below(limit_mm: float, value_mm: float, u_mm: float) -> float:
    """How likely the true value lies below a limit.

    Args:
        limit_mm: the limit.
        value_mm: as measured; the truth is normally distributed around it.
        u_mm: its standard uncertainty, 0 for a value that is exact.
    """
    if u_mm <= 0:
        return float(value_mm < limit_mm)
    return 0.5 * math.erfc((value_mm - limit_mm) / (u_mm * math.sqrt(2)))
