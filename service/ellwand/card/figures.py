"""Figures of the card: values rounded to the nearest step, bounds rounded outward."""

import math
from dataclasses import dataclass
from fractions import Fraction

from ellwand.language import decimal
from ellwand.quantity import Unit, converted
from ellwand.shown import SHOWN_STEP, beside, half_up, sign_of

_SHOWN: tuple[Unit, ...] = ("cm", "in")


@dataclass(frozen=True)
class Figures:
    """One measurement as the card shows it.

    Args:
        cm: value in centimetres, one decimal, as it is written in the language spoken.
        inches: whole inches and fraction, "36" and "3/8"; either may be empty, and the first
            that is not has the sign.
        bound_cm: error bound in centimetres, None when none is known.
        bound_inches: the same in inches, whole and fraction.
    """

    cm: str
    inches: tuple[str, str]
    bound_cm: str | None
    bound_inches: tuple[str, str] | None


def figures(value_mm: float, low_mm: float | None, high_mm: float | None) -> Figures:
    """A measurement in both units.

    Args:
        value_mm: the value; a difference may be below nothing.
        low_mm: lower end of its 95 % interval, None when none is known.
        high_mm: upper end of it.

    Returns:
        The value to the nearest step of each unit, and a bound that, about the value as shown,
        reaches at least as far as the interval.
    """
    steps_mm = [converted(SHOWN_STEP[unit], unit, "mm") for unit in _SHOWN]
    tenths, eighths = (_nearest(value_mm, step) for step in steps_mm)
    if low_mm is None or high_mm is None:
        return Figures(_cm(tenths), _inches(eighths), None, None)
    bound_tenths, bound_eighths = (
        _outward(shown * step, _plain(low_mm), _plain(high_mm), step)
        for shown, step in zip((tenths, eighths), steps_mm, strict=True)
    )
    return Figures(_cm(tenths), _inches(eighths), _cm(bound_tenths), _inches(bound_eighths))


def in_words(value_mm: float, low_mm: float, high_mm: float) -> str:
    """A value with its bound in both units, such as "5.0 ± 4.0 cm (2 ± 1 5/8 in)".

    Args:
        value_mm: the value.
        low_mm: lower end of its 95 % interval.
        high_mm: upper end of it.
    """
    shown = figures(value_mm, low_mm, high_mm)
    inches, bound = in_line(shown.inches), in_line(shown.bound_inches or ("", ""))
    return beside(f"{shown.cm} ± {shown.bound_cm} cm", f"{inches} ± {bound} {sign_of('in')}")


def in_line(inches: tuple[str, str]) -> str:
    """Whole inches and fraction as one text, such as "36 3/8"."""
    return " ".join(part for part in inches if part)


def _plain(end_mm: float) -> Fraction:
    """An end of an interval without the noise of binary fractions, which would widen it."""
    return Fraction(str(round(end_mm, 6)))


def _nearest(value_mm: float, step_mm: Fraction) -> int:
    """Number of steps, a half rounded away from nothing."""
    size = half_up(abs(Fraction(value_mm)) / step_mm)
    return -size if value_mm < 0 else size


def _outward(shown_mm: Fraction, low_mm: Fraction, high_mm: Fraction, step_mm: Fraction) -> int:
    """Number of steps from the shown value to the farther end, rounded up."""
    return math.ceil(max(high_mm - shown_mm, shown_mm - low_mm, Fraction(0)) / step_mm)


def _cm(tenths: int) -> str:
    whole, tenth = divmod(abs(tenths), 10)
    return decimal(f"{'-' if tenths < 0 else ''}{whole}.{tenth}")


def _inches(eighths: int) -> tuple[str, str]:
    whole, rest = divmod(abs(eighths) * SHOWN_STEP["in"], 1)
    sign, fraction = "-" if eighths < 0 else "", str(rest) if rest else ""
    return ("", f"{sign}{fraction}") if fraction and not whole else (f"{sign}{whole}", fraction)
