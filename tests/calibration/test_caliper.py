import numpy as np
import pytest

from calibration.caliper import carried_over, on_bodies
from calibration.sightings import SECTION_FIELDS
from calibration.survey import COLUMNS
from tests.calibration import sights
from tests.calibration.women import made_up

COUNT, SHARE = 2000, 3.4


def bodies():
    """Bodies whose girth is 3.4 times the root of breadth times depth, to 0.5 %."""
    rng = np.random.default_rng(12)
    people = sights.sightings(2)
    for code in people.sections:
        breadth, depth = np.exp(rng.normal(np.log([[300.0], [240.0]]), 0.15, (2, COUNT)))
        girth = SHARE * np.sqrt(breadth * depth) * np.exp(rng.normal(0.0, 0.005, COUNT))
        section = np.zeros((COUNT, len(SECTION_FIELDS)))
        for name, values in (("breadth_mm", breadth), ("depth_mm", depth), ("girth_mm", girth)):
            section[:, SECTION_FIELDS.index(name)] = values
        people.sections[code] = section
    people.numbers["stature_mm"] = rng.normal(1650.0, 70.0, COUNT)
    return people


def test_the_relation_of_bodies_is_found():
    fit, girths = on_bodies(bodies())

    assert girths.shape == (COUNT, len(COLUMNS))
    for i, code in enumerate(COLUMNS):
        own = [fit.features.index(f"{code}.{kind}") for kind in ("breadth", "depth")]
        assert fit.coefficients[own, i] == pytest.approx([0.5, 0.5], abs=0.005)


def test_a_caliper_that_takes_the_widths_too_small_leaves_the_girths_too_small():
    table = made_up()
    for girth, breadth, depth in COLUMNS.values():
        # Widths as on the bodies, but 4 % less.
        table[breadth] = 0.96 * table[girth] / SHARE * 1.1
        table[depth] = 0.96 * table[girth] / SHARE / 1.1
    found = carried_over(bodies(), table)

    for code, (girth, *_) in COLUMNS.items():
        # 1,354 and more women; the relation itself is known to 0.1 %.
        assert found[code]["bias_mm"] == pytest.approx(0.04 * table[girth].mean(), abs=2.0)
