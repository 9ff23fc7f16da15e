import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from calibration.fit import (
    build,
    degrees_of,
    heights_of,
    likelihood,
    people_sd_mm,
    spread_of,
    text_of,
    width_relations,
)
from calibration.shapes import Shapes
from calibration.sightings import LEVEL_CODES, SECTION_FIELDS
from calibration.trial import trial_of
from ellwand.girth import model as runtime
from tests.calibration import sights
from tests.calibration.test_prior import BDIMS, bodies
from tests.calibration.test_trial import entry
from tests.calibration.women import made_up as made_up_women

COUNT, FEATURES = 6000, 8
MODEL = json.loads(Path(runtime.__file__).with_name("model.json").read_text("utf-8"))


def made_up(growth=0.0, noise_mm=4.0):
    """Girths, and features that follow them and the stature by a known law."""
    rng = np.random.default_rng(17)
    size = np.exp(rng.normal(np.log(950.0), 0.18, COUNT))
    girths = size[:, None] * np.exp(rng.normal(0.0, 0.08, (COUNT, 6)))
    stature = rng.normal(1650.0, 70.0, COUNT)
    law = rng.normal(0.0, 0.2, (FEATURES, 6))
    taller = rng.normal(0.0, 0.1, FEATURES)
    mix = np.eye(FEATURES) + 0.3 * np.eye(FEATURES, k=1)
    left = rng.normal(0.0, noise_mm, (COUNT, FEATURES)) @ mix
    mean = girths.mean(axis=1)
    left *= (mean / mean.mean())[:, None] ** growth
    read = 10.0 + girths @ law.T + stature[:, None] * taller + left
    shapes = Shapes(read, stature, np.zeros((COUNT, 6)))
    return girths, shapes, law, taller, noise_mm**2 * mix.T @ mix


def test_the_relation_that_was_put_in_is_found_again():
    girths, shapes, law, taller, covariance = made_up()
    found = likelihood(girths, shapes)

    # 6,000 bodies whose girths vary by 8 % of 950 mm apart from their size: 4 / 76 / sqrt(6000) is
    # 0.0007 for each coefficient.
    assert np.array(found["per_girth"]) == pytest.approx(law, abs=0.004)
    assert found["per_stature"] == pytest.approx(taller, abs=0.004)
    root = np.zeros((FEATURES, FEATURES))
    root[np.tril_indices(FEATURES)] = found["covariance_root"]
    # 0.3 mm of each feature are added on purpose.
    assert root @ root.T == pytest.approx(covariance + 0.09 * np.eye(FEATURES), abs=1.0)
    assert found["count"] == COUNT


@pytest.mark.parametrize("growth", [0.0, 0.6, 1.2])
def test_the_growth_of_residuals_that_was_put_in_is_found_again(growth):
    girths, shapes, *_ = made_up(growth)
    found = likelihood(girths, shapes)

    # The log of the length of 8 normal residuals scatters by 0.26, the log of the size by 0.18:
    # a standard error of 0.02.
    assert found["growth"] == pytest.approx(growth, abs=0.08)


def test_few_bodies_make_the_covariance_larger():
    girths, shapes, *_ = made_up()
    few = np.arange(COUNT) < 60

    def size(chosen):
        these = Shapes(*(values[chosen] for values in vars(shapes).values()))
        root = np.zeros((FEATURES, FEATURES))
        root[np.tril_indices(FEATURES)] = likelihood(girths[chosen], these)["covariance_root"]
        return np.trace(root @ root.T)

    # By (60 + 8) / (60 - 8); 60 bodies tell a sum of 8 variances to 8 %.
    assert size(few) / size(~few) == pytest.approx(68 / 52, rel=0.25)


def test_normal_residuals_have_many_degrees_of_freedom():
    girths, shapes, *_ = made_up()

    assert likelihood(girths, shapes)["degrees"] > 60.0


@pytest.mark.parametrize("degrees", [5.0, 10.0])
def test_degrees_are_found_again_from_sums_of_squares(degrees):
    """8 residuals of 6,000 bodies, each body with a variance of its own around 1."""
    rng = np.random.default_rng(6)
    variance = (degrees - 2.0) / rng.chisquare(degrees, COUNT)

    assert degrees_of(variance * rng.chisquare(8, COUNT), 8) == pytest.approx(degrees, rel=0.1)


def test_errors_larger_than_stated_widen_what_the_outline_leaves_open():
    """Errors of 1.2 times the stated u, of which 0.8 of the variance comes from the outline."""
    rng = np.random.default_rng(9)
    u = np.full((COUNT, 7), 10.0)
    true = np.full((COUNT, 7), 900.0)
    tried = replace(
        trial_of([entry("a"), entry("b")]),
        true_mm=true,
        value_mm=true + rng.normal(0.0, 12.0, true.shape),
        u_mm=u,
        outline_share=np.full((COUNT, 6), 0.8),
        waist_shown=np.ones(COUNT, dtype=bool),
    )

    # 1.2^2 = 1.44 = 0.2 + 0.8 * 1.55. A quantile of 6,000 is known to 1.5 %.
    assert spread_of(tried, waist_shown=True) == pytest.approx([np.sqrt(1.55)] * 6, rel=0.04)


def test_the_waist_is_tried_apart_where_the_bust_holds_it_down():
    """Every other waist errs twice as much as stated, all else as stated."""
    rng = np.random.default_rng(9)
    shown = np.arange(COUNT) % 2 == 0
    off = rng.normal(0.0, 10.0, (COUNT, 7))
    off[~shown, 3] *= 2.0
    tried = replace(
        trial_of([entry("a"), entry("b")]),
        true_mm=np.zeros((COUNT, 7)),
        value_mm=off,
        u_mm=np.full((COUNT, 7), 10.0),
        outline_share=np.ones((COUNT, 6)),
        waist_shown=shown,
    )

    # A quantile of 3,000 is known to 2 %.
    assert spread_of(tried, waist_shown=True) == pytest.approx([1.0] * 6, rel=0.05)
    assert spread_of(tried, waist_shown=False) == pytest.approx([1, 1, 1, 2, 1, 1], rel=0.05)


def test_what_was_fitted_comes_back_from_the_model_file():
    girths, shapes, *_, covariance = made_up()
    found = likelihood(girths, shapes)
    found.pop("growth")
    for name, sd in (("waist_shown", 10.0), ("waist_held_down", 12.0)):
        heights = {code: [1.5, sd] for code in LEVEL_CODES}
        found[name] = {"spread": [1.0] * 6, "heights": heights}
    outlines = runtime.model_of(json.loads(text_of({**MODEL, "likelihood": found}))).likelihood
    root = np.linalg.cholesky(outlines.covariance)

    assert outlines.per_girth == pytest.approx(np.array(found["per_girth"]))
    assert outlines.offset == pytest.approx(np.array(found["offset"]))
    assert outlines.tried(waist_shown=True).heights["high_hip"] == (1.5, 10.0)
    assert outlines.tried(waist_shown=False).heights["high_hip"] == (1.5, 12.0)
    assert root[np.tril_indices(FEATURES)] == pytest.approx(np.array(found["covariance_root"]))
    assert outlines.covariance == pytest.approx(covariance + 0.09 * np.eye(FEATURES), abs=1.0)


def test_the_package_reads_what_was_fitted_on_all_bodies():
    rng = np.random.default_rng(6)
    people, count = bodies(COUNT), COUNT
    for code in people.sections:
        fields = [SECTION_FIELDS.index(f"{name}_mm") for name in ("breadth", "depth", "height")]
        people.sections[code][:, fields] = rng.normal([300.0, 240.0, 1000.0], 20.0, (count, 3))
    true = np.stack([people.value(code, "height_mm") for code in LEVEL_CODES], axis=1)
    read = people.girths_mm() @ rng.normal(0.0, 0.2, (6, FEATURES))
    read += rng.normal(0.0, 4.0, read.shape)
    shapes = Shapes(read, people.numbers["stature_mm"], true - 7.0)
    found = build(made_up_women(), BDIMS, people, shapes, MODEL["obliquity"])
    model = runtime.model_of(json.loads(text_of(found)))

    assert found["version"] == runtime.MODEL_VERSION
    assert found["population"]["count"] == found["likelihood"]["count"] == count
    assert model.likelihood.per_girth.shape == (FEATURES, 6)
    for tried in (model.likelihood.waist_shown, model.likelihood.waist_held_down):
        assert set(tried.heights) == set(LEVEL_CODES)
    assert model.growth == pytest.approx(0.0, abs=0.1)


def test_the_model_file_has_a_line_for_each_entry():
    assert len(text_of(MODEL).splitlines()) == len(MODEL) + 2


def test_widths_that_follow_the_features_are_found_to_the_ridge():
    _, shapes, *_ = made_up()
    people = sights.sightings(2)
    law = np.random.default_rng(4).normal(0.0, 0.3, (len(runtime.WIDTHS), FEATURES + 1))
    given = np.column_stack([shapes.read, shapes.stature_mm])
    true = 20.0 + given @ law.T
    for code in people.sections:
        people.sections[code] = np.zeros((COUNT, len(SECTION_FIELDS)))
    for (code, kind), values in zip(runtime.WIDTHS, true.T, strict=True):
        people.sections[code][:, SECTION_FIELDS.index(f"{kind}_mm")] = values
    coefficients, sd = width_relations(people, shapes)

    assert coefficients @ np.column_stack([np.ones(COUNT), given]).T == pytest.approx(
        true.T, abs=5.0
    )
    assert sd == pytest.approx(0.0, abs=1.0)
    assert coefficients.shape == (len(runtime.WIDTHS), FEATURES + 2)


def test_heights_are_told_over_where_photos_show_the_level():
    """Levels 10 mm over where they show, sd 4; every other waist held down, 2 mm and sd 8."""
    rng = np.random.default_rng(9)
    shown = np.arange(COUNT) % 2 == 0
    off = rng.normal(10.0, 4.0, (COUNT, 6))
    off[~shown, 3] = rng.normal(2.0, 8.0, (~shown).sum())
    two = trial_of([entry("a"), entry("b")])
    tried = replace(two, height_off_mm=off, waist_shown=shown)
    free, held = (heights_of(tried, waist_shown=one) for one in (True, False))

    # Of 3,000, a median is known to 2 % of a deviation, a quantile to 2 %.
    assert free["waist"] == pytest.approx([10.0, 4.0], abs=0.4)
    assert held["waist"] == pytest.approx([2.0, 8.0], abs=0.6)
    assert free["full_hip"] == held["full_hip"] == pytest.approx([10.0, 4.0], abs=0.3)


def test_people_scatter_more_than_bodies_by_what_squares_add_up_to():
    rng = np.random.default_rng(5)
    people = sights.sightings(2)
    count = 3000
    for code in people.sections:
        breadth = np.exp(rng.normal(np.log(300.0), 0.15, count))
        depth = np.exp(rng.normal(np.log(240.0), 0.15, count))
        girth = 3.4 * np.sqrt(breadth * depth) * np.exp(rng.normal(0.0, 0.005, count))
        section = np.zeros((count, len(SECTION_FIELDS)))
        for name, values in (("breadth_mm", breadth), ("depth_mm", depth), ("girth_mm", girth)):
            section[:, SECTION_FIELDS.index(name)] = values
        people.sections[code] = section
    people.numbers["stature_mm"] = rng.normal(1650.0, 70.0, count)
    found = people_sd_mm(made_up_women(), people)

    for code in ("full_bust", "waist", "full_hip"):
        one = found[code]
        assert one["women"] > one["bodies"]
        assert one["excess"] ** 2 + one["bodies"] ** 2 == pytest.approx(one["women"] ** 2, rel=0.01)
        # 0.5 % of about 3.4 * 268 mm.
        assert one["bodies"] == pytest.approx(0.005 * 3.4 * 268.0 * 1.01, rel=0.1)
    assert found["high_bust"]["excess"] == found["full_bust"]["excess"]
    assert found["high_hip"]["excess"] == max(found["waist"]["excess"], found["full_hip"]["excess"])
