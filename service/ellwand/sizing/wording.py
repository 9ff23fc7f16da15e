"""Amounts and heights in the sentences of a decision."""

import math
from collections.abc import Callable, Sequence
from fractions import Fraction

from ellwand.language import gettext
from ellwand.quantity import converted
from ellwand.shown import beside, finest_step, half_up, in_both_units, in_unit
from ellwand.sizing.block import LengthClass

# Less than half of the smallest step on a tape is no amount to speak of (judged).
LEAST_SHOWN_MM = 0.5
# A seam edge is chalked to a sixteenth of an inch (common practice, no source).
_EDGE_STEP = Fraction(1, 16)


def ease_words(ease_mm: float) -> str:
    """Ease in words.

    Args:
        ease_mm: garment minus body; below zero the garment stretches over the body.

    Returns:
        For instance "5.0 cm (2 in) of ease", "no ease" or "3.0 cm (1 1/8 in) of stretch".
    """
    if abs(ease_mm) < LEAST_SHOWN_MM:
        return gettext("no ease")
    amount = in_both_units(abs(ease_mm))
    if ease_mm > 0:
        return gettext("{amount} of ease", amount=amount)
    return gettext("{amount} of stretch", amount=amount)


def limit_words(least_mm: float, *, named: bool = False) -> str:
    """The least ease of a garment in words.

    Args:
        least_mm: least ease; below zero the garment may stretch by that much.
        named: say that it is ease, where the words before do not.

    Returns:
        For instance "at least 5.0 cm (2 in) are needed".
    """
    if abs(least_mm) < LEAST_SHOWN_MM:
        return gettext("it must not have to stretch")
    if least_mm < 0:
        return gettext("it may stretch by {amount} at most", amount=in_both_units(-least_mm))
    if named:
        return gettext("at least {amount} of ease are needed", amount=in_both_units(least_mm))
    return gettext("at least {amount} are needed", amount=in_both_units(least_mm))


def edge_words(mm: float, rounded: Callable[[Fraction], int] = half_up) -> str:
    """What a seam edge gives, as it is chalked: "0.5 cm (3/16 in)"."""
    chalked = in_unit(mm, "in", finest_step(mm, "in", _EDGE_STEP), rounded)
    return beside(in_unit(mm, "cm", None, rounded), chalked)


def split_words(
    whole_mm: float, parts: int, rounded: Callable[[Fraction], int] = half_up
) -> tuple[str, str]:
    """An amount that is split in equal parts, and each part; as `parted_words`.

    Args:
        whole_mm: the amount, not below zero.
        parts: how many.
        rounded: how the size of a part is rounded.

    >>> split_words(120.0, 4)
    ('12.0 cm (4 3/4 in)', '3.0 cm (1 3/16 in)')
    """
    whole, each = parted_words([whole_mm / parts] * parts, rounded)
    return whole, each[0]


def parted_words(
    parts_mm: Sequence[float], rounded: Callable[[Fraction], int] = half_up
) -> tuple[str, list[str]]:
    """What some parts come to, and each part as it is chalked.

    In inches the whole is the sum of the parts as they are written: who sews them so would
    otherwise gain or lose a quarter of an inch against it.

    Args:
        parts_mm: the parts, none below zero.
        rounded: how the size of a part is rounded.
    """
    steps = [finest_step(mm, "in", _EDGE_STEP) for mm in parts_mm]
    sizes = (converted(Fraction(mm), "mm", "in") for mm in parts_mm)
    chalked = sum(
        (step * rounded(size / step) for step, size in zip(steps, sizes, strict=True)), Fraction()
    )
    inches = in_unit(float(converted(chalked, "in", "mm")), "in")
    whole = beside(in_unit(math.fsum(parts_mm), "cm"), inches)
    return whole, [edge_words(mm, rounded) for mm in parts_mm]


def amount_words(low_mm: float, high_mm: float, *, high: str = "") -> str:
    """An amount, or the two amounts at the ends of a bound.

    Args:
        low_mm: amount at the lower end, not below zero.
        high_mm: amount at the upper end.
        high: the latter in words, where it is told otherwise than every length.

    Returns:
        For instance "3.0 cm (1 1/8 in)" or "between 1.0 cm (3/8 in) and 3.0 cm (1 1/8 in)".
    """
    low, same = in_both_units(low_mm), in_both_units(high_mm)
    high = high or same
    if low == same:
        return high
    if low_mm < LEAST_SHOWN_MM:
        return gettext("up to {high}", high=high)
    return gettext("between {low} and {high}", low=low, high=high)


def bounds_words(low_mm: float, high_mm: float) -> str:
    """The two ends of a bound, each rounded outward in each unit.

    Args:
        low_mm: lower end, not below zero.
        high_mm: upper end.

    Returns:
        For instance "88.1 cm (34 5/8 in) and 92.6 cm (36 1/2 in)".
    """
    low, high = (
        beside(in_unit(mm, "cm", rounded=outward), in_unit(mm, "in", rounded=outward))
        for mm, outward in ((low_mm, math.floor), (high_mm, math.ceil))
    )
    return gettext("{low} and {high}", low=low, high=high)


def span_words(entry: LengthClass) -> str:
    """The heights of a length class in words.

    Args:
        entry: the class.

    Returns:
        For instance "for heights below 162.0 cm (63 3/4 in)".
    """
    if entry.from_mm is None and entry.up_to_mm is not None:
        return gettext("for heights below {limit}", limit=in_both_units(entry.up_to_mm))
    if entry.up_to_mm is None and entry.from_mm is not None:
        return gettext("for heights from {limit}", limit=in_both_units(entry.from_mm))
    if entry.from_mm is None or entry.up_to_mm is None:
        raise ValueError("a length class without an end")
    low, high = in_both_units(entry.from_mm), in_both_units(entry.up_to_mm)
    return gettext("for heights from {low} to {high}", low=low, high=high)
