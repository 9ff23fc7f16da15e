"""Slips: how a sound reading becomes a wrong one, how often, and what undoes it.

Every way to undo a slip gives the value that the tape should have shown, how the density of that
value becomes one of the number typed, and how well the number's form goes with the slip.
"""

import itertools
import math
import re
from collections.abc import Callable
from dataclasses import dataclass, replace

from ellwand.girth.people import STATURE
from ellwand.measurements import LEVELS
from ellwand.quantity import CM_PER_M, MM_PER, Unit, run_together
from ellwand.tape.form import look_at
from ellwand.tape.mistyped import readable
from ellwand.tape.readings import Reading, SlipName

MM_PER_INCH = float(MM_PER["in"])
MM_PER_CM = float(MM_PER["cm"])
# Common lengths of a dressmaker's tape (common practice, no source).
TAPE_LENGTH_MM = {"cm": 1500.0, "mm": 1500.0, "in": 60 * MM_PER_INCH}
# What a crooked or slack tape adds: 20 to 60 mm, equally likely (judged); here its mean and sd.
LOOSE_MM = (20.0, 60.0)
LOOSE_MEAN_MM = sum(LOOSE_MM) / 2
LOOSE_SD_MM = (LOOSE_MM[1] - LOOSE_MM[0]) / math.sqrt(12)


@dataclass(frozen=True)
class Habit:
    """How a slip happens.

    Args:
        rate: share of entries that it spoils.
        again: when it has happened, chance that it spoils every repeat alike.
    """

    rate: float
    again: float


WRONG_UNIT: SlipName = "wrong unit"
EXCHANGED: SlipName = "fields exchanged"
SIZE_TYPED: SlipName = "size typed for a girth"
COUNTED: SlipName = "counted from the 10 cm mark"
# How slips happen to a woman alone with her tape. All of them are judged: nobody has counted them.
# Within what seems likely of people they are set so that slips get their right name (DEVELOPERS,
# "Doubting a reading"). Fields exchanged are always exchanged with all their repeats.
SLIPS: dict[SlipName, Habit] = {
    WRONG_UNIT: Habit(0.020, 0.8),
    "tape crooked or loose": Habit(0.022, 0.5),
    COUNTED: Habit(0.009, 0.6),
    "a ten misread": Habit(0.012, 0.2),
    "digits swapped": Habit(0.020, 0.02),
    EXCHANGED: Habit(0.006, 1.0),
    "tape read from its other end": Habit(0.013, 0.7),
    "decimal point lost": Habit(0.006, 0.4),
    "tape doubled": Habit(0.0085, 0.7),
    SIZE_TYPED: Habit(0.0006, 0.9),
}
# The number of another girth that was read, typed here once more: "fields exchanged", too, though
# the other has its own. With any girth that was read; rarer than an exchange. Judged, then halved,
# with fewer of them not copied: DEVELOPERS, "Doubting a reading", says why.
TYPED_TWICE = Habit(0.002, 0.7)
# Share of these that are copied; the rest are measured at the other girth once more (judged).
COPIED = 0.9
# Two girths that have the same number to the millimetre are no better evidence of a copy than two
# that have the same to this step: on some bodies high bust and full bust do (judged).
COPIED_STEP_MM = 10.0
# A mishap that has no name: some centimetres off, or anything at all (judged).
NAMELESS = Habit(0.010, 0.5)
# Its shares, and how far each is off.
NAMELESS_SD_MM = ((0.8, 60.0), (0.2, 400.0))
SOUND_RATE = 1 - sum(habit.rate for habit in (*SLIPS.values(), TYPED_TWICE, NAMELESS))

# What was meant when a number is taken for one unit (judged). Heights may be meant in metres, too.
_UNITS_MEANT: dict[Unit, tuple[tuple[Unit, float], ...]] = {
    "cm": (("in", 0.998), ("mm", 0.002)),
    "in": (("cm", 1.0),),
    "mm": (("cm", 0.7), ("in", 0.3)),
}
# Of heights that are sound, those typed in inches alone: most are in feet and inches (judged).
_INCHES_ALONE = 0.25
# Share of unit slips left where she typed the unit herself (judged).
_UNIT_NAMED = 0.3
# Of lost decimal points: those that the number's form speaks for (judged).
_POINT_AS_TYPED = 0.9
# Share of tapes gone round twice that show more than usual tapes have (judged).
_BEYOND_TAPE = 0.1
# How much likelier a number that begins with a nought, like 011, is after a swap (judged).
_LEADING_ZERO = 100.0
# A size stands for a full bust give or take this (judged: worn bands are off by 4 in on average).
_BAND_SD_MM, _DRESS_SD_MM = 70.0, 60.0
FULL_BUST = "full_bust"
_BUSTS = ("high_bust", FULL_BUST, "underbust")
# First, last, step.
_BANDS: dict[Unit, tuple[float, float, int]] = {"cm": (60, 120, 5), "in": (28, 50, 2)}
# First, last, full bust at number 0, and by how much it grows with the number.
_DRESS_SIZES = (
    (30, 60, 12 * MM_PER_CM, 2 * MM_PER_CM),
    (2, 28, 31.5 * MM_PER_INCH, 0.68 * MM_PER_INCH),
)


@dataclass(frozen=True)
class Undone:
    """A value that the tape should have shown, were it not for a slip.

    Args:
        mm: the value.
        share: its share within the slip.
        gain: density that the number typed has over that of the value: how much the slip presses
            lengths together, and how much better the number's form goes with it.
        sd_mm: how far the value itself may be off, because the slip blurs it.
        of: code of the girth that it stands for, None for the one that was typed.
    """

    mm: float
    share: float = 1.0
    gain: float = 1.0
    sd_mm: float = 0.0
    of: str | None = None


def _scaled(reading: Reading, factor: float, share: float) -> Undone:
    """The reading times a factor."""
    return Undone(reading.mm * factor, share, gain=factor)


def _moved(reading: Reading, step_mm: float, share: float = 1.0) -> list[Undone]:
    """The reading less a step; a tape shows no negative length."""
    return [Undone(reading.mm - step_mm, share)] if reading.mm > step_mm else []


def _wrong_unit(reading: Reading) -> list[Undone]:
    """Taken for one unit, read from a tape in another."""
    typed, taken = look_at(reading.raw), reading.unit
    named = _UNIT_NAMED if typed.unit_named else 1.0
    found = []
    for tape, share in _UNITS_MEANT[taken]:
        one = _scaled(reading, float(MM_PER[tape] / MM_PER[taken]), share * named)
        found.append(replace(one, gain=one.gain * typed.likelihood_ratio(tape, taken)))
    if reading.code == STATURE and taken == "cm":
        found.append(_scaled(reading, CM_PER_M, named))
    if reading.code == STATURE and (meant := run_together(reading.raw)):
        # The next inch is the next number typed; after a point it is a tenth or a hundredth.
        step_mm = float(MM_PER[taken]) / 10 ** len(re.findall(r"[.,]([0-9]*)|$", reading.raw)[0])
        found.append(Undone(meant.mm, gain=MM_PER_INCH / step_mm / _INCHES_ALONE))
    return found


def _decimal_point_lost(reading: Reading) -> list[Undone]:
    """Ten times too large without its point, or too small with a point that is one place off."""
    lost = look_at(reading.raw).form == "whole"
    larger = _POINT_AS_TYPED if lost else 1 - _POINT_AS_TYPED
    return [_scaled(reading, 0.1, larger), _scaled(reading, 10.0, 1 - larger)]


def _tape_doubled(reading: Reading) -> list[Undone]:
    """Half the girth, or twice: the latter only where most tapes are long enough to show it."""
    longest = TAPE_LENGTH_MM[reading.unit]
    half = 0.5 if 4 * reading.mm <= longest else 1 - _BEYOND_TAPE
    twice = 0.5 if reading.mm <= longest else _BEYOND_TAPE
    return [_scaled(reading, 2.0, half), _scaled(reading, 0.5, twice)]


def _other_end(reading: Reading) -> list[Undone]:
    shown = TAPE_LENGTH_MM[reading.unit] - reading.mm
    return [Undone(shown)] if shown > 0 else []


def _counted_from_mark(reading: Reading) -> list[Undone]:
    return _moved(reading, MM_PER_INCH if reading.unit == "in" else 10 * MM_PER_CM)


def _ten_misread(reading: Reading) -> list[Undone]:
    """A ten of the tape too few or too many; in centimetres too many is the slip before."""
    ten = 10 * (MM_PER_INCH if reading.unit == "in" else MM_PER_CM)
    if reading.unit == "in":
        return [*_moved(reading, -ten, 0.5), *_moved(reading, ten, 0.5)]
    return _moved(reading, -ten)


def _crooked(reading: Reading) -> list[Undone]:
    if reading.code not in LEVELS:
        return []
    return [replace(one, sd_mm=LOOSE_SD_MM) for one in _moved(reading, LOOSE_MEAN_MM)]


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
        swapped = "".join(text)
        if _begins_with_nothing(swapped[first.start() :]):
            continue
        if one := readable(swapped, reading.unit):
            values.append(one.mm)
    other = [mm for mm in values if mm != reading.mm]
    gain = _LEADING_ZERO if _begins_with_nothing(first[0]) else 1.0
    return [Undone(mm, 1 / len(other), gain) for mm in other]


def _begins_with_nothing(number: str) -> bool:
    """Whether a number begins with a nought that nobody types on purpose, like 011."""
    return number[0] == "0" and number[1:2].isdigit()


def _size_typed(reading: Reading) -> list[Undone]:
    """A bra band or dress size in place of a girth; it only hints at the bust.

    Bands: EN 13402, the underbust to the nearest 5 cm, and even inches; a full bust is about 15 cm
    more (ASTM D5585-11e1, table 1: 5 3/8 to 6 3/8 in). Dress sizes: even numbers; European ones
    2 N + 12 cm of bust (from memory), American ones by the same table.
    """
    unit_mm = float(MM_PER[reading.unit])
    number = reading.mm / unit_mm
    if look_at(reading.raw).form != "whole" or reading.code not in LEVELS:
        return []
    found = []
    low, high, step = _BANDS.get(reading.unit, (1, 0, 1))
    if reading.code in _BUSTS and low <= number <= high and number % step == 0:
        # Only every so many numbers are sizes, which makes each likelier.
        found.append(Undone(reading.mm + 150.0, 0.5, step, _BAND_SD_MM, FULL_BUST))
    for first, last, start_mm, per_number_mm in _DRESS_SIZES:
        if first <= number <= last and number % 2 == 0:
            bust_mm = start_mm + per_number_mm * number
            gain = 2 * per_number_mm / unit_mm
            found.append(Undone(bust_mm, 0.25, gain, _DRESS_SD_MM, FULL_BUST))
    return found


UNDO: dict[SlipName, Callable[[Reading], list[Undone]]] = {
    WRONG_UNIT: _wrong_unit,
    "tape crooked or loose": _crooked,
    COUNTED: _counted_from_mark,
    "a ten misread": _ten_misread,
    "digits swapped": _digits_swapped,
    "tape read from its other end": _other_end,
    "decimal point lost": _decimal_point_lost,
    "tape doubled": _tape_doubled,
    SIZE_TYPED: _size_typed,
}
# A height is measured along a wall, and many know theirs by heart.
_OF_A_HEIGHT: tuple[SlipName, ...] = (
    WRONG_UNIT,
    "a ten misread",
    "digits swapped",
    "decimal point lost",
)


def undo_all(reading: Reading) -> dict[SlipName, list[Undone]]:
    """Undo every slip that may have happened to one reading.

    Args:
        reading: as typed.

    Returns:
        By slip, the values that the tape may have shown; none where the slip cannot be.
    """
    names = _OF_A_HEIGHT if reading.code == STATURE else UNDO
    return {name: UNDO[name](reading) for name in names}
