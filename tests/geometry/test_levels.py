"""Levels on bodies drawn by hand, each with a bust point, fold, waist and seat that are known."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ellwand.geometry.levels import HIGH_HIP_BELOW_WAIST_MM, find_levels
from ellwand.geometry.profile import STEP_MM, Profile

STATURE = 1650.0
BUST, FOLD, WAIST, SEAT, ARMPIT = 1185.0, 1145.0, 1050.0, 850.0, 1255.0
# Where women usually have them, over the stature, as the module says.
USUAL = {"full_bust": 0.715, "full_hip": 0.513}


def bump(heights, at, out, half):
    """A parabola that stands out by `out` at a height and is gone `half` above and below."""
    return np.maximum(out * (1 - ((heights - at) / half) ** 2), 0.0)


def body(k=1.0, bust=40.0, dent=40.0, seat=40.0, waist=WAIST, before=(), behind=()):
    """Front and side profile of a body of posts and bumps.

    Args:
        k: size over that of a woman of 1650 mm.
        bust, dent, seat: how far each stands out or goes in.
        waist: height of the dent.
        before, behind: further bumps, each (height, out, half).
    """
    heights = np.arange(0.0, k * STATURE, STEP_MM)
    unit = heights / k
    front_edge = 100.0 + bump(unit, BUST, bust, 60.0)
    # Below the fold the front stands still, so that the bust ends there.
    front_edge = np.where(unit < FOLD, 100.0, front_edge)
    # In an outline, of two things the one that stands out further is seen.
    for one in before:
        front_edge = np.maximum(front_edge, 100.0 + bump(unit, *one))
    back_edge = -100.0 - bump(unit, SEAT, seat, 90.0)
    for one in behind:
        back_edge = np.minimum(back_edge, -100.0 - bump(unit, *one))
    half = 170.0 - bump(unit, waist, dent, 130.0) / 2
    side = Profile(heights, k * back_edge, k * front_edge)
    return Profile(heights, -k * half, k * half), side


def test_each_level_is_found_where_it_was_drawn():
    levels = find_levels(*body(), STATURE, ARMPIT)
    assert levels["full_bust"].height_mm == pytest.approx(BUST, abs=STEP_MM)
    assert levels["underbust"].height_mm == pytest.approx(FOLD, abs=STEP_MM)
    assert levels["waist"].height_mm == pytest.approx(WAIST, abs=STEP_MM)
    assert levels["full_hip"].height_mm == pytest.approx(SEAT, abs=STEP_MM)
    # 90 mm below the waist, and 14 mm below the armpit.
    assert levels["high_hip"].height_mm == levels["waist"].height_mm - HIGH_HIP_BELOW_WAIST_MM
    assert levels["high_bust"].height_mm == ARMPIT - 14.0
    assert all(level.shown for level in levels.values())


def test_a_post_shows_nothing_and_has_levels_where_women_usually_have_them():
    levels = find_levels(*body(bust=0.0, dent=0.0, seat=0.0), STATURE)
    for code, share in USUAL.items():
        assert levels[code].height_mm == pytest.approx(share * STATURE)
    # The armpit at 0.757 of the stature, and 14 mm.
    assert levels["high_bust"].height_mm == pytest.approx(0.757 * STATURE - 14.0)
    assert not any(level.shown for level in levels.values())


@pytest.mark.parametrize("out", [0.5, 2.0])
def test_a_bulge_is_a_bust_from_one_millimetre_on(out):
    level = find_levels(*body(before=[(1170.0, out, 40.0)], bust=0.0), STATURE)["full_bust"]
    assert level.shown == (out > 1.0)
    assert level.height_mm == pytest.approx(1170.0 if out > 1.0 else 0.715 * STATURE, abs=STEP_MM)


def test_a_belly_that_stands_out_further_is_not_the_bust():
    """At 1100 mm it stands out by 70, but only by 6 from the window's end at 1081 mm."""
    belly = (1100.0, 70.0, 60.0)
    _, side = seen = body(before=[belly])
    assert side.at(1100.0)[1] > side.at(BUST)[1]
    assert find_levels(*seen, STATURE)["full_bust"].height_mm == pytest.approx(BUST, abs=STEP_MM)


def test_a_hand_behind_the_thigh_is_not_the_seat():
    """At 775 mm it stands out by 60, but only by 2 from the window's end at 767 mm."""
    _, side = seen = body(behind=[(775.0, 60.0, 40.0)])
    assert side.at(775.0)[0] < side.at(SEAT)[0]
    assert find_levels(*seen, STATURE)["full_hip"].height_mm == pytest.approx(SEAT, abs=STEP_MM)


@pytest.mark.parametrize(("dent", "clear"), [(30.0, True), (22.0, False)])
def test_a_waist_is_clear_when_the_breadth_grows_enough_above_and_below(dent, clear):
    """The dent is less by (40 / 130)^2 of itself 40 mm away: 2.8 mm of 30, 2.1 mm of 22."""
    waist = find_levels(*body(dent=dent), STATURE)["waist"]
    assert waist.height_mm == pytest.approx(WAIST, abs=STEP_MM)
    assert waist.shown == clear


@pytest.mark.parametrize("flat", [-1, 1])
def test_a_waist_that_grows_to_one_side_only_is_not_clear(flat):
    """Narrowest at 1050 mm; on one side the breadth grows by 1 mm in 50, on the other by 10."""
    front, side = body()
    away = np.abs(front.heights_mm - WAIST)
    grown = away / 50.0 * np.where(np.sign(front.heights_mm - WAIST) == flat, 1.0, 10.0)
    seen = Profile(front.heights_mm, -130.0 - grown / 2, 130.0 + grown / 2)
    waist = find_levels(seen, side, STATURE)["waist"]
    assert waist.height_mm == pytest.approx(WAIST, abs=STEP_MM)
    assert not waist.shown


@pytest.mark.parametrize(("below", "clear"), [(40.0, True), (20.0, False)])
def test_a_waist_just_below_the_fold_is_not_clear(below, clear):
    levels = find_levels(*body(waist=FOLD - below), STATURE)
    assert levels["waist"].height_mm == pytest.approx(FOLD - below, abs=STEP_MM)
    assert levels["waist"].shown == clear
    assert levels["high_hip"].shown == clear


@pytest.mark.parametrize("waist", [940.0, 1200.0])
def test_a_body_that_narrows_to_the_end_of_the_window_has_its_waist_where_most_have(waist):
    """Between 965 and 1137 mm (fold less 8) the breadth then falls or rises all the way."""
    found = find_levels(*body(waist=waist), STATURE)["waist"]
    assert found.height_mm == pytest.approx(0.630 * STATURE)
    assert not found.shown


def test_the_fold_is_where_the_front_lies_most_behind_a_string_from_bust_to_belly():
    """A string from 1050 mm (0 before the post) to the bust (40 before it); a notch at 1100."""
    front, side = body()
    notch = bump(side.heights_mm, 1100.0, 30.0, 20.0)
    notched = Profile(side.heights_mm, side.low_mm, side.high_mm - notch)
    level = find_levels(front, notched, STATURE)["underbust"]
    # Behind the string: 30 + 40 * 50 / 135 = 45 at the notch, 28 at the old fold.
    assert level.height_mm == pytest.approx(1100.0, abs=STEP_MM)
    assert level.shown


def test_the_armpit_places_the_high_bust():
    usual = find_levels(*body(), STATURE)["high_bust"]
    seen = find_levels(*body(), STATURE, ARMPIT)["high_bust"]
    assert seen.shown and not usual.shown
    # An armpit at the waist is a mistake and changes nothing.
    assert find_levels(*body(), STATURE, armpit_mm=1000.0)["high_bust"] == usual


def test_the_high_bust_stays_over_the_bust():
    """An armpit 5 mm over the bust would bring the tape 9 mm below it."""
    levels = find_levels(*body(), STATURE, BUST + 5.0)
    assert levels["high_bust"].height_mm == levels["full_bust"].height_mm + 8.0


def test_places_that_are_not_seen_are_passed_over():
    front, side = body()
    hidden = np.abs(side.heights_mm - SEAT) < 150.0
    seen = Profile(side.heights_mm, np.where(hidden, np.nan, side.low_mm), side.high_mm)
    level = find_levels(front, seen, STATURE)["full_hip"]
    assert level.height_mm == pytest.approx(0.513 * STATURE)
    assert not level.shown


@settings(deadline=None, max_examples=25)
@given(st.floats(0.88, 1.12))
def test_a_taller_body_of_the_same_build_has_its_levels_higher_in_proportion(k):
    plain = find_levels(*body(), STATURE)
    scaled = find_levels(*body(k), k * STATURE)
    for code in ("full_bust", "waist", "full_hip"):
        # Each to a step on its own, and the step does not grow with the body.
        assert scaled[code].height_mm == pytest.approx(k * plain[code].height_mm, abs=2 * STEP_MM)
        assert scaled[code].shown


@settings(deadline=None, max_examples=25)
@given(
    st.floats(0, 60),
    st.floats(0, 80),
    st.floats(0, 60),
    st.floats(900, 1200),
    st.floats(1130, 1300),
)
def test_levels_always_stand_in_the_order_of_the_body(bust, dent, seat, waist, armpit):
    levels = find_levels(*body(bust=bust, dent=dent, seat=seat, waist=waist), STATURE, armpit)
    order = ("high_bust", "full_bust", "underbust", "waist", "high_hip", "full_hip")
    heights = [levels[code].height_mm for code in order]
    assert all(above > below for above, below in pairwise(heights))
