"""Slips: how a sound reading becomes a wrong one. Each is a transformation that undoes itself."""

import itertools
import math
import re
from collections.abc import Callable
from dataclasses import dataclass

from ellwand.errors import EntryProblem
from ellwand.quantity import MM_PER, parse_length
from ellwand.tape.readings import Reading, SlipName

MM_PER_INCH = float(MM_PER["in"])
MM_PER_CM = float(MM_PER["cm"])
# Common lengths of a dressmaker's tape (common practice, no source).
TAPE_LENGTH_MM = {"cm": 1500.0, "mm": 1500.0, "in": 60 * MM_PER_INCH}
# What a crooked or slack tape adds (judged).
LOOSE_MM = (20.0, 60.0)
LOOSE_STEPS = 21
# How often a slip happens among entries (judged; their sum is small against sound entries).
RATES: dict[SlipName, float] = {
    "wrong unit": 0.012,
    "tape crooked or loose": 0.010,
    "digits swapped": 0.006,
    "counted from the 10 cm mark": 0.006,
    "fields exchanged": 0.006,
    "tape read from its other end": 0.004,
    "decimal point lost": 0.004,
    "tape doubled": 0.002,
}
SOUND_RATE = 1 - sum(RATES.values())


@dataclass(frozen=True)
class Undone:
    """A value that the tape may have shown, were it not for a slip.

    Args:
        mm: the value.
        log_weight: log of its share within the slip times the stretch.
    """

    mm: float
    log_weight: float = 0.0


def _scaled(reading: Reading, *factors: float) -> list[Undone]:
    """The reading times each factor, equally likely."""
    share = math.log(len(factors))
    return [Undone(reading.mm * factor, math.log(factor) - share) for factor in factors]


def _moved(reading: Reading, *steps_mm: float) -> list[Undone]:
    """The reading less each step, equally likely; a tape shows no negative length."""
    share = math.log(len(steps_mm))
    return [Undone(reading.mm - step, -share) for step in steps_mm if reading.mm > step]


def _wrong_unit(reading: Reading) -> list[Undone]:
    inch_per_cm = MM_PER_INCH / MM_PER_CM
    if reading.unit == "in":
        return _scaled(reading, 1 / inch_per_cm)
    if reading.unit == "cm":
        return _scaled(reading, inch_per_cm)
    return _scaled(reading, MM_PER_CM, MM_PER_INCH)


def _decimal_point_lost(reading: Reading) -> list[Undone]:
    return _scaled(reading, 10.0, 0.1)


def _tape_doubled(reading: Reading) -> list[Undone]:
    return _scaled(reading, 2.0, 0.5)


def _other_end(reading: Reading) -> list[Undone]:
    shown = TAPE_LENGTH_MM[reading.unit] - reading.mm
    return [Undone(shown)] if shown > 0 else []


def _counted_from_mark(reading: Reading) -> list[Undone]:
    return _moved(reading, MM_PER_INCH if reading.unit == "in" else 10 * MM_PER_CM)


def _crooked(reading: Reading) -> list[Undone]:
    low, high = LOOSE_MM
    step = (high - low) / (LOOSE_STEPS - 1)
    return _moved(reading, *(low + step * i for i in range(LOOSE_STEPS)))


def _digits_swapped(reading: Reading) -> list[Undone]:
    """Swap each pair of neighbouring digits of the first number typed."""
    first = re.search(r"[0-9]+(?:[.,][0-9]+)?", reading.raw)
    if first is None:
        return []
    places = [place for place in range(*first.span()) if reading.raw[place].isdigit()]
    values = []
    for left, right in itertools.pairwise(places):
        text = list(reading.raw)
        text[left], text[right] = text[right], text[left]
        try:
            values.append(parse_length("".join(text), reading.unit).mm)
        except EntryProblem:
            continue
    other = [mm for mm in values if mm != reading.mm]
    return [Undone(mm, -math.log(len(other))) for mm in other]


UNDO: dict[SlipName, Callable[[Reading], list[Undone]]] = {
    "wrong unit": _wrong_unit,
    "tape crooked or loose": _crooked,
    "digits swapped": _digits_swapped,
    "counted from the 10 cm mark": _counted_from_mark,
    "tape read from its other end": _other_end,
    "decimal point lost": _decimal_point_lost,
    "tape doubled": _tape_doubled,
}
