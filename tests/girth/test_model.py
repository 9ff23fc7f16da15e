"""Girth from breadths and depths, and widths seen from aside."""

import numpy as np
import pytest

from ellwand.girth.model import Obliquity, ellipse_perimeter, load_model
from ellwand.measurements import LEVELS


@pytest.mark.parametrize(
    ("breadth", "depth", "perimeter"),
    # A circle of radius 100; an ellipse by the elliptic integral; a flat thing.
    [(200, 200, 628.3185), (300, 200, 793.2720), (200, 300, 793.2720), (100, 0, 200)],
)
def test_perimeter_of_an_ellipse(breadth, depth, perimeter):
    found = ellipse_perimeter(np.array(float(breadth)), np.array(float(depth)))
    assert found == pytest.approx(perimeter, abs=1e-4)


def test_the_model_file_holds_all_that_is_used():
    model = load_model()
    assert set(model.relations) == set(LEVELS)
    assert np.linalg.eigvalsh(model.correlation).min() > 0
    for code, relation in model.relations.items():
        assert len(relation.features) == len(relation.coefficients)
        assert "breadth" not in relation.features or code != "high_bust"
        # No girth is claimed to be known better than measured women have shown.
        assert relation.sd_mm >= (relation.survey_sd_mm or 0)


def middling(model):
    return {name: (low + high) / 2 for name, (low, high) in model.ranges.items()}


def test_a_girth_lies_between_that_of_a_box_and_of_a_lens():
    """A convex section with these widths: at least a lozenge, at most a rectangle."""
    model = load_model()
    widths = {name: np.array([value]) for name, value in middling(model).items()}
    widths["high_bust.depth"] = widths["full_bust.depth"] - 20
    for code in LEVELS[1:]:
        breadth, depth = (float(widths[f"{code}.{side}"][0]) for side in ("breadth", "depth"))
        girth = float(model.girth(code, widths)[0])
        assert 2 * np.hypot(breadth, depth) < girth < 2 * (breadth + depth)


def test_bodies_beyond_those_of_the_fit_are_named():
    model = load_model()
    inside = middling(model)
    assert model.outside(inside) == ()
    assert model.outside({**inside, "waist.breadth": 900.0}) == ("waist.breadth",)


def test_square_sight_shows_an_edge_where_it_is():
    edge = Obliquity(signed=0.1, lobes=0.2, bend=0.3, sd=0.1)
    assert edge.farther(np.zeros(1), np.zeros(1)) == pytest.approx(0)
    # 0.1 * -0.1 + 0.2 * 0.1 + 0.3 * 0.01, and a residual of one deviation, 0.1 * 0.1.
    assert edge.farther(np.array([-0.1]), np.zeros(1)) == pytest.approx(0.013)
    assert edge.farther(np.array([-0.1]), np.ones(1)) == pytest.approx(0.023)


def test_a_round_body_bends_away_by_half_its_shape():
    """Circle of radius r: max(x + z t) = r sqrt(1 + t^2), about r t^2 / 2 more than r."""
    t = np.array([0.1])
    circle = Obliquity(signed=0, lobes=0, bend=0.25, sd=0)
    exact = (np.sqrt(1 + t**2) - 1) / 2
    assert circle.farther(t, np.zeros(1)) == pytest.approx(exact, rel=0.01)
