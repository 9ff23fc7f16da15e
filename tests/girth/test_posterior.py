"""Where levels lie on her, from where the outlines show them; what the camera wrote."""

from types import SimpleNamespace

import pytest

from ellwand.geometry.levels import Level
from ellwand.girth.hand import Hand
from ellwand.girth.model import load_model
from ellwand.girth.posterior import Written, _heights
from ellwand.measurements import LEVELS


@pytest.mark.parametrize("shown", [True, False])
def test_a_level_lies_so_far_over_where_it_is_shown_as_the_model_says(shown):
    tried = load_model().likelihood.tried(waist_shown=shown).heights
    found = _heights({code: Level(1000.0, shown) for code in LEVELS}, Hand())
    assert found == {code: (1000.0 + tried[code][0], tried[code][1]) for code in LEVELS}


def test_a_waist_that_the_bust_holds_down_lies_less_surely_and_nothing_else():
    shown, held_down = (
        _heights({c: Level(1000.0, shown) for c in LEVELS}, Hand()) for shown in (True, False)
    )
    assert held_down["waist"][1] > shown["waist"][1]
    assert {**held_down, "waist": None} == {**shown, "waist": None}


@pytest.mark.parametrize(
    ("front", "side", "focal", "zooms", "whole"),
    [
        (26.0, 26.0, 26.0, {"side": 1.0}, True),
        (26.0, 52.0, 26.0, {"side": 2.0}, True),
        (26.0, None, 26.0, {}, False),
        (None, 24.0, 24.0, {}, False),
        (None, None, None, {}, False),
    ],
)
def test_each_photo_has_the_focal_length_that_the_camera_wrote(front, side, focal, zooms, whole):
    looks = {"front": SimpleNamespace(focal_35mm=front), "side": SimpleNamespace(focal_35mm=side)}
    written = Written.of(looks)
    assert (written.focal_35mm, written.zooms, written.whole) == (focal, zooms, whole)
