"""Sewing cups: full bust minus high bust, counted in steps of one inch.

Source: common practice, no source: 1 in A, 2 in B, 3 in C, 4 in D, 5 in DD. The sewing cup is not
the bra cup, which is taken from the underbust.
"""

import math

from ellwand.sizing.chances import LEAST_TOLD, nearest_chances

CUP_LETTERS = ("AA", "A", "B", "C", "D", "DD")
# Beyond so many standard uncertainties nothing is likely enough to be told.
_FARTHEST_Z = 4.0


def cup_letter(steps: int) -> str:
    """The letter of a cup.

    Letters past DD differ from maker to maker, so that the steps past it are counted instead.

    Args:
        steps: number of cup steps; below one is AA.

    Returns:
        For instance "D", or "DD+2" for seven steps.
    """
    if steps < 0:
        return CUP_LETTERS[0]
    if steps < len(CUP_LETTERS):
        return CUP_LETTERS[steps]
    return f"{CUP_LETTERS[-1]}+{steps - len(CUP_LETTERS) + 1}"


def cup_steps(difference_mm: float, step_mm: float) -> int:
    """The cup that a difference is nearest to.

    Args:
        difference_mm: full bust minus high bust.
        step_mm: from one cup to the next.

    Returns:
        Number of steps, at least 0; a difference in the middle between two belongs to the larger.
    """
    return max(0, math.floor(difference_mm / step_mm + 0.5))


def cup_chances(difference_mm: float, u_mm: float, step_mm: float) -> dict[str, float]:
    """How likely each cup is, given the error of the difference.

    Args:
        difference_mm: full bust minus high bust.
        u_mm: its standard uncertainty, normally distributed.
        step_mm: from one cup to the next.

    Returns:
        Probabilities by letter, smallest cup first, without those below `LEAST_TOLD`.
    """
    largest = cup_steps(difference_mm + _FARTHEST_Z * u_mm, step_mm) + 1
    chances = nearest_chances(difference_mm, u_mm, [n * step_mm for n in range(largest + 1)])
    return {cup_letter(n): chance for n, chance in enumerate(chances) if chance >= LEAST_TOLD}
