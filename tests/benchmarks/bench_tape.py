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
from ellwand.tape.doubt import QUERY_PROBABILITY
from ellwand.tape.explain import worth_telling
from tests.calibration.women import made_up

from .tape_trials import (
    BAND,
    CODES,
    EXCHANGED,
    IN_BOTH,
    IN_ONE,
    NO_PHOTOS,
    ONCE,
    SEED,
    SLIPS,
    Setting,
    Woman,
    limit_for,
    meant_mm,
    slip_in,
    typed_soundly,
    weighed,
    women_by_fold,
)

SETTINGS = (ONCE, IN_ONE, IN_BOTH, NO_PHOTOS)
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
second. Third: repeats are so far apart that one more is asked for in any case. Unseen: neither, and
by how much such a slip changes the girth on average. Beside: another girth is queried as well."""


@dataclass(frozen=True)
class Count:
    """Trials of one slip at one girth; weighted, so no whole numbers.

    Args:
        trials: how many.
        caught: of these, those in which the girth is queried.
        named: of these, those in which the right slip is named first.
        told: of these, those in which it is named first or second.
        third: trials in which repeats are so far apart that one more is asked for in any case.
        unseen: trials in which neither is so.
        left_mm: what the slips of these change the girth by, in all.
        neighbours: trials in which another girth is queried beside.
    """

    trials: float = 0.0
    caught: float = 0.0
    named: float = 0.0
    told: float = 0.0
    third: float = 0.0
    unseen: float = 0.0
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
        usual: queries on women who make no slip, by code, at the package's limit.
    """

    women: int = 0
    limits: tuple[float, ...] = ()
    counts: Counts = field(default_factory=dict)
    usual: Counter[str] = field(default_factory=Counter)

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
        )


def count_slips(women: Iterable[Woman], setting: Setting, limit: float) -> Counts:
    """Let every woman make every slip at every girth."""
    rng = random.Random(SEED)  # noqa: S311, a trial and no secret
    counts: Counts = {}
    for woman in women:
        for name, (_, right, tenths) in SLIPS.items():
            if name == EXCHANGED and setting.slipped < setting.repeats:
                continue
            usual = woman.typing(tenths)
            for code in CODES[:1] if name == BAND else setting.codes:
                case = slip_in(name, code, usual, setting, rng)
                if case is None:
                    continue
                typed, spoilt = case
                doubts = weighed(usual, setting, typed, limit)
                caught = code not in doubts.known.sound
                named = [way.slip for way in worth_telling(doubts.wrong(code))] if caught else []
                taped = doubts.known.taped[code]
                third = taped.count > 1 and not taped.agree
                off_mm = abs(taped.value_mm - meant_mm(usual, setting, code))
                one = Count(
                    1,
                    caught,
                    right in named[:1],
                    right in named,
                    third,
                    not (caught or third),
                    0.0 if caught or third else off_mm,
                    bool(set(setting.codes) - spoilt - doubts.known.sound),
                )
                counts[name, code] = counts.get((name, code), Count()) + one
    return counts


def count_false(women: Iterable[Woman], setting: Setting) -> Counter[str]:
    """Count queries on women who make no slip, by code, at the package's limit."""
    return Counter(
        code
        for woman in women
        for code in set(setting.codes)
        - weighed(woman, setting, typed_soundly(woman, setting), QUERY_PROBABILITY).known.sound
    )


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
    limit = limit_for(used, setting)
    return Tally(
        len(tried),
        (limit,),
        count_slips(tried, setting, limit),
        count_false(tried, setting),
    )


def as_habits_have_it(one: Counts, both: Counts) -> Counts:
    """Mix slips in one of two readings with slips in both, as their habits have it.

    Args:
        one: with the slip in one of two readings.
        both: with the slip in both.
    """
    mixed: Counts = {}
    for (name, code), in_both in both.items():
        right = SLIPS[name][1]
        again = slips.SLIPS[right or slips.COUNTED].again
        if name == EXCHANGED:
            mixed[name, code] = in_both
        elif (name, code) in one:
            weight = in_both.trials
            mixed[name, code] = (
                in_both.share(again * weight) + one[name, code].share((1 - again) * weight)
            )  # fmt: skip
    return mixed


def print_table(codes: tuple[str, ...], counts: Counts, goals: Mapping[str, object]) -> None:
    """Print a row for each slip."""
    heads = "".join(f"{head:>16}" for head in (*codes, "all"))
    more = "".join(f"{head:>8}" for head in ("told", "third", "unseen", "by", "beside"))
    print(f"{'slip':25}{heads}{more}" + ("            goal" if goals else ""))
    for name in SLIPS:
        rows = [counts.get((name, code)) for code in codes]
        found = [row for row in rows if row is not None]
        if not found:
            continue
        total = sum(found, Count())
        cells = [_cell(row) for row in (*rows, total)]
        cells += [
            f"{_percent(total.told, total.caught):>8}",
            f"{_percent(total.third, total.trials):>8}",
            f"{_percent(total.unseen, total.trials):>8}",
            f"{total.left_mm / total.unseen:>5.0f} mm" if total.unseen else f"{'-':>8}",
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
    parser.add_argument("--setting", type=int, choices=range(len(SETTINGS)), help="only this one")
    given = parser.parse_args(arguments)
    table = survey.read(given.survey) if given.survey else made_up(100)
    folds = list(women_by_fold(table))
    if given.survey is None:
        print("INVENTED WOMEN: these figures mean nothing.")
    print(LEGEND)
    tallies = {}
    with ProcessPoolExecutor() as processes:
        for number, setting in enumerate(SETTINGS):
            if given.setting not in (None, number):
                continue
            start = time.perf_counter()
            tried = processes.map(partial(try_fold, setting, given.women), folds)
            tallies[setting] = tally = sum(tried, Tally())
            seconds = time.perf_counter() - start
            print(f"\n{setting.title} ({tally.women} held women, {seconds:.0f} s)")
            print("limits of the folds", ", ".join(f"{limit:.3f}" for limit in tally.limits))
            print_table(setting.codes, tally.counts, GOALS if setting == ONCE else {})
            usual = [_percent(tally.usual[code], tally.women) for code in setting.codes]
            print(f"no slip, queried at the package's limit of {QUERY_PROBABILITY}:", *usual)
    if {IN_ONE, IN_BOTH} <= tallies.keys():
        print("\ntwo readings of each girth, the slip in one or both as its habit is")
        mixed = as_habits_have_it(tallies[IN_ONE].counts, tallies[IN_BOTH].counts)
        print_table(CODES, mixed, GOALS)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
