"""Levels on bodies drawn by hand, each with a bust point, fold, waist and seat that are known."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ellwand.geometry.levels import HIGH_HIP_BELOW_WAIST_MM, USUAL, find_levels
from ellwand.geometry.profile import STEP_MM, Profile

STATURE = 1650.0
BUST, FOLD, WAIST, SEAT = 1185.0, 1145.0, 1050.0, 850.0


def bump(heights, at, out, half):
    """A parabola that stands out by `out` at a height and is gone `half` above and below."""
    return np.maximum(out * (1 - ((heights - at) / half) ** 2), 0.0)


def body(stature=STATURE, belly=0.0, bust=40.0, dent=40.0, seat=40.0):
    """Front and side profile of a body of posts and bumps."""
    k = stature / STATURE
    heights = np.arange(0.0, stature, STEP_MM)
    unit = heights / k
    front_edge = 100.0 + bump(unit, BUST, bust, 60.0) + bump(unit, 950.0, belly, 110.0)
    # Below the fold the front stands still, so that the bust ends there.
    front_edge = np.where(unit < FOLD, np.minimum(front_edge, 100.0 + belly), front_edge)
    back_edge = -100.0 - bump(unit, SEAT, seat, 90.0)
    half = 170.0 - bump(unit, WAIST, dent, 130.0) / 2
    side = Profile(heights, k * back_edge, k * front_edge)
    return Profile(heights, -k * half, k * half), side


def test_each_level_is_found_where_it_was_drawn():
    levels = find_levels(*body(), STATURE)
    assert levels["full_bust"].height_mm == pytest.approx(BUST, abs=4)
    assert levels["underbust"].height_mm == pytest.approx(FOLD, abs=12)
    assert levels["waist"].height_mm == pytest.approx(WAIST, abs=4)
    assert levels["full_hip"].height_mm == pytest.approx(SEAT, abs=4)
    assert levels["high_hip"].height_mm == levels["waist"].height_mm - HIGH_HIP_BELOW_WAIST_MM
    assert all(levels[code].shown for code in ("full_bust", "waist", "full_hip"))


def test_a_post_has_no_levels_of_its_own_and_all_the_doubt_of_people():
    levels = find_levels(*body(bust=0.0, dent=0.0, seat=0.0), STATURE)
    for code in ("full_bust", "waist", "full_hip"):
        assert levels[code].height_mm == pytest.approx(USUAL[code].mean * STATURE)
        assert levels[code].u_mm == pytest.approx(USUAL[code].sd * STATURE)
        assert not levels[code].shown


def test_a_belly_that_stands_out_further_is_not_the_bust():
    levels = find_levels(*body(belly=90.0), STATURE)
    assert levels["full_bust"].height_mm == pytest.approx(BUST, abs=5)


def test_a_sharp_waist_is_known_better_than_a_faint_one():
    sharp, faint = (find_levels(*body(dent=dent), STATURE)["waist"] for dent in (60.0, 3.0))
    assert sharp.u_mm < faint.u_mm <= USUAL["waist"].sd * STATURE


def test_the_armpit_places_the_high_bust():
    seen = find_levels(*body(), STATURE, armpit_mm=1255.0)["high_bust"]
    usual = find_levels(*body(), STATURE)["high_bust"]
    assert seen.shown and not usual.shown
    assert seen.u_mm < usual.u_mm
    assert 1236.0 < seen.height_mm < 1246.0
    # An armpit at the waist is a mistake and changes nothing.
    assert find_levels(*body(), STATURE, armpit_mm=1000.0)["high_bust"] == usual


@settings(deadline=None, max_examples=15)
@given(st.floats(0.88, 1.12))
def test_a_body_half_as_tall_again_has_its_levels_half_as_high_again(k):
    plain = find_levels(*body(), STATURE)
    scaled = find_levels(*body(k * STATURE), k * STATURE)
    for code in ("full_bust", "waist", "full_hip"):
        assert scaled[code].height_mm == pytest.approx(k * plain[code].height_mm, abs=6)
