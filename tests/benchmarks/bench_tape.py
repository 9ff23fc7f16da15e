"""Print how many slips of the tape are caught, and how many of them are given their right name.

    python -m tests.benchmarks.bench_tape --survey FILE

FILE is the female public file of ANSUR II (Natick TR-15/007), no part of this project. Without it,
invented women stand in, which shows that the benchmark runs and nothing else. All that is shown is
of held women; the limit of a query is set on the women of the fit, for 1 % false queries.

All three girths are read; the slip is in one of them, or exchanges it with another. The survey's
waist is at the navel. Without photos the girths are those of the package's own people, whose waist
is another one, so only height, bust and hip are read there.

The last table is what a customer meets who reads each girth twice, as she is asked to: a slip is in
one reading, or with its chance to come `again` in both (`ellwand.tape.slips.SLIPS`, judged).
"""

import argparse
import random
import sys
import time
from collections import Counter
from collections.abc import Iterable, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import astuple, dataclass, field
from functools import partial
from pathlib import Path

from calibration import survey
from ellwand.tape import slips
from ellwand.tape.doubt import LIMITS, Limits
from ellwand.tape.explain import worth_telling
from tests.calibration.women import made_up

from .tape_trials import (
    BAND,
    CODES,
    EXCHANGED,
    FOLDS,
    IN_ALL,
    IN_ONE,
    NO_PHOTOS,
    NO_SLIP,
    OF_ANOTHER,
    ONCE,
    SEED,
    SLIPS,
    Readings,
    Setting,
    Woman,
    limits_for,
    read_soundly,
    slip_in,
    weighed,
    women_by_fold,
)

SETTINGS = (ONCE, IN_ONE, IN_ALL, NO_PHOTOS)
# Shares to be reached: caught, and of these named.
GOALS = {
    "inches typed as cm": (1.0, 0.98),
    "cm typed as inches": (1.0, 0.98),
    "decimal point lost": (1.0, 0.98),
    "point one place off": (1.0, 0.98),
    "doubled": (1.0, 0.98),
    "half": (1.0, 0.98),
    "wrong end of 150 cm": (0.95, 0.98),
    "10 cm too much": (0.96, 0.85),
    "10 cm too little": (0.96, 0.85),
    "digits swapped, whole cm": (0.92, 0.85),
    "digits swapped, tenths": (0.92, 0.85),
    "5 cm too much": (0.45, 0.85),
}
LEGEND = """Each cell: caught, and of those caught given the right name first. Told: named first or
second. Third: a third reading was asked for. Left: what a slip that is not caught changes the girth
by, on average. Beside: another girth is queried as well."""
# Averages of fewer missed slips than this are not printed.
_FEW = 5


@dataclass(frozen=True)
class Count:
    """Trials of one slip at one girth; weighted, so no whole numbers.

    Args:
        trials: how many.
        caught: of these, those in which the girth is queried, or the first two readings are so far
            apart that the slip is outvoted.
        named: of these, those in which the right slip is named first.
        told: of these, those in which it is named first or second.
        third: trials in which a third reading was asked for.
        left_mm: what slips that are not caught change the girth by, in all.
        neighbours: trials in which another girth is queried beside.
    """

    trials: float = 0.0
    caught: float = 0.0
    named: float = 0.0
    told: float = 0.0
    third: float = 0.0
    left_mm: float = 0.0
    neighbours: float = 0.0

    def __add__(self, other: "Count") -> "Count":
        return Count(*map(sum, zip(astuple(self), astuple(other), strict=True)))

    def share(self, weight: float) -> "Count":
        """The same as so many trials."""
        return Count(*(weight / self.trials * one for one in astuple(self)))


Counts = dict[tuple[str, str], Count]
"""By slip and code."""


@dataclass(frozen=True)
class Tally:
    """What the held women of some folds gave in one setting.

    Args:
        women: how many.
        limits: of the folds.
        counts: of all slips.
        usual: queries on women who make no slip, by code, at the package's limits.
        told: of these women, by code, those whose first two readings differ and are told a slip as
            one way in which that may be, at the same limits.
        accused: of these, those whom it is told as likelier than chance.
    """

    women: int = 0
    limits: tuple[Limits, ...] = ()
    counts: Counts = field(default_factory=dict)
    usual: Counter[str] = field(default_factory=Counter)
    told: Counter[str] = field(default_factory=Counter)
    accused: Counter[str] = field(default_factory=Counter)

    def __add__(self, other: "Tally") -> "Tally":
        counts = {
            key: self.counts.get(key, Count()) + other.counts.get(key, Count())
            for key in {**self.counts, **other.counts}
        }
        return Tally(
            self.women + other.women,
            self.limits + other.limits,
            counts,
            self.usual + other.usual,
            self.told + other.told,
            self.accused + other.accused,
        )


def count_slips(women: Iterable[Woman], setting: Setting, limits: Limits) -> Counts:
    """Let every woman make every slip at every girth."""
    rng = random.Random(SEED)  # noqa: S311, a trial and no secret
    counts: Counts = {}
    for woman in women:
        for name, (_, _, tenths) in SLIPS.items():
            if name == EXCHANGED and not setting.again:
                continue
            usual = woman.typing(tenths)
            for code in CODES[:1] if name == BAND else setting.codes:
                case = slip_in(name, code, usual, setting, rng)
                if case is not None:
                    one = outcome(name, code, usual, setting, case, limits)
                    counts[name, code] = counts.get((name, code), Count()) + one
    return counts


def outcome(
    name: str,
    code: str,
    woman: Woman,
    setting: Setting,
    case: tuple[Readings, set[str]],
    limits: Limits,
) -> Count:
    """What comes of one slip of one woman.

    Args:
        name: the slip.
        code: where it is.
        woman: who makes it.
        setting: how she measures.
        case: all that she reads, and the codes that the slip spoils.
        limits: of a query.
    """
    readings, spoilt = case
    doubts = weighed(woman, setting, readings, limits)
    queried = code not in doubts.known.sound
    third = len(readings[code]) > 2
    caught = queried
    ways = doubts.wrong(code)
    if third and not setting.again and name != NO_SLIP:
        # The first two were apart: she was told so, and why, and read on.
        caught = True
        first = {**readings, code: readings[code][:2]}
        ways = weighed(woman, setting, first, limits).told_apart(code)
    named = [way.slip for way in worth_telling(ways)] if caught else []
    off_mm = abs(doubts.known.taped[code].value_mm - woman.meant_mm(code, len(readings[code])))
    return Count(
        1,
        caught,
        SLIPS[name][1] in named[:1],
        SLIPS[name][1] in named,
        third,
        0.0 if caught else off_mm,
        bool(set(setting.codes) - spoilt - doubts.known.sound),
    )


def count_false(women: Iterable[Woman], setting: Setting) -> Counter[str]:
    """Count queries on women who make no slip, by code, at the package's limits."""
    return Counter(
        code
        for woman in women
        for code in set(setting.codes)
        - weighed(woman, setting, read_soundly(woman, setting), LIMITS).known.sound
    )


def count_told(women: Iterable[Woman], setting: Setting) -> tuple[Counter[str], Counter[str]]:
    """Count women who make no slip, but whose first two readings differ, by code.

    Returns:
        Those who are told a slip, and of these those whom it is told as likelier than chance.
    """
    told: Counter[str] = Counter()
    accused: Counter[str] = Counter()
    for woman in women:
        readings = read_soundly(woman, setting)
        for code in (code for code, rows in readings.items() if len(rows) > 2):
            doubts = weighed(woman, setting, {**readings, code: readings[code][:2]}, LIMITS)
            slip = doubts.told_apart(code)[0].slip is not None
            told[code] += slip
            accused[code] += slip and not doubts.scattered(code)
    return told, accused


def try_fold(setting: Setting, most: int | None, fold: tuple[list[Woman], list[Woman]]) -> Tally:
    """Set the limit on the women of the fit, and try all slips on the held ones.

    Args:
        setting: how they measure.
        most: at most so many held women.
        fold: women of the fit, held women.
    """
    used, held = fold
    # Every so many women, because rows of the file that lie together are alike.
    tried = held if most is None else held[:: -(-len(held) // most)]
    limits = limits_for(used, setting)
    return Tally(
        len(tried),
        (limits,),
        count_slips(tried, setting, limits),
        count_false(tried, setting),
        *count_told(tried, setting),
    )


def again_of(name: str) -> float:
    """How often a slip, once it has happened, spoils every repeat alike."""
    if name == OF_ANOTHER:
        return slips.TYPED_TWICE.again
    return slips.SLIPS[SLIPS[name][1] or slips.COUNTED].again


def as_habits_have_it(one: Counts, every: Counts) -> Counts:
    """Mix slips in the first reading with slips in all, as their habits have it.

    Args:
        one: with the slip in the first reading.
        every: with the slip in all.
    """
    mixed: Counts = {}
    for (name, code), in_all in every.items():
        again = again_of(name)
        if name == EXCHANGED:
            mixed[name, code] = in_all
        elif (name, code) in one:
            weight = in_all.trials
            mixed[name, code] = (
                in_all.share(again * weight) + one[name, code].share((1 - again) * weight)
            )  # fmt: skip
    return mixed


def print_table(codes: tuple[str, ...], counts: Counts, goals: Mapping[str, object]) -> None:
    """Print a row for each slip."""
    heads = "".join(f"{head:>16}" for head in (*codes, "all"))
    more = "".join(f"{head:>8}" for head in ("told", "third", "left", "beside"))
    print(f"{'slip':25}{heads}{more}" + ("            goal" if goals else ""))
    for name in SLIPS:
        rows = [counts.get((name, code)) for code in codes]
        found = [row for row in rows if row is not None]
        if not found:
            continue
        total = sum(found, Count())
        missed = total.trials - total.caught
        cells = [_cell(row) for row in (*rows, total)]
        cells += [
            f"{_percent(total.told, total.caught):>8}",
            f"{_percent(total.third, total.trials):>8}",
            f"{total.left_mm / missed:>5.0f} mm" if missed > _FEW else f"{'-':>8}",
            f"{_percent(total.neighbours, total.trials):>8}",
        ]
        if name in GOALS and goals:
            cells.append("".join(f"{100 * share:>6.0f} %" for share in GOALS[name]))
        print(f"{name:25}" + "".join(cells))


def _percent(part: float, whole: float) -> str:
    return f"{100 * part / whole:.1f} %" if whole else "-"


def _cell(count: Count | None) -> str:
    if count is None:
        return f"{'-':>16}"
    caught, named = _percent(count.caught, count.trials), _percent(count.named, count.caught)
    return f"{caught:>8}{named:>8}"


def main(arguments: list[str]) -> int:
    """Run all settings and print a table of each."""
    parser = argparse.ArgumentParser(description="How many slips of the tape are caught and named.")
    parser.add_argument("--survey", type=Path, help="female public file, ANSUR II")
    parser.add_argument("--women", type=int, help="of each fold at most so many held women")
    parser.add_argument(
        "--setting", type=int, action="append", choices=range(len(SETTINGS)), help="only these"
    )
    parser.add_argument("--fold", type=int, choices=range(FOLDS), help="only this one")
    given = parser.parse_args(arguments)
    table = survey.read(given.survey) if given.survey else made_up(100)
    folds = list(women_by_fold(table))
    if given.fold is not None:
        folds = [folds[given.fold]]
    if given.survey is None:
        print("INVENTED WOMEN: these figures mean nothing.")
    print(LEGEND)
    tallies = {}
    with ProcessPoolExecutor() as processes:
        for number, setting in enumerate(SETTINGS):
            if number not in (given.setting or range(len(SETTINGS))):
                continue
            start = time.perf_counter()
            tried = processes.map(partial(try_fold, setting, given.women), folds)
            tallies[setting] = tally = sum(tried, Tally())
            seconds = time.perf_counter() - start
            print(f"\n{setting.title} ({tally.women} held women, {seconds:.0f} s)")
            print("limits of the folds", *(f"{one.agreeing:.3f}" for one in tally.limits))
            if setting.repeated:
                print("when readings differ", *(f"{one.told:.3f}" for one in tally.limits))
            print_table(setting.codes, tally.counts, GOALS if setting == ONCE else {})
            usual = [_percent(tally.usual[code], tally.women) for code in setting.codes]
            print("no slip, queried at the package's limits:", *usual)
            if setting.repeated:
                for words, found in (
                    ("told one when two readings differ", tally.told),
                    ("as likelier than chance", tally.accused),
                ):
                    shares = [_percent(found[code], tally.women) for code in setting.codes]
                    print(f"no slip, {words}:", *shares)
    if {IN_ONE, IN_ALL} <= tallies.keys():
        print(
            "\neach girth read until readings agree, the slip in the first or in all by its habit"
        )
        mixed = as_habits_have_it(tallies[IN_ONE].counts, tallies[IN_ALL].counts)
        print_table(CODES, mixed, GOALS)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
