"""Print what the best judge of all could do with the slips that `bench_tape` tries.

    python -m tests.benchmarks.tape_limit --survey FILE

FILE is the female public file of ANSUR II, as for `bench_tape`. The girths of its held women are
drawn anew from what photos and other readings leave open, so that the judge of `tape_oracle` knows
their distribution exactly; slips and how often they come again are those of `bench_tape` when each
girth is read until readings agree. Slips that the form of a number gives away are left out.
"""

import argparse
import math
import random
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np

from calibration import survey
from ellwand.girth.joint import conditioned
from ellwand.tape import summarise
from ellwand.tape.repeats import COMMON_SD_MM, REPEAT_SD_MM
from tests.calibration.women import made_up

from .bench_tape import GOALS, again_of
from .tape_oracle import (
    Best,
    Case,
    Drawn,
    Goals,
    Slip,
    best_named,
    draw,
    fair_prices,
    linear,
    margin,
    most_caught,
    swapped,
)
from .tape_trials import CODES, FALSE_QUERIES, MOST, SEED, Woman, women_by_fold

HALF, OTHER_END = "half", "wrong end of 150 cm"
SWAPPED, FIVE = "digits swapped, tenths", "5 cm too much"
TEN_MORE, TEN_LESS = "10 cm too much", "10 cm too little"
SLIPS: dict[str, Slip] = {
    "doubled": linear(2.0, 0.0, again_of("doubled")),
    HALF: linear(0.5, 0.0, again_of(HALF)),
    OTHER_END: linear(-1.0, 1500.0, again_of(OTHER_END)),
    TEN_MORE: linear(1.0, 100.0, again_of(TEN_MORE)),
    TEN_LESS: linear(1.0, -100.0, again_of(TEN_LESS)),
    SWAPPED: swapped(again_of(SWAPPED)),
    FIVE: linear(1.0, 50.0, again_of(FIVE)),
}
# Goals that may stand in each other's way.
TOGETHER: tuple[tuple[str, ...], ...] = (
    (HALF, OTHER_END),
    (SWAPPED,),
    (FIVE,),
    (FIVE, TEN_MORE, TEN_LESS),
    (FIVE, TEN_MORE, TEN_LESS, SWAPPED),
    tuple(SLIPS),
)
# A judge that may name a slip whenever two readings are apart.
FREELY = 1.0
# What is asked to be caught stays so far below what can be, which leaves room for the draws.
_ROOM = 0.005


def cases_of(women: Iterable[Woman]) -> list[Case]:
    """The girths of women, each given the photos and two sound readings of the others."""
    found = []
    for woman in women:
        taped = {code: summarise(woman.tape_mm[k][:2].tolist()) for k, code in enumerate(CODES)}
        for code in CODES:
            others = {one: (t.value_mm, t.u_mm) for one, t in taped.items() if one != code}
            assert woman.joint is not None
            given = conditioned(woman.joint, others)
            found.append(Case(code, given.value_mm(code), given.u_mm(code) ** 2))
    return found


def most_of_other_end(cases: Sequence[Case], count: int) -> float:
    """Most that any rule catches of a tape read from its other end in all of so many repeats.

    Args:
        cases: of one girth.
        count: how many repeats.
    """
    own = COMMON_SD_MM**2 + REPEAT_SD_MM**2 / count
    moved = [abs(1500 - 2 * case.mean_mm) / math.sqrt(case.variance_mm2 + own) for case in cases]
    return most_caught(np.array(moved), FALSE_QUERIES)


def print_other_end(cases: Sequence[Case]) -> None:
    """Print how many readings from the other end can be caught at each girth."""
    again = again_of(OTHER_END)
    print(f"\n{OTHER_END}, of 1 % false queries all spent on it; caught at most of")
    print(f"{'':25}{'one reading':>14}{f'{MOST} with it':>14}{'by its habit':>14}")
    for code in CODES:
        here = [case for case in cases if case.code == code]
        one, many = most_of_other_end(here, 1), most_of_other_end(here, MOST)
        shares = (one, many, 1 - again + again * many)
        print(f"{code:25}" + "".join(f"{100 * share:>12.1f} %" for share in shares))


def print_best(drawn: Drawn) -> None:
    """Print what the best judge catches and names when all slips are equally likely."""
    print("\nall slips equally likely; named: of those caught, with 1 % of sound entries")
    print("named a slip when two readings are apart, and with as many as there are")
    within = best_named(drawn, SLIPS, FALSE_QUERIES, FALSE_QUERIES)
    freely = best_named(drawn, SLIPS, FALSE_QUERIES, FREELY)
    print(f"{'slip':25}{'caught':>9}{'goal':>9}{'named':>9}{'freely':>9}{'goal':>9}")
    for name in SLIPS:
        caught, named = GOALS[name]
        shares = (within.caught[name], caught, within.named[name], freely.named[name], named)
        print(f"{name:25}" + "".join(f"{100 * share:>7.1f} %" for share in shares))


def goals_of(names: Sequence[str], best: Best, accused: float) -> Goals:
    """The goals of some slips.

    Args:
        names: of the slips.
        best: what can be caught, which is asked where the goal for catching is higher.
        accused: as in `Goals`.
    """
    caught = np.array([min(GOALS[name][0], best.caught[name] - _ROOM) for name in SLIPS])
    named = np.array([GOALS[name][1] for name in SLIPS])
    asked = np.array([name in names for name in SLIPS])
    return Goals(caught, named, asked, FALSE_QUERIES, accused)


def print_margins(found_on: Drawn, drawn: Drawn) -> None:
    """Print by how much any rule can pass goals together.

    Args:
        found_on: readings to find prices on.
        drawn: others to work the bound out on.
    """
    print("\nno rule that catches enough passes these goals for naming together by more than")
    print("so many points of all trials (twice their standard error)")
    print(f"{'':72}{'named 1 %':>16}{'freely':>16}")
    best = best_named(found_on, SLIPS, FALSE_QUERIES, FALSE_QUERIES)
    for names in TOGETHER:
        cells = []
        for accused in (FALSE_QUERIES, FREELY):
            goals = goals_of(names, best, accused)
            value, doubt = margin(drawn, goals, fair_prices(found_on, goals))
            cells.append(f"{100 * value:>9.2f} ({200 * doubt:.2f})")
        words = "all" if len(names) == len(SLIPS) else ", ".join(names)
        print(f"{words:72}" + "".join(f"{cell:>16}" for cell in cells))


def main(arguments: list[str]) -> int:
    """Print the tables."""
    parser = argparse.ArgumentParser(description="What no judge of a tape can better.")
    parser.add_argument("--survey", type=Path, help="female public file, ANSUR II")
    parser.add_argument("--times", type=int, default=5, help="draws of each slip at each girth")
    parser.add_argument("--women", type=int, default=40, help="of each fold so many held women")
    given = parser.parse_args(arguments)
    table = survey.read(given.survey) if given.survey else made_up(100)
    if given.survey is None:
        print("INVENTED WOMEN: these figures mean nothing.")
    every, some = [], []
    for _, held in women_by_fold(table):
        every += cases_of(held)
        some += cases_of(held[:: -(-len(held) // given.women)])
    print(f"{len(every) // len(CODES)} held women, {len(some) // len(CODES)} of them drawn anew")
    rng = random.Random(SEED)  # noqa: S311, a trial and no secret
    found_on = draw(some, SLIPS, given.times, rng)
    drawn = draw(some, SLIPS, given.times, rng)
    print_other_end(every)
    print_best(drawn)
    print_margins(found_on, drawn)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
