"""Sewing cups: one inch a step, and how likely the neighbours are."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.sizing.cups import cup_chances, cup_letter, cup_steps

INCH_MM = 25.4


@pytest.mark.parametrize(
    ("inches", "letter"),
    [
        (-0.6, "AA"),
        (0, "AA"),
        (0.4, "AA"),
        (0.5, "A"),
        (1, "A"),
        (2, "B"),
        (3, "C"),
        (3.49, "C"),
        (3.5, "D"),
        (4, "D"),
        (5, "DD"),
        (6, "DD+1"),
        (7.2, "DD+2"),
    ],
)
def test_each_inch_of_difference_is_a_cup(inches: float, letter: str) -> None:
    assert cup_letter(cup_steps(inches * INCH_MM, INCH_MM)) == letter


def test_at_a_step_both_cups_are_equally_likely() -> None:
    larger, smaller, _ = cup_chances(2.5 * INCH_MM, 5, INCH_MM)
    assert (larger.steps, smaller.steps) == (3, 2)
    assert larger.chance == pytest.approx(smaller.chance, abs=1e-3)


def test_without_error_the_cup_is_certain() -> None:
    assert cup_chances(2.5 * INCH_MM, 0, INCH_MM)[0].chance == 1


def test_half_a_cup_of_error_leaves_about_two_thirds_to_the_middle_cup() -> None:
    # Normal distribution within one standard deviation: 68.3 %.
    chances = cup_chances(3 * INCH_MM, INCH_MM / 2, INCH_MM)
    assert chances[0].chance == pytest.approx(0.6827, abs=1e-4)
    assert chances[1].chance == pytest.approx((1 - 0.6827) / 2, abs=2e-3)


@given(
    st.floats(-40, 250),
    st.floats(0.1, 30),
)
def test_the_named_cups_hold_no_more_than_all_chances(difference_mm: float, u_mm: float) -> None:
    chances = cup_chances(difference_mm, u_mm, INCH_MM)
    assert 0 < sum(chance.chance for chance in chances) <= 1 + 1e-9
    assert chances[0].steps == cup_steps(difference_mm, INCH_MM)
