"""Figures of the card: nearest step for values, outward for bounds, in each unit on its own."""

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.card.figures import figures
from ellwand.shown import in_both_units

INCH_MM = Fraction(127, 5)


def inches(parts: tuple[str, str] | None) -> Fraction:
    assert parts is not None
    size = sum((Fraction(part.removeprefix("-")) for part in parts if part), Fraction(0))
    return -size if any(part.startswith("-") for part in parts) else size


@pytest.mark.parametrize(
    ("value", "low", "high", "cm", "whole", "bound_cm", "bound_in"),
    [
        (925, 900, 950, "92.5", ("36", "3/8"), "2.5", ("1", "1/8")),
        (925, 915.2, 934.8, "92.5", ("36", "3/8"), "1.0", ("", "1/2")),
        (925, 925, 925, "92.5", ("36", "3/8"), "0.0", ("", "1/8")),
        (914.4, 914.4, 914.4, "91.4", ("36", ""), "0.1", ("0", "")),
        # The farther end counts.
        (800, 790, 849.1, "80.0", ("31", "1/2"), "5.0", ("2", "")),
        (99.95, 99.95, 99.95, "10.0", ("3", "7/8"), "0.1", ("", "1/8")),
    ],
)
def test_worked_figures(
    value: float,
    low: float,
    high: float,
    cm: str,
    whole: tuple[str, str],
    bound_cm: str,
    bound_in: tuple[str, str],
) -> None:
    shown = figures(value, low, high)
    assert (shown.cm, shown.inches) == (cm, whole)
    assert (shown.bound_cm, shown.bound_inches) == (bound_cm, bound_in)


def test_without_an_interval_no_bound_is_shown() -> None:
    shown = figures(925, None, None)
    assert (shown.bound_cm, shown.bound_inches) == (None, None)


@pytest.mark.parametrize(
    ("value", "cm", "parts"),
    [
        (-50.8, "-5.1", ("-2", "")),
        (-17.0, "-1.7", ("", "-5/8")),
        (-34.0, "-3.4", ("-1", "3/8")),
        (-0.4, "0.0", ("0", "")),
        (9.5, "1.0", ("", "3/8")),
    ],
)
def test_a_difference_may_be_below_nothing(value: float, cm: str, parts: tuple[str, str]) -> None:
    shown = figures(value, value - 20, value + 20)
    assert (shown.cm, shown.inches) == (cm, parts)


@given(st.floats(-150, 2500), st.floats(0, 200), st.floats(0, 200))
def test_value_and_bound_as_shown_hold_the_whole_interval(
    value: float, below: float, above: float
) -> None:
    low, high = value - below, value + above
    shown = figures(value, low, high)
    for middle, bound in (
        (Fraction(shown.cm) * 10, Fraction(shown.bound_cm or "-1") * 10),
        (inches(shown.inches) * INCH_MM, inches(shown.bound_inches) * INCH_MM),
    ):
        # Ends are taken to a millionth of a millimetre.
        assert middle - bound <= Fraction(low) + Fraction(1, 10**6)
        assert Fraction(high) - Fraction(1, 10**6) <= middle + bound


@given(st.floats(-150, 2500))
def test_values_read_as_everywhere_else(value: float) -> None:
    shown = figures(value, None, None)
    parts = " ".join(part for part in shown.inches if part)
    assert re.sub(" +", " ", f"{shown.cm} cm ({parts} in)") == in_both_units(value)
