"""The object of known size against her height: what each says alone, and when they disagree."""

from dataclasses import replace

import numpy as np
import pytest

from ellwand.geometry.profile import Profile
from ellwand.geometry.scene import Scene
from ellwand.geometry.wall import solve
from ellwand.girth.scale import compare, widened
from tests.synthetic import sitting

STRAIGHT = Profile(np.arange(0.0, 1700.0, 2.0), np.full(850, -100.0), np.full(850, 100.0))


def scene_of(truth, **known):
    solution = solve(truth.sightings, replace(truth.known, **known))
    return Scene(solution, STRAIGHT, STRAIGHT, 1, 0.0, 0.0, None)


def mm_per_px(scale, source):
    return [one.mm_per_px for one in scale.sources if one.source == source]


def test_sheets_and_a_true_height_say_the_same():
    scale = compare(scene_of(sitting(np.random.default_rng(1), noise=0.0)))
    assert scale.agree
    assert mm_per_px(scale, "reference") == pytest.approx(mm_per_px(scale, "stature"), rel=1e-3)


def test_together_they_are_surer_than_either():
    scale = compare(scene_of(sitting(np.random.default_rng(1))))
    for view in ("front", "side"):
        u = {one.source: one.u_mm_per_px for one in scale.sources if one.view == view}
        assert u["combined"] < min(u["reference"], u["stature"])


def test_a_height_typed_ten_centimetres_wrong_is_told_and_widens_everything():
    scene = scene_of(sitting(np.random.default_rng(1), noise=0.0), stature_mm=1750.0)
    scale = compare(scene)
    assert not scale.agree and scale.disagreement_z > 4
    grown = widened(scene, scale).solution.gain
    assert np.abs(grown).sum() > 2 * np.abs(scene.solution.gain).sum()
    # Neither is dropped: the combined scale lies between both.
    one, other = mm_per_px(scale, "reference")[0], mm_per_px(scale, "stature")[0]
    assert min(one, other) < mm_per_px(scale, "combined")[0] < max(one, other)


def test_with_one_source_there_is_nothing_to_compare():
    scene = scene_of(sitting(np.random.default_rng(1), sheets=0))
    scale = compare(scene)
    assert (scale.disagreement_z, scale.agree) == (None, True)
    assert widened(scene, scale) is scene
