"""A crooked tape: closed forms, integration along the tape, and what is known of the section."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.girth.model import load_model
from ellwand.measurements import LEVELS, Estimate
from ellwand.tape.crooked import (
    DROPS_MM,
    USUAL,
    Section,
    crooked,
    crooked_words,
    section_of,
    tilt_adds_mm,
)

WIDTHS = st.floats(100.0, 600.0)


def estimate(code: str, value_mm: float, height_mm: float | None = None) -> Estimate:
    """What photos give of a level 300 mm broad and 200 mm deep."""
    return Estimate(code, value_mm, 20.0, value_mm - 40, value_mm + 40, (), 300.0, 200.0, height_mm)


@given(WIDTHS, WIDTHS)
def test_a_level_tape_adds_nothing(breadth_mm: float, depth_mm: float) -> None:
    assert tilt_adds_mm(breadth_mm, depth_mm, 0.0) == 0.0


@pytest.mark.parametrize("drop_mm", [20.0, 30.0, 100.0])
def test_the_tape_is_as_long_as_its_way_round_the_cylinder(drop_mm: float) -> None:
    """The way in three dimensions, summed up in short straight pieces."""
    turn = np.linspace(0.0, 2 * np.pi, 200_001)
    way = np.stack([150.0 * np.cos(turn), 100.0 * np.sin(turn), drop_mm / 2 * np.sin(turn)])
    tilted = np.linalg.norm(np.diff(way), axis=0).sum()
    level = np.linalg.norm(np.diff(way[:2]), axis=0).sum()
    assert tilt_adds_mm(300.0, 200.0, drop_mm) == pytest.approx(tilted - level, abs=1e-5)


@given(WIDTHS)
def test_half_the_perimeter_of_a_flat_body_is_the_slant(depth_mm: float) -> None:
    """Breadth next to nothing: twice there and back, the perimeter of a line (Pythagoras)."""
    added = tilt_adds_mm(1e-6, depth_mm, 30.0)
    assert added == pytest.approx(2 * (math.hypot(depth_mm, 30.0) - depth_mm), abs=1e-3)


@given(WIDTHS, st.floats(1.0, 5.0))
def test_a_small_tilt_of_a_round_body_adds_pi_x_squared_over_4_d(
    across_mm: float, drop_mm: float
) -> None:
    """First order: the depth grows by x^2 / 2 D, of which a circle's girth has pi / 2."""
    expected = math.pi * drop_mm**2 / (4 * across_mm)
    assert tilt_adds_mm(across_mm, across_mm, drop_mm) == pytest.approx(expected, rel=0.002)


@given(WIDTHS, WIDTHS, st.floats(0.0, 100.0), st.floats(1.0, 50.0))
def test_a_larger_drop_adds_more(
    breadth_mm: float, depth_mm: float, drop_mm: float, further_mm: float
) -> None:
    less = tilt_adds_mm(breadth_mm, depth_mm, drop_mm)
    assert tilt_adds_mm(breadth_mm, depth_mm, drop_mm + further_mm) > less


def test_the_growth_counts_half_the_drop() -> None:
    """The tape's middle lies half as far down as its back; a cone has just that to first order."""
    one = crooked(Section(300.0, 200.0, 1.2), 30.0)
    assert one.growth_mm == pytest.approx(18.0)
    assert one.together_mm == pytest.approx(18.0 + one.tilt_mm)
    alone = crooked(Section(300.0, 200.0, None), 30.0)
    assert (alone.growth_mm, alone.together_mm) == (None, one.tilt_mm)


def test_a_tape_round_a_cone_is_as_long_as_told() -> None:
    """A circular cone that grows by 0.4 mm of girth for each mm down, cut by a tilted plane."""
    across_mm, growth, drop_mm = 250.0, 0.4, 20.0
    turn = np.linspace(0.0, 2 * np.pi, 200_001)
    down = np.full_like(turn, drop_mm / 2)
    for _ in range(60):  # the plane's height where the cone is that wide, by fixed point
        radius = across_mm / 2 + growth * down / (2 * np.pi)
        down = drop_mm / 2 * (1 + radius * np.sin(turn) / (across_mm / 2))
    way = np.stack([radius * np.cos(turn), radius * np.sin(turn), -down])
    added = np.linalg.norm(np.diff(way), axis=0).sum() - np.pi * across_mm
    told = crooked(Section(across_mm, across_mm, growth), drop_mm).together_mm
    assert told == pytest.approx(added, rel=0.02)


def test_without_photos_a_usual_figure_counts_at_each_level() -> None:
    assert set(USUAL) == set(LEVELS)
    for code in LEVELS:
        assert section_of(code, {}) == USUAL[code]
    assert section_of("arm_length", {}) is None


def test_with_photos_it_is_her_own_section_and_growth() -> None:
    found = {
        "waist": estimate("waist", 760.0, 1050.0),
        "high_hip": estimate("high_hip", 850.0, 960.0),
    }
    assert section_of("waist", found) == Section(300.0, 200.0, 1.0, own=True)
    # Nothing is known of what is below.
    assert section_of("high_hip", found) == Section(300.0, 200.0, USUAL["high_hip"].growth, True)
    assert section_of("full_bust", found) == USUAL["full_bust"]


def test_the_usual_growth_is_that_of_the_girth_model() -> None:
    log_girths, _ = load_model().prior.given(1620.0, None)
    girths = dict(zip(LEVELS, np.exp(log_girths), strict=True))
    for code, below, apart_mm in (("waist", "high_hip", 90.0), ("high_hip", "full_hip", 124.0)):
        growth = (girths[below] - girths[code]) / apart_mm
        assert USUAL[code].growth == pytest.approx(growth, abs=0.05)


def test_the_words_say_what_it_is_worked_out_for_and_where_it_comes_from() -> None:
    usual = crooked_words(USUAL["waist"])
    assert usual.startswith("Worked out for a usual figure.")
    assert "alone adds 0.3 cm (1/8 in); the rest, up to about 1.7 cm (5/8 in)" in usual
    own = crooked_words(Section(300.0, 200.0, -1.0, own=True))
    assert "your photos show" in own
    assert "narrower" in own
    assert "wrong place at the back" in crooked_words(USUAL["full_bust"])


def test_at_every_level_the_drops_that_are_told_add_more_and_more() -> None:
    for section in USUAL.values():
        added = [crooked(section, drop_mm).together_mm for drop_mm in DROPS_MM]
        assert added == sorted(added)
        assert added[0] > 0
