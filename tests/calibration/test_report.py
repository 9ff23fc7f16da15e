from types import SimpleNamespace

import numpy as np
import pytest

from calibration.report import (
    by_height,
    figures_of,
    floor_of,
    high_hip_over_mm,
    taper,
    thinned,
)
from calibration.shapes import Shapes
from calibration.sightings import LEVEL_CODES, SECTION_FIELDS
from calibration.trial import CODES
from ellwand.girth.ellipse import ellipse_perimeter
from ellwand.girth.model import WIDTHS, load_model
from tests.calibration import sights
from tests.calibration.results import tried


def test_bounds_that_claim_what_is_so_cover_what_they_say():
    found = figures_of(tried(4000, sd_mm=10.0, wide_mm=10.0), None)

    # Three standard errors of 24,000 girths.
    assert found["pooled_within_95"] == pytest.approx(0.95, abs=0.005)
    assert found["pooled_within_68"] == pytest.approx(0.68, abs=0.009)


@pytest.mark.parametrize(("wide_mm", "covered"), [(5.0, 0.673), (20.0, 1.0)])
def test_bounds_that_claim_too_little_or_too_much_are_seen(wide_mm, covered):
    found = figures_of(tried(4000, sd_mm=10.0, wide_mm=wide_mm), None)

    assert found["pooled_within_95"] == pytest.approx(covered, abs=0.01)


def test_errors_are_estimate_less_truth_and_refused_ones_are_named():
    trial = tried(500)
    found = figures_of(trial, None)
    off = trial.value_mm - trial.true_mm

    assert found["count"] == 500
    assert found["refused"] == {"none": "outline-not-seen"}
    for i, code in enumerate(CODES):
        one = found["girths"][code]
        assert one["bias_mm"] == pytest.approx(off[:, i].mean(), abs=0.051)
        assert one["mae_mm"] == pytest.approx(np.abs(off[:, i]).mean(), abs=0.051)
        assert one["median_bound_mm"] == pytest.approx(19.6)
        assert "over_floor" not in one


def test_the_ratio_to_the_floor_is_of_mean_absolute_errors():
    trial = tried(500)
    found = figures_of(trial, 0.5 * trial.off_mm)

    assert {one["over_floor"] for one in found["girths"].values()} == {2.0}


def test_all_widths_and_those_of_three_levels_are_pooled():
    trial = tried(400)
    hip = WIDTHS.index(("high_hip", "breadth"))
    trial.widths_mm[:, hip] += 22.0
    found = figures_of(trial, None)["widths"]

    # The errors have a mean of 0.5; 22 mm in one of 11 widths move the mean of all by 2.
    assert found["all"]["bias_mm"] == pytest.approx(2.5, abs=0.2)
    assert found["three_levels"]["bias_mm"] == pytest.approx(0.5, abs=0.25)
    assert found["high_hip breadth"]["bias_mm"] == pytest.approx(22.5, abs=0.5)


def test_the_floor_of_girths_that_follow_from_widths_is_nothing():
    rng = np.random.default_rng(8)
    count = 200
    widths = rng.uniform(180.0, 420.0, (2 * count, len(WIDTHS)))
    stature = rng.normal(1650.0, 70.0, 2 * count)
    named = dict(zip(WIDTHS, widths.T, strict=True))
    girths = np.stack(
        [
            2.0 * named[code, "depth"] + 0.2 * stature
            if code == "high_bust"
            else ellipse_perimeter(named[code, "breadth"], named[code, "depth"]) + 30.0
            for code in LEVEL_CODES
        ],
        axis=1,
    )
    people = sights.sightings(2)
    for k, code in enumerate(LEVEL_CODES):
        people.sections[code] = np.zeros((count, len(SECTION_FIELDS)))
        people.sections[code][:, SECTION_FIELDS.index("girth_mm")] = girths[:count, k]
    for (code, kind), values in named.items():
        people.sections[code][:, SECTION_FIELDS.index(f"{kind}_mm")] = values[:count]
    people.numbers["stature_mm"] = stature[:count]
    held = SimpleNamespace(true_widths_mm=widths[count:], true_mm=girths[count:])

    assert floor_of(people, held, stature[count:]) == pytest.approx(0.0, abs=1e-6)
    held.true_mm[:, 1] -= 12.0
    # Full bust is now told 12 mm too large, and so is what it is over the high bust.
    off = floor_of(people, held, stature[count:])
    assert off[:, [1, 6]] == pytest.approx(12.0)


def test_the_taper_is_girth_over_height_from_waist_to_hip():
    people = sights.sightings(3)
    girth, height = SECTION_FIELDS.index("girth_mm"), SECTION_FIELDS.index("height_mm")
    people.sections["waist"][:, [girth, height]] = [750.0, 1050.0]
    people.sections["full_hip"][:, [girth, height]] = [1000.0, 800.0]

    assert taper(people) == {"p5": 10.0, "p50": 10.0, "p95": 10.0}


def test_what_is_kept_for_the_plots_is_thin_and_whole():
    kept = thinned(tried(1000))

    assert list(kept) == list(CODES)
    assert [len(side) for side in kept["waist"]] == [100, 100]
    assert all(isinstance(value, int) for value in kept["waist"][1])


def test_a_high_hip_found_too_high_lies_over_the_true_one():
    people = sights.sightings(4)
    usual = load_model().likelihood.waist_shown.heights["high_hip"][0]
    over = np.array([10.0, 14.0, -30.0, 30.0])
    found = np.zeros((4, len(LEVEL_CODES)))
    found[:, LEVEL_CODES.index("high_hip")] = people.value("high_hip", "height_mm") - usual + over
    seen = Shapes(np.zeros((4, 1)), np.zeros(4), found)

    assert high_hip_over_mm(people, seen) == pytest.approx(over)


def test_what_goes_with_the_height_is_told_from_what_does_not():
    trial = tried(2000)
    over = np.random.default_rng(9).normal(0.0, 20.0, 2000)
    trial.value_mm[:, CODES.index("high_hip")] -= 1.2 * over
    found = by_height(trial, over)

    # 12 mm of girth per 10 mm; 10 mm of error were there before: 24 of sqrt(24^2 + 10^2) = 26.
    assert found["mm_per_10_mm"] == pytest.approx(-12.0, abs=0.4)
    assert found["correlation"] == pytest.approx(-24 / 26, abs=0.01)
    assert found["sd_mm"] == pytest.approx(26.0, abs=1.3)
    assert found["sd_left_mm"] == pytest.approx(10.0, abs=0.5)
    assert found["mae_left_mm"] == pytest.approx(10.0 * np.sqrt(2 / np.pi), abs=0.4)
