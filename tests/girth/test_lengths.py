"""Lengths from landmarks whose places are known, times the ratios that join them to the tape's."""

import numpy as np
import pytest

from ellwand.girth.lengths import LENGTHS, estimate_lengths
from tests.elliptic_body import STATURE, EllipticBody, looks, scene_of

BOTH = looks(EllipticBody())
SCENE = scene_of(BOTH)
HEIGHTS = {"waist": (1050.0, 6.0), "full_hip": (850.0, 8.0)}


def lengths(heights=HEIGHTS, both=BOTH, scene=SCENE):
    return estimate_lengths(scene, both, heights)


@pytest.mark.parametrize(
    ("code", "value"),
    [
        # Shoulders at 165 mm either side; 1.112.
        ("shoulder_width", 1.112 * 330.0),
        # From (165, 1350) to (400, 1200) to (600, 1080); 1.075.
        ("arm_length", 1.075 * (np.hypot(235, 150) + np.hypot(200, 120))),
        # Nape at 0.862 of the stature, waist at 1050, along the curve of the back 5 % more.
        ("back_waist_length", 1.050 * (0.862 * STATURE - 1050.0)),
        ("waist_to_hip", 200.0),
        # Hips at 880.
        ("inside_leg", 0.9025 * 880.0),
    ],
)
def test_each_length_is_that_of_the_body_times_its_ratio(code, value):
    assert lengths()[code].value_mm == pytest.approx(value, abs=0.1)


def test_every_length_has_a_bound_around_it_and_a_whole_budget():
    found = lengths()
    assert tuple(found) == LENGTHS
    for estimate in found.values():
        assert estimate.low_mm < estimate.value_mm < estimate.high_mm
        assert sum(share.share for share in estimate.budget) == pytest.approx(1.0)


def test_from_waist_to_hip_only_the_levels_are_in_doubt():
    """6 and 8 make 10."""
    estimate = lengths()["waist_to_hip"]
    # 4000 draws give a deviation to 1.1 %; four times that.
    assert estimate.u_mm == pytest.approx(10.0, rel=0.045)
    assert estimate.budget[0].source == "level height"
    assert estimate.budget[0].share == pytest.approx(1.0)


def test_a_less_sure_waist_makes_the_back_less_sure_and_the_arm_not():
    sure, unsure = (lengths({**HEIGHTS, "waist": (1050.0, u)}) for u in (1.0, 30.0))
    added = unsure["back_waist_length"].u_mm ** 2 - sure["back_waist_length"].u_mm ** 2
    # 1.05 times 30, less 1.05 times 1, drawn as above.
    assert np.sqrt(added) == pytest.approx(1.05 * 30.0, rel=0.1)
    assert unsure["arm_length"].u_mm == sure["arm_length"].u_mm


def test_lengths_from_the_front_do_not_ask_which_way_she_faces():
    both = looks(EllipticBody(), -1)
    found, other = lengths(), lengths(both=both, scene=scene_of(both))
    for code in LENGTHS:
        assert other[code].value_mm == pytest.approx(found[code].value_mm, abs=0.05)
