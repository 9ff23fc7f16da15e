import math
import random
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from .tape_oracle import (
    SOUND,
    Case,
    Drawn,
    Goals,
    Prices,
    Slip,
    Typed,
    _blurred_margin,
    best_named,
    density,
    draw,
    fair_prices,
    linear,
    margin,
    most_caught,
    swapped,
    typed,
)

PHI = NormalDist()
CASE = Case("waist", 800.0, 400.0)
SWAP = swapped(0.0)
# So wide that the tape adds little to it: 50 mm are one standard deviation.
WIDE = Case("waist", 3000.0, 2500.0 - 60.0)


def chance(seed: int) -> random.Random:
    """Chance that is the same every time."""
    return random.Random(seed)  # noqa: S311, a trial and no secret


def drawn(slips: dict[str, Slip], case: Case, times: int = 3000) -> Drawn:
    return draw([case], slips, times, chance(1))


@pytest.mark.parametrize("distance", [0.5, 1.0, 3.0])
@pytest.mark.parametrize("false", [0.01, 0.2])
def test_of_two_normals_the_larger_readings_are_queried(distance: float, false: float) -> None:
    usual = PHI.cdf(distance - PHI.inv_cdf(1 - false))
    assert most_caught(np.array([distance]), false) == pytest.approx(usual, abs=1e-6)


@given(st.floats(0.1, 4), st.floats(0.1, 4), st.floats(0.001, 0.019))
def test_no_other_share_of_false_queries_between_two_women_catches_more(
    one: float, other: float, first: float
) -> None:
    best = most_caught(np.array([one, other]), 0.01)
    split = [(one, first), (other, 0.02 - first)]
    found = [PHI.cdf(d - PHI.inv_cdf(1 - share)) for d, share in split]
    assert sum(found) / 2 <= best + 1e-6


@pytest.mark.parametrize(
    ("slip", "seen", "shown"),
    [
        (linear(2.0, 0.0, 0.0), Typed(1600, 4), 800.0),
        (linear(0.5, 0.0, 0.0), Typed(400, 3), 800.0),
        (linear(-1.0, 1500.0, 0.0), Typed(700, 3), 800.0),
        (linear(1.0, -100.0, 0.0), Typed(700, 3), 800.0),
        (SWAP, Typed(80, 3), 800.0),
        (SWAP, Typed(824, 3), 842.0),
    ],
)
def test_slips_are_made_and_undone(slip: Slip, seen: Typed, shown: float) -> None:
    rng = chance(2)
    assert seen in {slip.make(shown, rng) for _ in range(50)}
    assert shown in [mm for mm, _ in slip.undo(seen)]


def test_what_is_less_than_nothing_cannot_be_typed() -> None:
    assert linear(1.0, -100.0, 0.0).make(90.0, chance(1)) is None
    assert SWAP.make(777.0, chance(1)) is None
    assert SOUND.undo(Typed(80, 3)) == []


@pytest.mark.parametrize("slip", [SOUND, linear(0.5, 0.0, 0.0), linear(2.0, 0.0, 0.0), SWAP])
def test_chances_of_all_that_may_be_typed_sum_to_one(slip: Slip) -> None:
    every = {typed(mm) for mm in range(1, 2200)} | {Typed(mm, 3) for mm in range(1, 100)}
    total = sum(density([slip.undo(one)], CASE) for one in every if one)
    # Of 111, 222, ... no two figures that differ can be swapped.
    alike = sum(density([SOUND.undo(Typed(mm, 3))], CASE) for mm in range(111, 1000, 111))
    assert total == pytest.approx(1 - (alike if slip is SWAP else 0.0), abs=2e-3)


def test_two_repeats_by_hand() -> None:
    # Mean of two: 400 + 25 + 37.5; half the difference besides.
    mean, apart = NormalDist(800, math.sqrt(462.5)), NormalDist(0, math.sqrt(150))
    found = density([[(806.0, 1.0)], [(798.0, 1.0)]], CASE)
    assert found == pytest.approx(mean.pdf(802) * apart.pdf(8))


def test_two_slips_a_standard_deviation_apart_are_told_apart_as_two_normals_are() -> None:
    slips = {"five": linear(1.0, 50.0, 1.0), "ten": linear(1.0, 100.0, 1.0)}
    best = best_named(drawn(slips, WIDE), slips, false=2.0, accused=2.0)
    assert best.caught == pytest.approx({"five": 1.0, "ten": 1.0}, abs=1e-9)
    assert best.named == pytest.approx(dict.fromkeys(slips, PHI.cdf(0.5)), abs=0.02)


def test_within_false_queries_a_slip_is_caught_as_of_two_normals() -> None:
    slips = {"ten": linear(1.0, 100.0, 1.0)}
    best = best_named(drawn(slips, WIDE), slips, false=0.05, accused=0.0)
    assert best.caught["ten"] == pytest.approx(most_caught(np.array([2.0]), 0.05), abs=0.03)


def test_two_slips_that_show_the_same_cannot_both_be_named() -> None:
    slips = {"one": linear(1.0, 100.0, 1.0), "other": linear(1.0, 100.0, 1.0)}
    goals = Goals(np.full(2, 0.9), np.full(2, 0.98), np.full(2, True), 2.0, 2.0)
    seen = drawn(slips, WIDE)
    value, _ = margin(seen, goals, fair_prices(seen, goals))
    # It catches 9 in 10, as asked, and gives each name half of the time.
    assert value == pytest.approx(0.9 * (0.5 - 0.98), abs=0.01)


@given(st.lists(st.floats(0.01, 1), min_size=4, max_size=4), st.floats(0, 2), st.floats(0, 2))
def test_no_prices_claim_less_than_a_judge_reaches(
    weights: list[float], false: float, accused: float
) -> None:
    named, caught = np.split(np.array(weights), 2)
    named /= named.sum()
    asked, prices = np.full(2, True), Prices(named, caught, false, accused)
    best = best_named(SEEN, PAIR, 0.01, 0.02)
    reached = np.array(list(best.caught.values()))
    goals = Goals(reached - 0.01, np.array([0.6, 0.7]), asked, 0.01, 0.02)
    passed = reached * (np.array(list(best.named.values())) - goals.named)
    value, _ = margin(SEEN, goals, prices)
    # One and the same draws on both sides, which stand for the slips to 2 in 100.
    assert min(passed) <= value + 0.02 * (1 + caught.sum())


def test_the_slope_of_the_bound_is_that_of_the_bound() -> None:
    goals = Goals(np.array([0.5, 0.9]), np.array([0.6, 0.7]), np.full(2, True), 0.01, 0.02)
    point, asked = np.array([0.3, -0.4, -1.0, -2.0, -1.5, -0.5]), np.arange(2)
    _, slope = _blurred_margin(point, SEEN, goals, asked, 0.03)
    for k, one in enumerate(slope):
        step = 1e-5 * (np.arange(6) == k)
        ahead, behind = (
            _blurred_margin(point + turn * step, SEEN, goals, asked, 0.03)[0] for turn in (1, -1)
        )
        assert one == pytest.approx((ahead - behind) / 2e-5, abs=1e-6)


PAIR = {"five": linear(1.0, 50.0, 0.5), "ten": linear(1.0, 100.0, 0.5)}
SEEN = drawn(PAIR, CASE, 1000)
