import math

import numpy as np
import pytest

from ellwand.girth.joint import conditioned
from ellwand.girth.model import load_model
from ellwand.girth.people import STATURE, Stretch, people
from ellwand.measurements import LEVELS


def test_a_stretched_length_is_true_at_its_centre_and_comes_back() -> None:
    scale = Stretch(950.0)
    assert scale.of(950.0) == 950.0
    assert scale.of(960.0) == pytest.approx(960.0, abs=0.06)
    assert scale.back(scale.of(1234.5)) == pytest.approx(1234.5)
    step = (scale.of(800.1) - scale.of(799.9)) / 0.2
    assert scale.slope(800.0) == pytest.approx(step, rel=1e-6)


@pytest.mark.parametrize("stature_mm", [1480.0, 1615.0, 1780.0])
@pytest.mark.parametrize("mass_kg", [None, 52.0, 110.0])
def test_people_are_those_of_the_girth_model(stature_mm: float, mass_kg: float | None) -> None:
    women = people(mass_kg)
    height = women.scales[STATURE].of(stature_mm)
    given = conditioned(women.joint, {STATURE: (height, 0.0)})
    mean, covariance = load_model().prior.given(stature_mm, mass_kg)
    centres = np.array([women.scales[code].centre_mm for code in LEVELS])
    logs = [women.scales[code].back(given.value_mm(code)) for code in LEVELS]
    assert np.log(logs) == pytest.approx(mean, abs=1e-9)
    rows = np.array(given.covariance_mm2)[1:, 1:] / np.outer(centres, centres)
    assert rows == pytest.approx(covariance, abs=1e-9)


def test_heights_are_those_of_adult_women() -> None:
    women = people()
    assert women.joint.value_mm(STATURE) == pytest.approx(1615.0)
    assert women.joint.u_mm(STATURE) == pytest.approx(71.0)


def test_a_weight_shifts_the_height_and_narrows_the_girths() -> None:
    light, all_women = people(48.0), people()
    assert light.joint.value_mm(STATURE) < all_women.joint.value_mm(STATURE)
    for code in LEVELS:
        scale = light.scales[code]
        assert scale.back(light.joint.value_mm(code)) < all_women.scales[code].centre_mm
        assert light.joint.u_mm(code) < 0.8 * all_women.joint.u_mm(code)
        assert math.isfinite(light.joint.u_mm(code))
