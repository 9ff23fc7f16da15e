"""What is known beforehand: the prior by hand, a made-up block, and the file of this version."""

import numpy as np
import pytest

from ellwand.girth import model as module
from ellwand.girth.ellipse import ellipse_perimeter
from ellwand.girth.model import MODEL_VERSION, WIDTHS, Prior, load_model, model_of
from ellwand.girth.shape import feature_names
from ellwand.measurements import KINDS, LEVELS


@pytest.mark.parametrize(
    ("breadth", "depth", "perimeter"),
    # A circle of radius 100; an ellipse by the elliptic integral; a flat thing.
    [(200, 200, 628.3185), (300, 200, 793.2720), (200, 300, 793.2720), (100, 0, 200)],
)
def test_perimeter_of_an_ellipse(breadth, depth, perimeter):
    found = ellipse_perimeter(np.array(float(breadth)), np.array(float(depth)))
    assert found == pytest.approx(perimeter, abs=1e-4)


ONES = np.ones(6)
# At 1600 mm and 70 kg each girth is 1000 mm; 1 % taller makes it 2 % less, 1 % heavier 0.5 % more.
SIMPLE = Prior(
    at_stature_mm=1600.0,
    at_mass_kg=70.0,
    log_mean=np.log(1000.0) * ONES,
    per_log_stature=-2.0 * ONES,
    per_log_mass=0.5 * ONES,
    log_covariance=0.03**2 * np.eye(6),
    mass_log_mean=np.log(70.0),
    mass_per_log_stature=2.0,
    mass_log_sd=0.2,
)


def test_a_told_weight_and_height_are_powers():
    mean, covariance = SIMPLE.given(1600.0, 70.0)
    assert np.exp(mean) == pytest.approx(1000.0 * ONES)
    assert covariance == pytest.approx(0.03**2 * np.eye(6))
    # 4 times as heavy: sqrt(4); half as tall: 2^2.
    assert np.exp(SIMPLE.given(1600.0, 280.0)[0]) == pytest.approx(2000.0 * ONES)
    assert np.exp(SIMPLE.given(800.0, 70.0)[0]) == pytest.approx(4000.0 * ONES)


def test_without_a_weight_that_of_women_of_her_height_counts_with_its_spread():
    """Twice as tall is 4 times as heavy: 1000 / 4 * 2."""
    mean, covariance = SIMPLE.given(3200.0, None)
    assert np.exp(mean) == pytest.approx(500.0 * ONES)
    # 0.5 * 0.2 = 0.1 goes to all girths alike.
    assert covariance == pytest.approx(0.03**2 * np.eye(6) + 0.1**2)


def made_up():
    """A file's content with three features."""
    tried = {"spread": [1.0] * 6, "heights": {code: [1.0, 10.0] for code in LEVELS}}
    likelihood = {
        "offset": [1.0, 2.0, 3.0],
        "per_girth": [[0.1 * k] * 6 for k in range(3)],
        "per_stature": [0.0, 0.1, 0.2],
        "covariance_root": [2.0, 1.0, 3.0, 0.0, 0.0, 4.0],
        "degrees": 9.0,
        "waist_shown": tried,
        "waist_held_down": tried,
    }
    return {
        "likelihood": likelihood,
        "growth": 0.5,
        "mean_size_mm": 900.0,
        "prior": {
            "at_stature_mm": 1600.0,
            "at_mass_kg": 70.0,
            "log_mean": [6.9] * 6,
            "per_log_stature": [-0.5] * 6,
            "per_log_mass": [0.5] * 6,
            "log_covariance": (0.01 * np.eye(6)).tolist(),
            "mass_log_mean": 4.3,
            "mass_per_log_stature": 1.7,
            "mass_log_sd": 0.24,
        },
        "widths": [[0.0] * 5] * 11,
        "people_sd_mm": [20.0] * 6,
        "girths_mm": {code: [600.0, 1600.0] for code in LEVELS},
        "stature_mm": [1400.0, 1900.0],
        "obliquity": {
            "heights": [0.5, 0.7],
            "side_of_body": [[0.1, 0.2, 0.3], [0.1, 0.2, 0.3]],
            "back": [[0.0, 0.0, 0.0], [0.0, 0.0, 0.0]],
            "front": [[0.0, 0.0, 0.0], [0.0, 0.0, 0.0]],
        },
    }


def test_a_model_is_what_its_file_says():
    model = model_of(made_up())
    outlines = model.likelihood
    assert outlines.offset == pytest.approx([1, 2, 3])
    # Lower triangle by rows: (2), (1, 3), (0, 0, 4), times its transpose.
    assert outlines.covariance == pytest.approx(np.array([[4, 2, 0], [2, 10, 0], [0, 0, 16]]))
    assert outlines.per_girth.shape == (3, 6)
    assert model.girths_mm["waist"] == (600.0, 1600.0)
    assert outlines.waist_held_down.heights["waist"] == (1.0, 10.0)
    assert model.stature_mm == (1400.0, 1900.0)
    assert model.prior.log_covariance.shape == (6, 6)
    added = model.obliquity.farther("side_of_body", np.array([0.6]), np.array([0.1]))
    assert added == pytest.approx([0.033])


def test_nobody_changes_a_model_by_mistake():
    model = model_of(made_up())
    covariance = model.likelihood.covariance
    for array in (covariance, model.prior.log_mean, model.widths, model.people_sd_mm):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 0.0


@pytest.mark.parametrize("change", [{"version": MODEL_VERSION - 1}, {"features": ["waist.depth"]}])
def test_a_file_of_another_version_or_of_other_features_is_refused(change, tmp_path, monkeypatch):
    content = {"version": MODEL_VERSION, "features": list(feature_names()), **change}
    tmp_path.joinpath("model.json").write_text(module.json.dumps(content), encoding="utf-8")
    monkeypatch.setattr(module, "files", lambda package: tmp_path)
    # Past the cache, which holds the model that everyone else uses.
    with pytest.raises(ValueError, match="girth model of version"):
        load_model.__wrapped__()


def positive(matrix):
    return np.array_equal(matrix, matrix.T) and np.linalg.eigvalsh(matrix).min() > 0


def test_the_packed_file_fits_the_features_that_are_read():
    model, count = load_model(), len(feature_names())
    likelihood = model.likelihood
    assert likelihood.offset.shape == likelihood.per_stature.shape == (count,)
    assert likelihood.per_girth.shape == (count, 6)
    assert positive(likelihood.covariance)
    # A t has a variance from 2 degrees on.
    assert likelihood.degrees > 2
    for tried in (likelihood.waist_shown, likelihood.waist_held_down):
        assert ((tried.spread > 0.6) & (tried.spread < 2.0)).all()
        assert set(tried.heights) == set(LEVELS)
    assert positive(model.prior.log_covariance)
    assert model.widths.shape == (len(WIDTHS), count + 2)
    assert set(model.girths_mm) == set(LEVELS)
    assert (np.diff(model.obliquity.heights) > 0).all()


def test_packed_numbers_are_those_of_women():
    model = load_model()
    for code in LEVELS:
        low, high = model.girths_mm[code]
        least, most = KINDS[code].plausible_mm
        assert least - 50 < low < 0.5 * (low + high) < high < most + 50
        for tried in (model.likelihood.waist_shown, model.likelihood.waist_held_down):
            off, u = tried.heights[code]
            assert abs(off) < 30
            assert 0 < u < 60
    low, high = model.stature_mm
    assert 1300 < low < 1500
    assert 1750 < high < 2100
    assert ((model.people_sd_mm >= 0) & (model.people_sd_mm < 60)).all()
    assert 0 <= model.growth <= 1.5


def test_an_outline_grows_with_the_girth_at_its_own_level():
    """The ellipse of a level by about as much as the girth, all girths growing together."""
    model = load_model()
    names = feature_names()
    per_girth = model.likelihood.per_girth
    together = per_girth.sum(axis=1)
    for code in LEVELS[1:]:
        assert 0.7 < together[names.index(f"{code}.ellipse")] < 1.4, code
        assert per_girth[names.index(f"{code}.ellipse"), LEVELS.index(code)] > 0.3, code


STATURES = (1500.0, 1620.0, 1750.0)


@pytest.mark.parametrize("mass", [45.0, 62.0, 80.0, 110.0])
def test_of_two_women_of_a_height_the_heavier_has_the_larger_girths(mass):
    prior = load_model().prior
    for stature in STATURES:
        lighter, heavier = (prior.given(stature, kg)[0] for kg in (mass, 1.1 * mass))
        # The volume of a body of one height grows as the square of its girths: half, or so.
        assert ((heavier - lighter) / np.log(1.1) > 0.3).all()
        assert ((heavier - lighter) / np.log(1.1) < 0.9).all()


def test_of_two_women_of_a_weight_the_taller_has_the_smaller_girths():
    prior = load_model().prior
    assert (prior.given(1750.0, 70.0)[0] < prior.given(1600.0, 70.0)[0]).all()


def test_of_women_in_general_the_taller_has_girths_as_large_or_a_little_larger():
    prior = load_model().prior
    grown = (prior.given(1700.0, None)[0] - prior.given(1600.0, None)[0]) / np.log(1700 / 1600)
    assert ((grown > -0.2) & (grown < 1.0)).all()


@pytest.mark.parametrize("stature", STATURES)
def test_a_told_weight_makes_every_prior_girth_surer(stature):
    prior = load_model().prior
    told, untold = (np.sqrt(np.diag(prior.given(stature, kg)[1])) for kg in (70.0, None))
    assert (told < 0.75 * untold).all()
    # Given a weight a girth is known to some per cent, without one to some more than ten.
    assert ((told > 0.01) & (told < 0.10)).all()
    assert ((untold > 0.08) & (untold < 0.25)).all()


def test_prior_girths_go_together_as_bodies_do():
    mean, _ = load_model().prior.given(1630.0, 68.0)
    girths = dict(zip(LEVELS, np.exp(mean), strict=True))
    assert girths["waist"] < girths["high_hip"] < girths["full_hip"]
    assert girths["underbust"] < girths["full_bust"]
    assert girths["high_bust"] < girths["full_bust"]
    for code, girth in girths.items():
        assert 700 < girth < 1100, code


def test_levels_stand_over_one_another_in_the_fits_own_order():
    """Coefficients of slanting sight lie between seat and high bust."""
    model = load_model()
    assert 0.45 < model.obliquity.heights[0] < model.obliquity.heights[-1] < 0.85
    for kind in ("side_of_body", "back", "front"):
        table = model.obliquity.coefficients[kind]
        assert table.shape == (len(model.obliquity.heights), 3)
        # A round body bends by a quarter; nothing is a multiple of that.
        assert np.abs(table).max() < 1.0
