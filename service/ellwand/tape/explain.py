"""Which slip is likeliest, if any: Bayes' rule over a sound reading and each slip.

A slip is weighed by how well the value that it undoes to fits what is expected, by how often the
slip happens, and by how much it stretches lengths (the density of a transformed variable).
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from ellwand.measurements import KINDS, LEVELS, Estimate
from ellwand.tape.order import log_order
from ellwand.tape.readings import Reading, SlipName
from ellwand.tape.repeats import TAPE_SD_MM, Taped
from ellwand.tape.slips import RATES, SOUND_RATE, UNDO

# How softly the plausible range ends (judged).
RANGE_EDGE_MM = 30.0


@dataclass(frozen=True)
class Near:
    """Expectation from photos: about a value.

    Args:
        value_mm: best value.
        u_mm: its standard uncertainty.
    """

    value_mm: float
    u_mm: float


@dataclass(frozen=True)
class Within:
    """Expectation without photos: somewhere in the plausible range, equally likely by ratio.

    Args:
        low_mm: lower end.
        high_mm: upper end.
    """

    low_mm: float
    high_mm: float


Expectation = Near | Within


@dataclass(frozen=True)
class Known:
    """What a reading is judged against.

    Args:
        estimates: from photos, by code.
        taped: every measurement's readings taken together, by code.
        sound: codes of `taped` that nothing speaks against on their own.
    """

    estimates: Mapping[str, Estimate]
    taped: Mapping[str, Taped]
    sound: frozenset[str]

    def expectation(self, code: str) -> Expectation:
        """What is expected of a measurement before the tape."""
        if code in self.estimates:
            return Near(self.estimates[code].value_mm, self.estimates[code].u_mm)
        return Within(*KINDS[code].plausible_mm)

    def neighbours(self, code: str) -> dict[str, Taped]:
        """The sound girths that an order rule may compare with this one."""
        return {other: self.taped[other] for other in self.sound if other != code}


@dataclass(frozen=True)
class Explanation:
    """One way in which readings may have come about.

    Args:
        slip: the slip, None when all readings are sound.
        reading: index of the reading that slipped.
        corrected_mm: its value with the slip undone, None when the slip leaves none to compute.
        other: code that the reading belongs to when fields are exchanged.
        probability: given all explanations considered; they sum to 1.
    """

    slip: SlipName | None
    reading: int
    corrected_mm: float | None
    other: str | None
    probability: float


def explain(
    readings: Sequence[Reading], known: Known, tape_sd_mm: float = TAPE_SD_MM
) -> tuple[Explanation, ...]:
    """Weigh sound readings against one slip in one of them.

    Args:
        readings: readings of one measurement, at least one.
        known: what they are judged against.
        tape_sd_mm: standard deviation of a sound reading.

    Returns:
        All explanations, likeliest first.
    """
    code = readings[0].code
    ways = [(Explanation(None, 0, None, None, 0.0), math.log(SOUND_RATE) + _log_fit(
        [r.mm for r in readings], code, known, tape_sd_mm))]  # fmt: skip
    for index in range(len(readings)):
        ways += _single_slips(readings, index, known, tape_sd_mm)
    if len(readings) == 1:
        ways += _exchanges(readings[0], known, tape_sd_mm)
    top = max(weight for _, weight in ways)
    total = sum(math.exp(weight - top) for _, weight in ways)
    explained = [replace(way, probability=math.exp(w - top) / total) for way, w in ways]
    return tuple(sorted(explained, key=lambda way: -way.probability))


def _single_slips(
    readings: Sequence[Reading], index: int, known: Known, tape_sd_mm: float
) -> Iterator[tuple[Explanation, float]]:
    """Weigh each slip in one of the readings."""
    code = readings[0].code
    for name, undo in UNDO.items():
        undone = undo(readings[index])
        if not undone:
            continue
        weights = []
        for way in undone:
            mms = [r.mm for r in readings]
            mms[index] = way.mm
            weights.append(way.log_weight + _log_fit(mms, code, known, tape_sd_mm))
        best = undone[max(range(len(undone)), key=weights.__getitem__)].mm
        corrected = None if name == "tape crooked or loose" else best
        rate = math.log(RATES[name] / len(readings))
        yield Explanation(name, index, corrected, None, 0.0), rate + _log_sum(weights)


def _exchanges(
    reading: Reading, known: Known, tape_sd_mm: float
) -> Iterator[tuple[Explanation, float]]:
    """Weigh that the reading belongs to another girth, whose reading, if any, belongs here."""
    code = reading.code
    if code not in LEVELS:
        return
    others = [other for other in LEVELS
              if other != code and (other in known.taped or other in known.estimates)]  # fmt: skip
    for other in others:
        there = known.taped.get(other)
        rate = math.log(RATES["fields exchanged"] / len(others))
        weight = rate + _log_density([reading.mm], known.expectation(other), tape_sd_mm)
        if there is not None:
            here, expected = [there.value_mm], known.expectation(code)
            moved = {**known.neighbours(code), other: replace(there, value_mm=reading.mm)}
            weight += log_order(code, there.value_mm, tape_sd_mm, moved)
            weight += _log_density(here, expected, there.u_mm)
            weight -= _log_density(here, known.expectation(other), there.u_mm)
        corrected = there.value_mm if there else None
        yield Explanation("fields exchanged", 0, corrected, other, 0.0), weight


def _log_fit(mms: Sequence[float], code: str, known: Known, tape_sd_mm: float) -> float:
    """Log density of readings as sound ones of a measurement, with the order rules."""
    mean = sum(mms) / len(mms)
    density = _log_density(mms, known.expectation(code), tape_sd_mm)
    return density + log_order(code, mean, tape_sd_mm, known.neighbours(code))


def _log_density(mms: Sequence[float], expected: Expectation, tape_sd_mm: float) -> float:
    """Log density of sound readings whose true value is integrated out."""
    n = len(mms)
    mean = sum(mms) / n
    variance = tape_sd_mm**2
    scatter = sum((mm - mean) ** 2 for mm in mms) / variance
    within = -0.5 * ((n - 1) * math.log(2 * math.pi * variance) + math.log(n) + scatter)
    if isinstance(expected, Near):
        between = variance / n + expected.u_mm**2
        off = (mean - expected.value_mm) ** 2 / between
        return within - 0.5 * (off + math.log(2 * math.pi * between))
    beyond = max(expected.low_mm - mean, mean - expected.high_mm, 0.0) / RANGE_EDGE_MM
    # Equally likely by ratio, so that a slip that only scales gains or loses nothing by its scale.
    level = math.log(abs(mean) * math.log(expected.high_mm / expected.low_mm))
    return within - 0.5 * beyond**2 - level


def _log_sum(weights: Sequence[float]) -> float:
    """Log of a sum of exponentials."""
    top = max(weights)
    return top + math.log(sum(math.exp(weight - top) for weight in weights))
