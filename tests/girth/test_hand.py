"""Moves of a hand, in the order in which they are made."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some

from ellwand.errors import EntryProblem
from ellwand.geometry.levels import Level
from ellwand.girth.hand import APART_MM, FADES_OVER_MM, Bend, placed
from ellwand.girth.move import Move

FOUND = {
    "high_bust": Level(1230.0, shown=True),
    "full_bust": Level(1190.0, shown=True),
    "underbust": Level(1145.0, shown=True),
    "waist": Level(1070.0, shown=True),
    "high_hip": Level(980.0, shown=True),
    "full_hip": Level(845.0, shown=True),
}


def up(level, by_mm, u_mm=3.0):
    return Move("front", level, "height", by_mm, u_mm)


def heights(levels):
    return {code: level.height_mm for code, level in levels.items()}


def test_a_bend_is_whole_where_it_was_made_and_gone_where_it_has_faded():
    bend = Bend("front", "waist", 1, 1000.0, 10.0, 3.0)
    at = 1000.0 + np.array([0.0, FADES_OVER_MM / 2, -FADES_OVER_MM / 2, FADES_OVER_MM, 500.0])
    assert bend.fading(at) == pytest.approx([1.0, 0.5, 0.5, 0.0, 0.0], abs=1e-12)


def test_an_end_is_moved_away_from_the_middle_at_the_height_that_the_level_has_then():
    moves = [
        Move("front", "waist", "left", 5.0, 3.0),
        up("waist", 20.0),
        Move("side", "waist", "right", -4.0, 2.0),
    ]
    _, hand = placed(FOUND, moves)
    assert [(one.end, one.by_mm, one.at_mm) for one in hand.bends] == [
        (0, -5.0, 1070.0),
        (1, -4.0, 1090.0),
    ]
    assert hand.levels == {"waist": 3.0, "high_hip": 3.0}


def test_the_last_placing_says_how_sure_the_hand_is():
    moves = [up("waist", 5.0, 9.0), up("waist", 5.0, 2.0)]
    ends = [Move("front", "waist", "left", 5.0, u) for u in (9.0, 2.0)]
    levels, hand = placed(FOUND, [*moves, *ends])
    assert levels["waist"].height_mm == 1080.0
    assert hand.levels["waist"] == 2.0
    assert [one.u_mm for one in hand.latest().values()] == [2.0]


def test_a_high_hip_stays_when_its_waist_was_not_shown():
    held = {**FOUND, "waist": Level(1070.0, shown=False)}
    levels, hand = placed(held, [up("waist", 10.0)])
    assert levels["high_hip"] == FOUND["high_hip"]
    assert hand.levels == {"waist": 3.0}


def test_where_the_line_in_the_way_is_not_drawn_it_says_where_it_is():
    high = FOUND["high_bust"].height_mm - FOUND["full_bust"].height_mm
    with pytest.raises(EntryProblem, match="high bust") as caught:
        placed(FOUND, [up("full_bust", high)])
    assert "in the side photo only" in caught.value.advice


@given(some.lists(some.tuples(some.sampled_from(list(FOUND)), some.floats(-60, 60)), max_size=6))
def test_levels_stay_in_order_or_are_refused(given):
    moves = [up(level, by_mm) for level, by_mm in given]
    try:
        levels, _ = placed(FOUND, moves)
    except EntryProblem as problem:
        assert problem.code == "levels-out-of-order"
    else:
        down = list(heights(levels).values())
        assert all(above - below >= APART_MM - 1e-9 for above, below in pairwise(down))


@given(some.floats(-20, 20), some.floats(-20, 20))
def test_two_moves_of_a_level_are_one_of_their_sum(one, other):
    apart = heights(placed(FOUND, [up("waist", one), up("waist", other)])[0])
    assert heights(placed(FOUND, [up("waist", one + other)])[0]) == pytest.approx(apart)


def test_levels_found_close_together_may_stay_so():
    close = {**FOUND, "underbust": Level(1186.0, shown=True)}
    levels, _ = placed(close, [up("full_bust", 0.0)])
    assert heights(levels) == heights(close)
    with pytest.raises(EntryProblem):
        placed(close, [up("full_bust", -1.0)])
