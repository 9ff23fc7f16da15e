import json

import numpy as np
import pytest

from calibration.regression import (
    growth_power,
    ratios_with_growth,
    regress_jointly,
    smooth_residuals,
)
from calibration.survey import (
    CODES,
    coverage,
    ellipse_perimeter,
    five_fold,
    read,
)
from tests.calibration.women import WIDTH_NOISE, made_up, write

WOMEN = 800
# Four standard errors of a share of 95 % of so many, and of one of 68 %.
NEAR_95, NEAR_68 = 4.0 * (0.95 * 0.05 / WOMEN) ** 0.5, 4.0 * (0.68 * 0.32 / WOMEN) ** 0.5


@pytest.fixture(scope="module")
def report():
    return five_fold(made_up(WOMEN))


def test_a_circle_is_an_ellipse_and_a_needle_is_gone_round_twice():
    round_one, needle = ellipse_perimeter(np.array([200.0, 300.0]), np.array([200.0, 1e-9]))

    assert round_one == pytest.approx(200.0 * np.pi)
    assert needle == pytest.approx(600.0)


def test_a_file_is_read_with_its_columns_as_they_are_printed(tmp_path):
    women = made_up(12)
    women_and_more = {**women, "Gender": np.array(["Female"] * 12)}

    found = read(write(tmp_path / "women.csv", women_and_more))

    assert set(found) == set(women)
    assert found["chestcircumference"] == pytest.approx(women["chestcircumference"])


def test_bounds_cover_the_share_that_they_claim(report):
    for code in CODES:
        girth = report["girths"][code]
        assert girth["within_95"] == pytest.approx(0.95, abs=NEAR_95)
        assert girth["within_68"] == pytest.approx(0.68, abs=NEAR_68)


def test_the_residual_is_what_breadth_and_depth_leave_open(report):
    # Breadth times depth gives the girth squared but for the noise that both share.
    for code in CODES:
        girth = report["girths"][code]
        middle = np.mean([third["mean_girth_mm"] for third in girth["by_third"]])
        assert girth["sd_mm"] == pytest.approx(WIDTH_NOISE * middle, rel=0.1)
        assert girth["bias_mm"] == pytest.approx(0.0, abs=2.0)


def test_more_to_predict_from_never_makes_the_residual_much_larger(report):
    steps = report["sd_mm_by_step"]
    for code in CODES:
        own = steps["own_level_widths_and_stature"][code]
        assert all(step[code] < 1.05 * own for step in steps.values())


def test_the_report_is_plain_numbers_that_a_file_holds(report):
    assert json.loads(json.dumps(report)) == report


def test_a_taped_value_tightens_another_by_their_correlation():
    rng = np.random.default_rng(21)
    term = rng.normal(size=4000)
    noise = rng.multivariate_normal([0.0, 0.0], [[1.0, 0.8], [0.8, 1.0]], 4000)
    values = np.column_stack([2.0 * term, -term]) + noise

    one = regress_jointly(values, {"term": term}, ["term"])

    assert one.covariance[0, 1] == pytest.approx(0.8, abs=0.06)
    assert one.held_given_others[:, 0].std() == pytest.approx(0.6, abs=0.03)
    assert one.held_given_others_sd[:, 0] == pytest.approx(0.6, abs=0.03)


def test_a_taped_value_does_what_it_does_as_one_more_term():
    rng = np.random.default_rng(22)
    given = {"term": rng.normal(size=500)}
    values = rng.multivariate_normal([0.0, 0.0], [[1.0, 0.5], [0.5, 2.0]], 500)

    tied = regress_jointly(values, given, ["term"])
    plain = regress_jointly(values[:, [0]], {**given, "other": values[:, 1]}, ["term", "other"])

    assert tied.held_given_others[:, 0] == pytest.approx(plain.held[:, 0], abs=1e-9)


def test_growth_of_a_deviation_is_found_and_none_where_there_is_none():
    rng = np.random.default_rng(23)
    size = rng.normal(6.8, 0.1, 20_000)
    noise = rng.normal(size=20_000)

    # Four standard errors: sqrt(1 / 2) / 0.1 / sqrt(20,000) each.
    assert growth_power(noise * np.exp(2.0 * size), size) == pytest.approx(2.0, abs=0.2)
    assert growth_power(noise, size) == pytest.approx(0.0, abs=0.2)


def test_bounds_that_grow_cover_small_and_large_alike():
    rng = np.random.default_rng(24)
    size = rng.normal(6.8, 0.1, 6000)
    held = rng.normal(size=6000) * np.exp(3.0 * size)

    growing = ratios_with_growth(held, size)

    for part in (size < 6.75, size > 6.85):
        assert coverage(growing[part])["within_95"] == pytest.approx(0.95, abs=0.02)
        assert coverage((held / held.std())[part])["within_95"] != pytest.approx(0.95, abs=0.02)


def test_a_smooth_fit_finds_a_bend_and_is_no_worse_than_a_plane_without_one():
    rng = np.random.default_rng(25)
    terms = rng.normal(size=(400, 2))
    noise = rng.normal(0.0, 0.1, 400)
    plane = terms @ np.array([1.0, -0.5])

    assert smooth_residuals(plane + noise, terms).std() == pytest.approx(0.1, rel=0.12)
    bent = plane + 0.3 * terms[:, 0] ** 2
    straight = regress_jointly(
        (bent + noise)[:, None], {"a": terms[:, 0], "b": terms[:, 1]}, ["a", "b"]
    )
    assert smooth_residuals(bent + noise, terms).std() < 0.5 * straight.held.std()
