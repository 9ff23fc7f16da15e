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
    chances = cup_chances(2.5 * INCH_MM, 5, INCH_MM)
    assert chances["C"] == pytest.approx(chances["B"], abs=1e-3)


def test_without_error_the_cup_is_certain() -> None:
    assert cup_chances(2.5 * INCH_MM, 0, INCH_MM) == {"C": 1}


def test_half_a_cup_of_error_leaves_about_two_thirds_to_the_middle_cup() -> None:
    # Normal distribution within one standard deviation: 68.3 %; the rest on both sides.
    chances = cup_chances(3 * INCH_MM, INCH_MM / 2, INCH_MM)
    assert list(chances) == ["A", "B", "C", "D", "DD"]
    assert chances["C"] == pytest.approx(0.6827, abs=1e-4)
    assert chances["B"] + chances["A"] == pytest.approx((1 - 0.6827) / 2, abs=2e-3)


@given(
    st.floats(-40, 250),
    st.floats(0.1, 30),
)
def test_nearly_all_of_the_probability_is_told(difference_mm: float, u_mm: float) -> None:
    chances = cup_chances(difference_mm, u_mm, INCH_MM)
    # Each cup left out has less than one in a thousand; on either side at most two or three do.
    assert 0.994 < sum(chances.values()) <= 1 + 1e-9
    likeliest = max(chances, key=chances.__getitem__)
    # All that lies below belongs to AA, which may be more than what lies nearest.
    assert likeliest == "AA" or chances[likeliest] == pytest.approx(
        chances[cup_letter(cup_steps(difference_mm, INCH_MM))]
    )
