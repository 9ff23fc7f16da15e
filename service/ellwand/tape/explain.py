"""Which slip is likeliest, if any: Bayes' rule over sound readings and each slip.

A slip is weighed by how well the values that it undoes to fit what is expected of the measurement,
and each other; by how often it happens; by how much it stretches lengths (the density of a
transformed variable); and by how well the typed number goes with it.
"""

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from ellwand.girth.people import STATURE
from ellwand.measurements import KINDS, LEVELS
from ellwand.quantity import MM_PER
from ellwand.tape.expect import Expected
from ellwand.tape.form import look_at
from ellwand.tape.readings import Reading, SlipName
from ellwand.tape.repeats import COMMON_SD_MM, REPEAT_SD_MM, ROUNDING_MM, Taped, summarise
from ellwand.tape.slips import (
    COPIED,
    COPIED_STEP_MM,
    COUNTED,
    EXCHANGED,
    FULL_BUST,
    NAMELESS,
    NAMELESS_SD_MM,
    SIZE_TYPED,
    SLIPS,
    SOUND_RATE,
    TYPED_TWICE,
    Habit,
    Undone,
    undo_all,
)

# An exchange is weighed in full only where it might be likelier than this (log of a probability).
_HOPELESS = -12.0
_LOG_2PI = math.log(2 * math.pi)


# By slip, for each reading of a measurement, the values that it may be undone to.
Undoing = tuple[tuple[SlipName, list[list[Undone]]], ...]


@dataclass(frozen=True)
class Known:
    """What readings are judged against.

    Args:
        expected: before the tape.
        readings: by code, the readings of every measurement that count.
        undone: by code, what each slip in each of them undoes to.
        taped: by code, the same taken together.
        sound: codes whose readings may be relied on.
    """

    expected: Expected
    readings: Mapping[str, Sequence[Reading]]
    undone: Mapping[str, Undoing]
    taped: Mapping[str, Taped]
    sound: frozenset[str]

    def without(self, *codes: str) -> Expected:
        """What is expected once all sound readings but those of some measurements are known."""
        others = {code: self.taped[code] for code in sorted(self.sound) if code not in codes}
        return self.expected.given(others)


@dataclass(frozen=True)
class Explanation:
    """One way in which the readings of a measurement may have come about.

    Args:
        sound: whether they are as they should be.
        slip: the slip, None when they are sound or off for no cause that has a name.
        reading: index of the reading that slipped, None when all of them did.
        corrected_mm: its value with the slip undone, None when the slip leaves none to compute.
        other: code that the reading belongs to when fields are exchanged.
        probability: given all explanations considered; they sum to 1.
        copied: whether the number is one that was typed for the other girth.
    """

    sound: bool
    slip: SlipName | None
    reading: int | None
    corrected_mm: float | None
    other: str | None
    probability: float
    copied: bool = False

    @property
    def partner(self) -> str | None:
        """Code of the girth whose readings are wrong as well, because they belong here."""
        return None if self.corrected_mm is None else self.other


# A second slip is told when it is at least so many times as likely as the first (judged).
_ALSO_LIKELY = 1 / 3
# Of two girths out of order it is the first thought that they changed places (judged).
_ALSO_OUT_OF_ORDER = 1 / 20
SOUND = Explanation(True, None, None, None, None, 0.0)
Weighed = tuple[Explanation, float]


def explain(code: str, known: Known) -> tuple[Explanation, ...]:
    """Weigh sound readings of a measurement against each slip, given all other sound readings.

    Args:
        code: one that has readings.
        known: what they are judged against.

    Returns:
        All explanations, likeliest first.
    """
    given = known.without(code)
    ways = _own(code, known, given)
    ways += _typed_twice(code, known, given)
    ways += _exchanges(code, known, _log_sum([weight for _, weight in ways]))
    total = _log_sum([weight for _, weight in ways])
    explained = [replace(way, probability=math.exp(weight - total)) for way, weight in ways]
    return tuple(sorted(explained, key=lambda way: -way.probability))


def worth_telling(
    ways: Sequence[Explanation], partner: str | None = None
) -> tuple[Explanation, ...]:
    """The likeliest explanation, and a second slip in the same reading that is not much less so.

    Some slips show the same number: half of 100 cm and the other end of a tape of 150 cm do.

    Args:
        ways: explanations, likeliest first, at least one.
        partner: code of the girth that the readings are out of order with, if they are; that both
            changed places is then told as well, unless it is far less likely.
    """
    first = ways[0]
    told = [first]
    for way in ways[1:]:
        likely = way.probability >= _ALSO_LIKELY * first.probability
        if likely and way.slip not in (None, first.slip) and way.reading == first.reading:
            told.append(way)
            break
    for way in ways:
        likely = way.probability >= _ALSO_OUT_OF_ORDER * first.probability
        if partner and way.partner == partner and likely and way not in told:
            told.append(way)
    return tuple(told)


def _own(code: str, known: Known, given: Expected) -> list[Weighed]:
    """Weigh sound readings and every slip that concerns this measurement alone."""
    rows = known.readings[code]
    plain = [Undone(row.mm) for row in rows]
    ways = [(SOUND, math.log(SOUND_RATE) + _log_density(plain, code, given))]
    for name, undone in known.undone[code]:
        if name == SIZE_TYPED and FULL_BUST not in given.joint.codes:
            continue
        alike = not (name == COUNTED and _in_inches(rows))
        ways += _slipped(name, SLIPS[name], plain, undone, code, given, alike=alike)
    for share, sd_mm in NAMELESS_SD_MM:
        ways += _slipped(None, NAMELESS, plain, _blurred(plain, share, sd_mm), code, given)
    return ways


def undoing(rows: Sequence[Reading]) -> Undoing:
    """Undo every slip in every reading of a measurement."""
    undone = [undo_all(row) for row in rows]
    return tuple((name, [one[name] for one in undone]) for name in undone[0])


def _in_inches(rows: Sequence[Reading]) -> bool:
    """Whether a count from the first mark would be an inch: seen where repeats differ by it only.

    Nothing else that is known is as sharp as that, so it is told of one among several readings.
    """
    return any(row.unit == "in" for row in rows)


def _blurred(plain: Sequence[Undone], share: float, sd_mm: float) -> list[list[Undone]]:
    """Readings that may be off by anything of a size."""
    return [[Undone(one.mm, share, sd_mm=sd_mm)] for one in plain]


def _slipped(
    name: SlipName | None,
    habit: Habit,
    plain: Sequence[Undone],
    undone: Sequence[Sequence[Undone]],
    code: str,
    given: Expected,
    *,
    alike: bool = True,
) -> Iterator[Weighed]:
    """Weigh one slip in one of the readings, and, unless it cannot be told, in all of them.

    Of a single reading one and all are the same.
    """
    count = len(plain)
    if count == 1 and not alike:
        return
    once = habit.rate if count == 1 else habit.rate * (1 - habit.again) / count
    cases: list[tuple[int | None, float, list[list[Undone]]]] = [
        (k, once, [[*plain[:k], one, *plain[k + 1 :]] for one in options])
        for k, options in enumerate(undone)
    ]
    if count > 1 and alike:
        together = [list(rows) for rows in zip(*undone, strict=False)]
        cases.append((None, habit.rate * habit.again, together))
    for reading, rate, choices in cases:
        if not choices:
            continue
        weights = [
            math.log(rate * rows[reading or 0].share) + _log_density(rows, code, given)
            for rows in choices
        ]
        best = choices[max(range(len(choices)), key=weights.__getitem__)][reading or 0]
        corrected = None if best.sd_mm else best.mm
        yield Explanation(False, name, reading, corrected, None, 0.0), _log_sum(weights)


def _exchanges(code: str, known: Known, own: float) -> Iterator[Weighed]:
    """Weigh that the readings belong to another girth, whose readings, if any, belong here.

    Args:
        code: the measurement.
        known: what it is judged against.
        own: log weight of all explanations by this measurement alone.
    """
    codes = [other for other in known.expected.joint.codes if other in LEVELS]
    if code not in codes or len(codes) == 1:
        return
    rate = math.log(SLIPS[EXCHANGED].rate / (len(codes) - 1))
    here = [Undone(row.mm) for row in known.readings[code]]
    for other in codes:
        if other == code:
            continue
        rest = known.without(code, other)
        there = [Undone(row.mm) for row in known.readings.get(other, ())]
        if there:
            moved = rest.given({code: known.taped[other]})
            weight = _log_density(there, code, rest) + _log_density(here, other, moved)
            # Against that stands that the others are there for whatever cause of their own.
            nameless = _slipped(
                None, NAMELESS, there, _blurred(there, *NAMELESS_SD_MM[-1]), other, rest
            )
            if rate + weight - _log_sum([one for _, one in nameless]) < own + _HOPELESS:
                continue
            weight -= _log_sum([one for _, one in _own(other, known, rest)])
        else:
            weight = _log_density(here, other, rest)
        corrected = known.taped[other].value_mm if there else None
        yield Explanation(False, EXCHANGED, None, corrected, other, 0.0), rate + weight


def _typed_twice(code: str, known: Known, given: Expected) -> Iterator[Weighed]:
    """Weigh that readings are of another girth, whose own readings are right where they stand.

    She measured the other girth once more, or she copied its number, or that of her height. The
    first reading that slipped is then any number of the other girth's to the step in which it is
    typed itself; the rest follow it as repeats do, because who copies a number often copies it for
    all.

    Args:
        code: the measurement.
        known: what it is judged against.
        given: what is expected once all other sound readings are known.
    """
    if code not in LEVELS:
        return
    rows = known.readings[code]
    # What no body has belongs nowhere.
    within = {one for one, held in known.taped.items() if KINDS[one].is_plausible(held.value_mm)}
    others = [one for one in (*LEVELS, STATURE) if one in within - {code}]
    once, count = 1 - TYPED_TWICE.again, len(rows)
    cases: list[tuple[int | None, float]] = [(0, 1.0)]
    if count > 1:
        cases = [(None, TYPED_TWICE.again), *((k, once / count) for k in range(count))]
    for other, (reading, share) in itertools.product(others, cases):
        first, there = rows[reading or 0], known.readings[other]
        moved = [
            Undone(row.mm, of=other if reading in (None, k) else None) for k, row in enumerate(rows)
        ]
        measured = _log_density(moved, code, given)
        weights = [math.log(1 - COPIED) + measured]
        if density := _copied_density(first, there):
            rest = measured - _log_density([Undone(first.mm, of=other)], code, given)
            weights.append(math.log(COPIED * density) + rest)
        copied = any(abs(row.mm - first.mm) <= ROUNDING_MM for row in there)
        rate = math.log(TYPED_TWICE.rate * share / len(others))
        way = Explanation(False, EXCHANGED, reading, None, other, 0.0, copied)
        yield way, rate + _log_sum(weights)


def _copied_density(reading: Reading, others: Sequence[Reading]) -> float:
    """Density of a reading, per mm, that is one of some others, rounded to its own step."""
    half_mm = look_at(reading.raw).half_step * float(MM_PER[reading.unit])
    near = [row for row in others if abs(row.mm - reading.mm) <= half_mm + ROUNDING_MM]
    return len(near) / len(others) / max(2 * half_mm, COPIED_STEP_MM)


def _log_density(rows: Sequence[Undone], code: str, given: Expected) -> float:
    """Log density of readings typed, whose true value is integrated out.

    The true value and what all repeats have in common is one normal variable; each reading adds a
    doubt of its own, and moves what is known for the next.
    """
    total = 0.0
    shared = min(row.sd_mm for row in rows)
    for target in dict.fromkeys(row.of or code for row in rows):
        mean, variance = given.normal(target)
        first = True
        for row in rows:
            if (row.of or code) != target:
                continue
            own_mm = math.sqrt(REPEAT_SD_MM**2 + row.sd_mm**2 - shared**2)
            x, own = given.on_scale(target, row.mm, own_mm)
            if first:
                common_mm = math.hypot(COMMON_SD_MM, shared)
                variance += given.on_scale(target, row.mm, common_mm)[1] ** 2
                first = False
            between = variance + own**2
            total -= 0.5 * ((x - mean) ** 2 / between + _LOG_2PI + math.log(between))
            total += given.log_slope(target, row.mm) + math.log(row.gain)
            mean += variance * (x - mean) / between
            variance *= own**2 / between
    return total


def log_density_of_all(values: Mapping[str, Undone], expected: Expected) -> float:
    """Log density of one reading of each of several measurements, all together."""
    total, given = 0.0, expected
    for code, value in values.items():
        total += _log_density([value], code, given)
        given = given.given({code: summarise([value.mm])})
    return total


def _log_sum(weights: Sequence[float]) -> float:
    """Log of a sum of exponentials."""
    top = max(weights)
    return top + math.log(sum(math.exp(weight - top) for weight in weights))
