"""Probabilities of sizes and cups against the same question asked by brute force."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.sizing import decide, demo_block
from ellwand.sizing.chances import chances_between, nearest_chances
from ellwand.sizing.cups import cup_letter, cup_steps
from ellwand.tape import Confirmed

BLOCK = demo_block()
DRAWS = 200_000
# Three standard errors of a share of one half among so many draws are 0.34 %.
WITHIN = 0.01


def customer(
    high_bust_mm: float, full_bust_mm: float, u_mm: tuple[float, float]
) -> dict[str, Confirmed]:
    return {
        "stature": Confirmed("stature", 1680.0, 5.0),
        "high_bust": Confirmed("high_bust", high_bust_mm, u_mm[0]),
        "full_bust": Confirmed("full_bust", full_bust_mm, u_mm[1]),
        "waist": Confirmed("waist", 760.0, 8.0),
        "high_hip": Confirmed("high_hip", 920.0, 8.0),
        "full_hip": Confirmed("full_hip", 990.0, 8.0),
    }


CUSTOMERS = [
    (880.0, 930.0, (7.9, 7.9)),  # as size 4 is drafted
    (860.0, 910.0, (7.9, 7.9)),  # between sizes 3 and 4
    (862.0, 975.0, (10.0, 6.0)),  # near the step from D to DD
    (940.0, 935.0, (9.0, 12.0)),  # high bust over full bust
    (1090.0, 1230.0, (15.0, 15.0)),  # wide steps, readings far apart
]


@pytest.mark.parametrize(("high_bust_mm", "full_bust_mm", "u_mm"), CUSTOMERS)
def test_probabilities_agree_with_a_simulation(
    high_bust_mm: float, full_bust_mm: float, u_mm: tuple[float, float]
) -> None:
    """Draw the true girths many times over, and choose for each as for a customer."""
    rng = np.random.default_rng(6)
    high = rng.normal(high_bust_mm, u_mm[0], DRAWS)
    full = rng.normal(full_bust_mm, u_mm[1], DRAWS)
    drafted = np.array([size.high_bust_mm for size in BLOCK.sizes])
    nearest = np.abs(high[:, None] - drafted).argmin(axis=1)
    steps = np.maximum(0, np.floor((full - high) / BLOCK.cup_step_mm + 0.5))
    decision = decide(customer(high_bust_mm, full_bust_mm, u_mm), {}, BLOCK)
    for number, size in enumerate(BLOCK.sizes):
        told = decision.size_probabilities.get(size.name, 0.0)
        assert told == pytest.approx(float(np.mean(nearest == number)), abs=WITHIN)
    for step in range(10):
        told = decision.cup_probabilities.get(cup_letter(step), 0.0)
        assert told == pytest.approx(float(np.mean(steps == step)), abs=WITHIN)
    assert decision.size.name in decision.size_probabilities
    assert (
        cup_letter(cup_steps(full_bust_mm - high_bust_mm, BLOCK.cup_step_mm)) == decision.cup.name
    )


def test_the_middle_between_two_belongs_to_the_larger() -> None:
    assert nearest_chances(82.0, 0.0, [80.0, 84.0]) == [0.0, 1.0]
    assert nearest_chances(82.0, 1.0, [80.0, 84.0]) == pytest.approx([0.5, 0.5])


@given(st.floats(0, 2000), st.floats(0, 50), st.lists(st.floats(0, 2000), max_size=8, unique=True))
def test_chances_sum_to_one(value_mm: float, u_mm: float, limits_mm: list[float]) -> None:
    chances = chances_between(value_mm, u_mm, sorted(limits_mm))
    assert len(chances) == len(limits_mm) + 1
    assert sum(chances) == pytest.approx(1)
    assert min(chances) >= 0
