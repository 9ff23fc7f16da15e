import itertools
import math
from random import Random

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ellwand.girth.joint import (
    Joint,
    bust_difference,
    conditioned,
    difference,
    independent,
    interval_95,
    joint_of,
)
from ellwand.measurements import LEVELS

# Two girths of u = 20 mm that go together with a correlation of one half.
PAIR = Joint(("full_bust", "waist"), (950.0, 760.0), ((400.0, 200.0), (200.0, 400.0)))


def test_half_of_what_is_known_of_one_girth_is_told_of_another() -> None:
    # An exact 970 is 20 more than expected: the waist moves by 200 / 400 of that, and its
    # variance loses 200 * 200 / 400.
    given_bust = conditioned(PAIR, {"full_bust": (970.0, 0.0)})
    assert given_bust.mean_mm == (970.0, 770.0)
    assert given_bust.covariance_mm2 == ((0.0, 0.0), (0.0, 300.0))


def test_a_reading_as_doubtful_as_the_estimate_meets_it_half_way() -> None:
    # s = 400 + 400: gains 400 / 800 and 200 / 800.
    given_bust = conditioned(PAIR, {"full_bust": (970.0, 20.0)})
    assert given_bust.mean_mm == (960.0, 765.0)
    assert given_bust.covariance_mm2 == ((200.0, 100.0), (100.0, 350.0))


def test_a_difference_drops_what_both_girths_share() -> None:
    value, u = difference(PAIR, "full_bust", "waist")
    assert value == 190.0
    assert u == 20.0  # 400 + 400 - 2 * 200 = 20 * 20; apart it would be 28.3
    apart = independent({"full_bust": (950.0, 20.0), "waist": (760.0, 20.0)})
    assert difference(apart, "full_bust", "waist") == (190.0, math.sqrt(800.0))


def test_full_bust_minus_high_bust_has_a_bound_of_its_own() -> None:
    joint = Joint(("high_bust", "full_bust"), (900.0, 950.0), ((400.0, 350.0), (350.0, 400.0)))
    found = bust_difference(joint)
    assert found is not None
    assert (found.code, found.value_mm, found.u_mm) == ("bust_difference", 50.0, 10.0)
    assert (found.low_mm, found.high_mm) == pytest.approx((30.4, 69.6))
    # Once the high bust is read off exactly, only what the full bust has of its own is left:
    # 400 - 350 * 350 / 400.
    after = bust_difference(conditioned(joint, {"high_bust": (900.0, 0.0)}))
    assert after is not None
    assert after.u_mm == pytest.approx(math.sqrt(93.75))
    assert bust_difference(PAIR) is None


def test_a_standard_uncertainty_of_10_mm_is_a_bound_of_19_6() -> None:
    assert interval_95(900, 10) == pytest.approx((880.4, 919.6))


def test_girths_that_go_nothing_together_tell_nothing_of_each_other() -> None:
    apart = independent({"full_bust": (950.0, 20.0), "waist": (760.0, 15.0)})
    after = conditioned(apart, {"full_bust": (990.0, 5.0)})
    assert (after.value_mm("waist"), after.u_mm("waist")) == (760.0, 15.0)


def test_readings_of_what_the_joint_lacks_are_passed_over() -> None:
    assert conditioned(PAIR, {"stature": (1680.0, 5.0), "arm_length": (560.0, 5.0)}) == PAIR


def test_girths_that_are_one_and_the_same_take_two_exact_readings() -> None:
    same = Joint(("waist", "high_hip"), (760.0, 760.0), ((100.0, 100.0), (100.0, 100.0)))
    after = conditioned(same, {"waist": (770.0, 0.0), "high_hip": (780.0, 0.0)})
    assert after.mean_mm == (770.0, 770.0)
    assert after.covariance_mm2 == ((0.0, 0.0), (0.0, 0.0))


@pytest.mark.parametrize(
    "reading", [(760.0, -1.0), (math.nan, 5.0), (760.0, math.inf), (math.inf, 5.0)]
)
def test_what_is_no_reading_is_refused(reading: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="waist"):
        conditioned(PAIR, {"waist": reading})


@pytest.mark.parametrize(
    ("codes", "mean", "rows"),
    [
        (("waist",), (1.0, 2.0), ((1.0,),)),
        (("waist",), (1.0,), ((1.0,), (1.0,))),
        (("waist",), (1.0,), ((1.0, 1.0),)),
        (("waist", "waist"), (1.0, 1.0), ((1.0, 0.0), (0.0, 1.0))),
    ],
)
def test_numbers_that_do_not_go_together_are_no_joint(
    codes: tuple[str, ...], mean: tuple[float, ...], rows: tuple[tuple[float, ...], ...]
) -> None:
    with pytest.raises(ValueError, match="together"):
        Joint(codes, mean, rows)


@st.composite
def joints(draw: st.DrawFn) -> Joint:
    """Six girths whose errors have between one and six causes, in part shared."""
    causes = draw(st.integers(1, 6))
    effect = st.floats(-30, 30).map(lambda mm: round(mm, 3))
    effects = np.array(draw(st.lists(effect, min_size=6 * causes, max_size=6 * causes)))
    by_girth = effects.reshape(6, causes)
    means = draw(st.lists(st.floats(600, 1400), min_size=6, max_size=6))
    return joint_of(LEVELS, means, by_girth @ by_girth.T)


READINGS = st.dictionaries(
    st.sampled_from(LEVELS), st.tuples(st.floats(500, 1500), st.floats(1, 40)), max_size=6
)


def near(one: Joint, other: Joint) -> bool:
    return np.allclose(one.mean_mm, other.mean_mm, rtol=0, atol=1e-6) and np.allclose(
        one.covariance_mm2, other.covariance_mm2, rtol=0, atol=1e-6
    )


@given(joints(), READINGS)
def test_no_reading_makes_a_girth_less_certain(
    joint: Joint, readings: dict[str, tuple[float, float]]
) -> None:
    after = conditioned(joint, readings)
    for code in LEVELS:
        assert after.u_mm(code) <= joint.u_mm(code) + 1e-9
    for one, other in itertools.combinations(LEVELS, 2):
        assert difference(after, one, other)[1] <= difference(joint, one, other)[1] + 1e-6


@given(joints(), READINGS, st.randoms(use_true_random=False))
def test_readings_come_to_the_same_in_any_order(
    joint: Joint, readings: dict[str, tuple[float, float]], random: Random
) -> None:
    codes = list(readings)
    random.shuffle(codes)
    after = joint
    for code in codes:
        after = conditioned(after, {code: readings[code]})
    assert near(after, conditioned(joint, readings))


@given(joints(), READINGS)
def test_one_by_one_is_the_textbook_s_conditional_of_all_at_once(
    joint: Joint, readings: dict[str, tuple[float, float]]
) -> None:
    taped = [k for k, code in enumerate(LEVELS) if code in readings]
    covariance, mean = np.array(joint.covariance_mm2), np.array(joint.mean_mm)
    value, u = np.array([readings[LEVELS[k]] for k in taped]).reshape(-1, 2).T
    gain = covariance[:, taped] @ np.linalg.inv(covariance[np.ix_(taped, taped)] + np.diag(u**2))
    expected = joint_of(
        LEVELS, mean + gain @ (value - mean[taped]), covariance - gain @ covariance[taped]
    )
    assert near(conditioned(joint, readings), expected)


@given(joints(), READINGS)
def test_covariances_stay_symmetric_and_semi_definite(
    joint: Joint, readings: dict[str, tuple[float, float]]
) -> None:
    after = np.array(conditioned(joint, readings).covariance_mm2)
    assert (after == after.T).all()
    # Rounding of sums up to six times 30 squared.
    assert np.linalg.eigvalsh(after).min() >= -1e-9


@given(joints(), st.sampled_from(LEVELS), st.floats(500, 1500))
def test_a_reading_that_says_hardly_anything_changes_hardly_anything(
    joint: Joint, code: str, value: float
) -> None:
    assert near(conditioned(joint, {code: (value, 1e7)}), joint)


@given(joints(), st.sampled_from(LEVELS), st.floats(500, 1500))
def test_an_exact_reading_is_the_value(joint: Joint, code: str, value: float) -> None:
    assume(joint.u_mm(code) > 0.01)
    after = conditioned(joint, {code: (value, 0.0)})
    assert after.value_mm(code) == pytest.approx(value, abs=1e-6)
    assert after.u_mm(code) == pytest.approx(0.0, abs=1e-4)
