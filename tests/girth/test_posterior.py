"""Where levels lie on her, from where the outlines show them."""

import pytest

from ellwand.geometry.levels import Level
from ellwand.girth.model import load_model
from ellwand.girth.posterior import _height


@pytest.mark.parametrize("code", ["full_bust", "waist", "high_hip", "full_hip"])
def test_a_level_lies_so_far_over_where_it_is_shown_as_the_model_says(code):
    over, sd = load_model().likelihood.heights[code]
    assert _height(code, Level(1000.0, shown=True)) == (1000.0 + over, sd)


def test_a_waist_that_the_bust_holds_up_lies_higher_and_less_surely_with_its_high_hip():
    for code in ("waist", "high_hip"):
        shown, held_up = (_height(code, Level(1000.0, shown=shown)) for shown in (True, False))
        assert held_up[0] == shown[0] + 8.5
        assert held_up[1] == 8.0 > shown[1]
