"""Lengths as they are shown: rounded, in words of the language spoken, her unit first.

Who reads says so once, at the edge, with `showing_first`; all that is said inside follows, as with
the language (`ellwand.language.speaking`).
"""

import math
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from fractions import Fraction
from textwrap import wrap
from typing import Final, Literal, TypeVar

from ellwand.language import decimal, inch_sign
from ellwand.quantity import Unit, converted

FirstUnit = Literal["cm", "in"]
_T = TypeVar("_T")

# Shown first where nobody says otherwise, and in what is written for programs.
WRITTEN_FIRST: Final[FirstUnit] = "cm"

# Inches are shown as a seamstress's ruler has them.
SHOWN_STEP: dict[Unit, Fraction] = {"mm": Fraction(1), "cm": Fraction(1, 10), "in": Fraction(1, 8)}
# What was read off finer marks, or is the middle of such, is not rounded; nothing measured in
# centimetres lies on one.
_FINER_MARKS: Final = (Fraction(1, 16), Fraction(1, 32))
# Lengths are kept to a ten thousandth of a millimetre.
_ON_MARK_MM: Final = Fraction(1, 10_000)

NO_BREAK: Final = "\N{NO-BREAK SPACE}"
_NUMBER: Final = r"\d[\d.,/]*(?: \d[\d/]*)?"
_UNITS: Final = "mm|cm|m|kg|lb|ft|Fuß|st|s"

_first: ContextVar[FirstUnit] = ContextVar("first", default=WRITTEN_FIRST)


@contextmanager
def showing_first(unit: FirstUnit) -> Iterator[None]:
    """Show lengths in this unit first everywhere inside, in this thread or task alone."""
    before = _first.set(unit)
    try:
        yield
    finally:
        _first.reset(before)


def shown_first() -> FirstUnit:
    """The unit that lengths are shown in first."""
    return _first.get()


def sign_of(unit: str) -> str:
    """What is written behind a number of this unit, in the language spoken.

    Args:
        unit: as programs know it, such as "cm" or "in".
    """
    return inch_sign() if unit == "in" else unit


def in_order(cm: _T, inches: _T) -> tuple[_T, _T]:
    """What is in centimetres and what is in inches, that of the first unit first.

    >>> in_order("92.5", "36 3/8")
    ('92.5', '36 3/8')
    """
    return (inches, cm) if shown_first() == "in" else (cm, inches)


def beside(cm: str, inches: str) -> str:
    """The same length in both units as one text, the first unit before the other in brackets.

    Args:
        cm: in centimetres, with the unit's sign.
        inches: in inches, with the unit's sign.

    >>> beside("92.5 cm", "36 3/8 in")
    '92.5 cm (36 3/8 in)'
    """
    first, other = in_order(cm, inches)
    return f"{first} ({other})"


def in_her_order(text: str) -> str:
    """A text with fixed lengths, which stand in it with centimetres first, as it is shown.

    >>> with showing_first("in"):
    ...     in_her_order("Measure 9 cm (3 1/2 in) down.")
    'Measure 3 1/2 in (9 cm) down.'
    """
    fixed = rf"({_NUMBER} cm) \(({_NUMBER} {re.escape(sign_of('in'))})\)"
    return re.sub(fixed, lambda found: beside(found[1], found[2]), text)


def glued(text: str) -> str:
    """A text in which no line ends within a length, a bound or a share.

    Args:
        text: any text.

    Returns:
        The text with no-break spaces there, as in "36 3/8 in", "± 1 cm" and "84 %".
    """
    within = rf"(?<=\d) (?=\d+/\d|(?:{_UNITS}|{re.escape(sign_of('in'))})\b|%)|(?<=±) (?=\d)"
    return re.sub(within, NO_BREAK, text)


def folded(text: str, width: int, first: str = "", others: str = "") -> list[str]:
    """A text as lines of a terminal, none of which ends within a length.

    Args:
        text: any text.
        width: most characters of a line.
        first: what the first line begins with.
        others: what all others begin with.
    """
    lines = wrap(glued(text), width, initial_indent=first, subsequent_indent=others)
    return [line.replace(NO_BREAK, " ") for line in lines]


def half_up(number: Fraction) -> int:
    """The nearest whole number, a half upward."""
    return math.floor(number + Fraction(1, 2))


def in_both_units(mm: float) -> str:
    """Show a length in centimetres to 0.1 and in inches to 1/8, or to the finer mark that it is on.

    Args:
        mm: the length, finite; a difference may be negative.

    Returns:
        Text like "92.5 cm (36 3/8 in)", inches first where `showing_first` says so; rounded half
        up in size, each unit on its own.

    Raises:
        ValueError: not a finite number.
    """
    return beside(in_unit(mm, "cm"), in_unit(mm, "in"))


def in_unit(
    mm: float,
    unit: Unit,
    step: Fraction | None = None,
    rounded: Callable[[Fraction], int] = half_up,
) -> str:
    """Show a length in one unit.

    Args:
        mm: the length, finite; a difference may be negative.
        unit: to show it in.
        step: what it is rounded to, in that unit; None for `SHOWN_STEP`, or for the finer mark of a
            ruler in inches that the length lies on.
        rounded: how its size is rounded.

    Returns:
        Text like "92.5 cm" or "36 3/8 in".

    Raises:
        ValueError: not a finite number.

    >>> in_unit(923.9, "in"), in_unit(923.9, "cm", Fraction(1)), in_unit(25.4 * 10.4375, "in")
    ('36 3/8 in', '92 cm', '10 7/16 in')
    """
    if not math.isfinite(mm):
        raise ValueError("not a finite length")
    size = converted(abs(Fraction(mm)), "mm", unit)
    step = step or finest_step(mm, unit)
    steps = rounded(size / step)
    whole, rest = divmod(steps * step, 1)
    if unit == "in":
        number = _mixed(whole, rest)
    else:
        number = decimal(f"{float(steps * step):.{len(_decimal(step).partition('.')[2])}f}")
    return f"{'-' if mm < 0 and steps else ''}{number} {sign_of(unit)}"


def finest_step(mm: float, unit: Unit, coarse: Fraction | None = None) -> Fraction:
    """The step in which a length is shown whole, else the one that all others are rounded to.

    Args:
        mm: the length.
        unit: to show it in; finer marks than the coarse step are there in inches alone.
        coarse: the step of all others, in that unit; None for `SHOWN_STEP`.
    """
    coarse = coarse or SHOWN_STEP[unit]
    if unit != "in":
        return coarse
    size = converted(abs(Fraction(mm)), "mm", unit)
    near = converted(_ON_MARK_MM, "mm", unit)
    marks = (coarse, *_FINER_MARKS)
    return next((one for one in marks if abs(size - half_up(size / one) * one) <= near), coarse)


def _mixed(whole: int, rest: Fraction) -> str:
    """Write whole and fraction, leaving out a part that is nothing."""
    if not rest:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)


def _decimal(value: Fraction) -> str:
    """Write a fraction whose decimals end, exactly."""
    places = 0
    while (value * 10**places).denominator != 1:
        places += 1
    digits = str(int(value * 10**places)).rjust(places + 1, "0")
    return f"{digits[:-places]}.{digits[-places:]}" if places else digits
