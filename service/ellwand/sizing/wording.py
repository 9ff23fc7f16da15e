"""Amounts in the sentences of a decision."""

import math

from ellwand.quantity import in_both_units, in_unit

# Less than half of the smallest step on a tape is no amount to speak of (judged).
LEAST_SHOWN_MM = 0.5


def ease_words(ease_mm: float) -> str:
    """Ease in words.

    Args:
        ease_mm: garment minus body; below zero the garment stretches over the body.

    Returns:
        For instance "5.0 cm (2 in) of ease", "no ease" or "3.0 cm (1 1/8 in) of stretch".
    """
    if abs(ease_mm) < LEAST_SHOWN_MM:
        return "no ease"
    kind = "of ease" if ease_mm > 0 else "of stretch"
    return f"{in_both_units(abs(ease_mm))} {kind}"


def limit_words(least_mm: float) -> str:
    """The least ease of a garment in words.

    Args:
        least_mm: least ease; below zero the garment may stretch by that much.

    Returns:
        For instance "at least 5.0 cm (2 in) are needed".
    """
    if abs(least_mm) < LEAST_SHOWN_MM:
        return "it must not have to stretch"
    if least_mm < 0:
        return f"it may stretch by {in_both_units(-least_mm)} at most"
    return f"at least {in_both_units(least_mm)} are needed"


def amount_words(low_mm: float, high_mm: float) -> str:
    """An amount, or the two amounts at the ends of a bound.

    Args:
        low_mm: amount at the lower end, not below zero.
        high_mm: amount at the upper end.

    Returns:
        For instance "3.0 cm (1 1/8 in)" or "between 1.0 cm (3/8 in) and 3.0 cm (1 1/8 in)".
    """
    if in_both_units(low_mm) == in_both_units(high_mm):
        return in_both_units(high_mm)
    if low_mm < LEAST_SHOWN_MM:
        return f"up to {in_both_units(high_mm)}"
    return f"between {in_both_units(low_mm)} and {in_both_units(high_mm)}"


def bounds_words(low_mm: float, high_mm: float) -> str:
    """The two ends of a bound, each rounded outward in each unit.

    Args:
        low_mm: lower end, not below zero.
        high_mm: upper end.

    Returns:
        For instance "88.1 cm (34 5/8 in) and 92.6 cm (36 1/2 in)".
    """
    return " and ".join(
        f"{in_unit(mm, 'cm', rounded=outward)} ({in_unit(mm, 'in', rounded=outward)})"
        for mm, outward in ((low_mm, math.floor), (high_mm, math.ceil))
    )
