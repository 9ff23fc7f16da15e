"""Which readings are in doubt once all of them are held against one another.

Each reading is judged given all others that are sound. Two that contradict each other both look
bad at first; the one whose slip explains most goes first, and the rest is judged anew without it,
so that one slip throws no doubt on its neighbours.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ellwand.measurements import KINDS, LEVELS
from ellwand.tape.expect import Expected
from ellwand.tape.explain import Explanation, Known, explain, log_density_of_all, undoing
from ellwand.tape.readings import Reading
from ellwand.tape.repeats import Taped
from ellwand.tape.slips import SLIPS, SOUND_RATE, WRONG_UNIT, Undone, undo_all


@dataclass(frozen=True)
class Limits:
    """Readings are queried when it is as likely as this that something is wrong with them.

    Args:
        once: where there is one reading, or readings differ.
        agreeing: where repeats agree, which sound ones seldom do far from what is expected.
        told: where readings differ, which asks for another whatever is thought of them: from here
            a slip is told as one way in which that may be.
    """

    once: float
    agreeing: float
    told: float

    def of(self, taped: Taped) -> float:
        """The limit of a measurement."""
        return self.agreeing if taped.agree else self.once


# What one sound entry in a hundred passes, rounded, and one in seven where a slip is only told
# beside; tests/benchmarks/bench_tape.py prints them.
LIMITS = Limits(once=0.37, agreeing=0.22, told=0.02)


@dataclass(frozen=True)
class Doubts:
    """All measurements that were read, judged together.

    Args:
        known: what each was judged against, with the codes that are sound.
        ways: by code, the explanations of its readings, likeliest first.
        limits: of a doubt.
    """

    known: Known
    ways: Mapping[str, tuple[Explanation, ...]]
    limits: Limits

    def chance(self, code: str) -> float:
        """How likely it is that something is wrong with the readings of a measurement."""
        return chance_of_slip(self.ways[code])

    def wrong(self, code: str) -> tuple[Explanation, ...]:
        """The ways in which they may be wrong, likeliest first."""
        return _wrong(self.ways[code])

    def told_apart(self, code: str) -> tuple[Explanation, ...]:
        """How it may be that readings differ: by something wrong where that is worth telling."""
        return self.wrong(code) if self.chance(code) >= self.limits.told else self.ways[code]

    def scattered(self, code: str) -> bool:
        """Whether readings that differ are likelier to do so by chance."""
        return self.chance(code) < 0.5

    def likeliest(self, code: str) -> Explanation:
        """The likeliest of these."""
        return self.wrong(code)[0]


def chance_of_slip(ways: Sequence[Explanation]) -> float:
    """How likely it is that readings are not sound."""
    return sum(way.probability for way in ways if not way.sound)


def weigh(
    expected: Expected,
    readings: Mapping[str, Sequence[Reading]],
    taped: Mapping[str, Taped],
    limits: Limits = LIMITS,
) -> Doubts:
    """Find the readings in doubt.

    Args:
        expected: of every measurement that was read.
        readings: by code, those that count, at least one each.
        taped: by code, the same taken together.
        limits: how likely something wrong makes a doubt.

    Returns:
        What is sound, and how the readings of every measurement are explained given that.
    """
    undone = {code: undoing(rows) for code, rows in readings.items()}

    def known(sound: set[str]) -> Known:
        return Known(expected, readings, undone, taped, frozenset(sound))

    within = {code for code, one in taped.items() if KINDS[code].is_plausible(one.value_mm)}
    misread = set(LEVELS) if _all_in_another_unit(known(set())) else set()
    sound = within - misread
    ways: dict[str, tuple[Explanation, ...]] = {}
    while sound:
        given = known(sound)
        ways = {code: explain(code, given) for code in sorted(sound)}
        over = {code: chance_of_slip(ways[code]) / limits.of(taped[code]) for code in ways}
        worst = max(over, key=over.__getitem__)
        if over[worst] < 1:
            break
        sound -= {worst, _wrong(ways[worst])[0].partner}
    if len(sound) == len(readings):
        return Doubts(known(sound), ways, limits)
    for code in sorted(within - misread - sound):
        # It may have been another one, found later, that spoke against this one.
        if chance_of_slip(explain(code, known(sound))) < limits.of(taped[code]):
            sound.add(code)
    given = known(sound)
    ways = {code: explain(code, given) for code in readings}
    for code in misread & ways.keys():
        ways[code] = tuple(way for way in ways[code] if way.slip == WRONG_UNIT)
    return Doubts(given, ways, limits)


def _wrong(ways: Sequence[Explanation]) -> tuple[Explanation, ...]:
    """The explanations by something wrong, likeliest first."""
    return tuple(way for way in ways if not way.sound)


def _all_in_another_unit(given: Known) -> bool:
    """Whether all girths are likelier to have been typed in a wrong unit than soundly.

    Readings that are all wrong by the same factor agree with each other, so that no single one of
    them stands out once the others are taken for sound.

    Args:
        given: what is known, with nothing taken for sound.
    """
    first: dict[str, Reading] = {
        code: rows[0] for code, rows in given.readings.items() if code in LEVELS
    }
    if len(first) < 2 or len({one.unit for one in first.values()}) > 1:
        return False
    if any(explain(code, given)[0].sound for code in first):
        return False
    typed = {code: Undone(one.mm) for code, one in first.items()}
    meant = {code: undo_all(one)[WRONG_UNIT][0] for code, one in first.items()}
    if not all(KINDS[code].is_plausible(one.mm) for code, one in meant.items()):
        return False
    slip = SLIPS[WRONG_UNIT]
    odds = math.log(slip.rate * slip.again / SOUND_RATE)
    odds += log_density_of_all(meant, given.expected) - log_density_of_all(typed, given.expected)
    return odds > 0
