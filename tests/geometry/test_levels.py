"""Levels on bodies drawn by hand, each with a bust point, fold, waist and seat that are known."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ellwand.geometry.levels import (
    HIGH_HIP_BELOW_WAIST_MM,
    SEAT_BAND,
    WAIST_BAND,
    Level,
    find_levels,
)
from ellwand.geometry.profile import STEP_MM, Profile

STATURE = 1650.0
# Waist and seat where women usually have them, to a millimetre.
BUST, FOLD, WAIST, SEAT, ARMPIT = 1185.0, 1145.0, 1040.0, 846.0, 1255.0
# Over the stature, as the module says.
USUAL = {"full_bust": 0.715, "waist": 0.630, "full_hip": 0.513}


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


def test_a_post_has_its_levels_where_women_usually_have_them():
    """It shows no bust and no fold; an elastic and a tape hold on a post too."""
    levels = find_levels(*body(bust=0.0, dent=0.0, seat=0.0), STATURE)
    for code, share in USUAL.items():
        assert levels[code].height_mm == pytest.approx(share * STATURE, abs=STEP_MM / 2)
    # The armpit at 0.757 of the stature, and 14 mm.
    assert levels["high_bust"].height_mm == pytest.approx(0.757 * STATURE - 14.0)
    shown = {code for code, level in levels.items() if level.shown}
    assert shown == {"waist", "high_hip", "full_hip"}


@pytest.mark.parametrize("out", [0.5, 2.0])
def test_a_bulge_is_a_bust_from_one_millimetre_on(out):
    level = find_levels(*body(before=[(1170.0, out, 40.0)], bust=0.0), STATURE)["full_bust"]
    assert level.shown == (out > 1.0)
    assert level.height_mm == pytest.approx(1170.0 if out > 1.0 else 0.715 * STATURE, abs=STEP_MM)


def test_a_belly_that_stands_out_further_is_not_the_bust():
    """At 1080 mm it stands out by 70, but only by 11 from the window's end at 1056 mm."""
    belly = (1080.0, 70.0, 60.0)
    _, side = seen = body(before=[belly])
    assert side.at(1080.0)[1] > side.at(BUST)[1]
    assert find_levels(*seen, STATURE)["full_bust"].height_mm == pytest.approx(BUST, abs=STEP_MM)


def test_a_hand_behind_the_thigh_is_not_the_seat():
    """At 730 mm it stands out by 60; the seat is sought from 777 mm on."""
    _, side = seen = body(behind=[(730.0, 60.0, 40.0)])
    assert side.at(730.0)[0] < side.at(SEAT)[0]
    assert find_levels(*seen, STATURE)["full_hip"].height_mm == pytest.approx(SEAT, abs=STEP_MM)


def front_of(breadth, side):
    """A front profile of that breadth, mm, over the heights of a side profile."""
    return Profile(side.heights_mm, -breadth / 2, breadth / 2)


def waist_of(breadth_at):
    """Where the waist is found on a body whose breadth is a function of the height."""
    _, side = body()
    return find_levels(front_of(breadth_at(side.heights_mm), side), side, STATURE)["waist"]


@pytest.mark.parametrize("waist", [1010.0, 1040.0, 1070.0])
def test_a_waist_that_is_well_marked_lies_where_it_is_narrowest(waist):
    found = find_levels(*body(dent=150.0, waist=waist), STATURE)["waist"]
    assert found.height_mm == pytest.approx(waist, abs=2 * STEP_MM)


@pytest.mark.parametrize("times", [1.0, 3.0, 9.0])
@pytest.mark.parametrize(("code", "band", "at"), [
    ("waist", WAIST_BAND, 1070.0), ("full_hip", SEAT_BAND, 825.0),
])  # fmt: skip
def test_a_faint_place_lies_between_where_it_is_drawn_and_the_usual_height(code, band, at, times):
    """The sum of two parabolas is least at the mean of their middles, weighted by their bends."""
    bend = times * band.held_mm / 40.0**2
    front, side = body(dent=0.0, seat=0.0)
    grown = bend * (side.heights_mm - at) ** 2
    if code == "waist":
        front = front_of(300.0 + grown, side)
    else:
        side = Profile(side.heights_mm, -140.0 + grown, side.high_mm)
    found = find_levels(front, side, STATURE)[code]
    expected = (times * at + band.usual * STATURE) / (times + 1)
    assert found.height_mm == pytest.approx(expected, abs=STEP_MM)


def test_a_body_that_only_narrows_upwards_has_its_waist_a_little_over_the_usual_height():
    """By 1 mm in 20, until the cost grows as fast: 2 * 1.5 / 40^2 per mm, squared, at 27 mm."""
    found = waist_of(lambda heights: 400.0 - heights / 20.0)
    assert found.height_mm == pytest.approx(0.630 * STATURE + 0.05 * 40.0**2 / (2 * 1.5), abs=3.0)
    assert found.shown


def test_of_two_narrow_places_the_one_nearer_to_the_usual_height_is_the_waist():
    """Alike, 49.5 mm below the usual height and 65 mm above it."""
    found = waist_of(lambda y: 300.0 - bump(y, 990.0, 20.0, 25.0) - bump(y, 1104.5, 20.0, 25.0))
    assert found.height_mm == pytest.approx(990.0, abs=5.0)


def test_an_elastic_over_two_narrow_places_close_together_lies_between_them():
    found = waist_of(lambda y: 300.0 - bump(y, 1020.0, 20.0, 20.0) - bump(y, 1060.0, 20.0, 20.0))
    assert found.height_mm == pytest.approx(1040.0, abs=STEP_MM)


def test_noise_of_half_a_millimetre_moves_even_the_waist_of_a_post_by_little():
    """On a post the least breadth alone would lie anywhere within reach, 190 mm.

    Evened over s = 20 mm, noise of 0.5 mm in each row of 2 mm has a slope with a standard deviation
    of 0.5 sqrt(2 / (4 sqrt(pi) s^3)) = 0.003; the slope of the cost grows by 2 * 1.5 / 40^2, or
    0.0019, per mm: 1.6 mm.
    """
    rng = np.random.default_rng(3)
    _, side = body()
    noise = rng.normal(0.0, 0.5, (300, len(side.heights_mm)))
    moved = [waist_of(lambda _, row=row: 300.0 + row).height_mm - 1039.5 for row in noise]
    # Of 300, a deviation is known to 4 %; rows are 2 mm apart.
    assert 1.3 < np.std(moved) < 2.1
    assert abs(np.mean(moved)) < 0.5


def test_a_waist_stays_below_the_fold_and_what_holds_it_there_is_told():
    """The fold at 1100 mm, as below; the body narrows up to 1115 mm."""
    front, side = body(dent=200.0, waist=1115.0)
    levels = find_levels(front, notched(side), STATURE)
    assert levels["underbust"].height_mm == pytest.approx(1100.0, abs=STEP_MM)
    assert levels["waist"].height_mm == levels["underbust"].height_mm - 8.0
    assert not levels["waist"].shown
    # Without a bust the elastic would lie higher, and the high hip is told from there.
    free = find_levels(front, body()[1], STATURE)["waist"]
    assert free.shown
    assert levels["high_hip"] == Level(free.height_mm - HIGH_HIP_BELOW_WAIST_MM, shown=True)


def test_a_high_hip_stays_well_below_a_waist_that_the_bust_holds_down():
    """The fold at 1020 mm; without it the elastic would rest 100 mm higher."""
    front, side = body(dent=200.0, waist=1130.0)
    low = bump(side.heights_mm, 1050.0, 120.0, 30.0)
    levels = find_levels(front, Profile(side.heights_mm, side.low_mm, side.high_mm + low), STATURE)
    assert levels["high_hip"].height_mm == levels["waist"].height_mm - 40.0


def test_a_seat_stays_below_the_high_hip():
    """The waist near 957 mm, the high hip 90 mm lower; the seat is drawn at 900 mm."""
    front, _ = body(dent=200.0, waist=955.0)
    _, side = body(seat=0.0, behind=[(900.0, 40.0, 90.0)])
    levels = find_levels(front, side, STATURE)
    assert levels["high_hip"].height_mm < 880.0
    assert levels["full_hip"].height_mm == levels["high_hip"].height_mm - 8.0


def notched(side):
    """A side profile whose front goes in by 30 mm at 1100 mm."""
    notch = bump(side.heights_mm, 1100.0, 30.0, 20.0)
    return Profile(side.heights_mm, side.low_mm, side.high_mm - notch)


def test_the_fold_is_where_the_front_lies_most_behind_a_string_from_bust_to_belly():
    """A string from 1050 mm (0 before the post) to the bust (40 before it); a notch at 1100."""
    front, side = body()
    level = find_levels(front, notched(side), STATURE)["underbust"]
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


def hidden(seen, at):
    """A profile whose lesser edge is not seen within 150 mm of a height."""
    near = np.abs(seen.heights_mm - at) < 150.0
    return Profile(seen.heights_mm, np.where(near, np.nan, seen.low_mm), seen.high_mm)


def test_waist_and_seat_that_are_not_seen_lie_where_women_usually_have_them():
    front, side = body(waist=1070.0, dent=150.0)
    levels = find_levels(hidden(front, 1040.0), hidden(side, SEAT), STATURE)
    for code in ("waist", "full_hip"):
        assert levels[code].height_mm == pytest.approx(USUAL[code] * STATURE)
    assert not any(levels[code].shown for code in ("waist", "high_hip", "full_hip"))


@settings(max_examples=25)
@given(st.floats(0.88, 1.12))
def test_a_taller_body_of_the_same_build_has_its_levels_higher_in_proportion(k):
    plain = find_levels(*body(), STATURE)
    scaled = find_levels(*body(k), k * STATURE)
    for code in ("full_bust", "waist", "full_hip"):
        # Each to a step on its own, and the step does not grow with the body.
        assert scaled[code].height_mm == pytest.approx(k * plain[code].height_mm, abs=2 * STEP_MM)
        assert scaled[code].shown


@settings(max_examples=25)
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
