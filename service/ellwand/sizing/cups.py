"""Sewing cups: full bust minus high bust, counted in steps of one inch.

Source: common practice, no source: 1 in A, 2 in B, 3 in C, 4 in D, 5 in DD. The sewing cup is not
the bra cup, which is taken from the underbust.
"""

import math
from dataclasses import dataclass

CUP_LETTERS = ("AA", "A", "B", "C", "D", "DD")


@dataclass(frozen=True)
class CupChance:
    """One cup and how likely it is.

    Args:
        steps: number of cup steps, 0 for AA.
        chance: its probability, 0 to 1.
    """

    steps: int
    chance: float


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


def cup_chances(difference_mm: float, u_mm: float, step_mm: float) -> tuple[CupChance, ...]:
    """How likely each cup is, given the error of the difference.

    Args:
        difference_mm: full bust minus high bust.
        u_mm: its standard uncertainty, normally distributed.
        step_mm: from one cup to the next.

    Returns:
        The cup that the difference is nearest to and its two neighbours (one for AA), likeliest
        first.
    """
    nearest = cup_steps(difference_mm, step_mm)
    chances = [
        CupChance(steps, _chance(steps, difference_mm, u_mm, step_mm))
        for steps in range(max(0, nearest - 1), nearest + 2)
    ]
    return tuple(sorted(chances, key=lambda c: (c.steps != nearest, -c.chance)))


def _chance(steps: int, difference_mm: float, u_mm: float, step_mm: float) -> float:
    """Probability that the true difference belongs to one cup."""
    upper = _below((steps + 0.5) * step_mm, difference_mm, u_mm)
    lower = 0.0 if steps == 0 else _below((steps - 0.5) * step_mm, difference_mm, u_mm)
    return upper - lower


def _below(limit_mm: float, mean_mm: float, u_mm: float) -> float:
    """Probability that a normal value lies below a limit."""
    if u_mm <= 0:
        return 1.0 if mean_mm < limit_mm else 0.0
    return 0.5 * (1 + math.erf((limit_mm - mean_mm) / (u_mm * math.sqrt(2))))
