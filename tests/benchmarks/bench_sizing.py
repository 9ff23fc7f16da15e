"""Print how long the size engine takes for every woman of the survey, and what comes of it.

    python -m tests.benchmarks.bench_sizing --survey FILE

FILE is the female public file of ANSUR II (Natick TR-15/007), no part of this project; without it,
invented women stand in. The survey has no high bust: the girths of women give the likeliest one for
her height, bust and hip. Its waist is at the navel.
"""

import argparse
import platform
import sys
import time
from collections import Counter
from pathlib import Path

from calibration import survey
from ellwand.errors import EllwandError
from ellwand.girth.joint import conditioned
from ellwand.girth.people import people
from ellwand.sizing import decide, demo_block
from ellwand.tape import Confirmed
from tests.calibration.women import made_up

# Of two readings that agree.
TAPE_U_MM = 7.9


def customers(table: survey.Table) -> list[dict[str, Confirmed]]:
    """Women of the survey as customers whose measurements are all confirmed."""
    women = people(None)
    found = []
    for number, (bust, waist, hip) in enumerate(survey.girths_mm(table)):
        mm = {
            "stature": float(table["stature"][number]),
            "full_bust": float(bust),
            "waist": float(waist),
            "full_hip": float(hip),
        }
        facts = {
            code: (women.scales[code].of(mm[code]), 1.0)
            for code in ("stature", "full_bust", "full_hip")
        }
        given = conditioned(women.joint, facts)
        mean = given.mean_mm[given.codes.index("high_bust")]
        mm["high_bust"] = women.scales["high_bust"].back(mean)
        found.append({code: Confirmed(code, value, TAPE_U_MM) for code, value in mm.items()})
    return found


def main(arguments: list[str]) -> int:
    """Decide for all of them and print the time."""
    parser = argparse.ArgumentParser(description="How long the size engine takes.")
    parser.add_argument("--survey", type=Path, help="female public file, ANSUR II")
    given = parser.parse_args(arguments)
    women = customers(survey.read(given.survey) if given.survey else made_up(300))
    block = demo_block()
    ends: Counter[str] = Counter()
    start = time.perf_counter()
    for woman in women:
        try:
            decision = decide(woman, {}, block)
        except EllwandError as refusal:
            ends[f"refused: {refusal.code}"] += 1
            continue
        beyond = any("than this block goes" in one for one in decision.warnings)
        ends["decided, and told that it lies beyond the block" if beyond else "decided"] += 1
    seconds = time.perf_counter() - start
    print(f"{len(women)} customers in {seconds:.2f} s on {platform.machine()}, "
          f"Python {platform.python_version()}")  # fmt: skip
    for end, count in ends.most_common():
        print(f"{count:6} {end}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
