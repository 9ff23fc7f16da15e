import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calibration.people import (
    PUBLIC_MASS_KG,
    PUBLIC_MASS_MEAN_SD_KG,
    check,
    joint_prior,
    log_prior,
    prior,
    public_mass,
)
from tests.calibration.women import (
    LOG_COVARIANCE,
    MASS_POWERS,
    MIDDLE_MM,
    STATURE_POWERS,
    made_up,
)

BLOCK = json.loads(json.dumps(prior(made_up())))
STATURES = st.floats(1400.0, 1900.0)
MASSES = st.floats(38.0, 160.0)


def test_the_laws_of_made_up_women_are_found():
    # Three to four standard errors of each on 1,500 women.
    assert np.exp(BLOCK["log_intercept"]) == pytest.approx(MIDDLE_MM, rel=0.006)
    assert BLOCK["log_slope_stature"] == pytest.approx(STATURE_POWERS, abs=0.15)
    assert BLOCK["log_slope_mass"] == pytest.approx(MASS_POWERS, abs=0.05)
    assert np.array(BLOCK["log_covariance"]) == pytest.approx(LOG_COVARIANCE, abs=4e-4)


@pytest.mark.parametrize("mass_kg", [None, 62.0, 118.0])
def test_moments_are_those_of_a_great_many_women_drawn(mass_kg):
    rng = np.random.default_rng(31)
    count, stature = 400_000, 1655.0
    weight = BLOCK["mass"]
    middle = weight["log_mean_kg"] + weight["log_slope_stature"] * np.log(
        stature / weight["at_stature_mm"]
    )
    drawn = np.exp(rng.normal(middle, weight["log_sd"], count))
    mass = drawn if mass_kg is None else np.full(count, mass_kg)
    left = rng.multivariate_normal(np.zeros(3), BLOCK["log_covariance"], count)
    girths = np.exp(
        np.array(BLOCK["log_intercept"])
        + np.array(BLOCK["log_slope_stature"]) * np.log(stature / BLOCK["stature_mm"])
        + np.outer(np.log(mass / BLOCK["mass_kg"]), BLOCK["log_slope_mass"])
        + left
    )

    mean, covariance = joint_prior(BLOCK, stature, mass_kg)

    spread = np.sqrt(np.diag(covariance))
    assert mean == pytest.approx(girths.mean(axis=0), abs=4.0 * spread.max() / count**0.5)
    # Covariances of 400,000 heavy-tailed values are known to about 0.3 % of the variances.
    scale = np.outer(spread, spread)
    assert covariance / scale == pytest.approx(np.cov(girths.T) / scale, abs=0.012)


@given(STATURES, MASSES)
def test_not_knowing_the_weight_only_widens(stature_mm, mass_kg):
    _, known = log_prior(BLOCK, stature_mm, mass_kg)
    _, unknown = log_prior(BLOCK, stature_mm, None)

    assert np.linalg.eigvalsh(known).min() > 0.0
    assert np.linalg.eigvalsh(unknown - known).min() > -1e-12
    assert np.diag(unknown - known).min() > 0.01


@given(STATURES, MASSES)
def test_heavier_is_wider_and_a_covariance_is_one(stature_mm, mass_kg):
    lighter, _ = joint_prior(BLOCK, stature_mm, mass_kg)
    heavier, covariance = joint_prior(BLOCK, stature_mm, 1.1 * mass_kg)

    assert (heavier > lighter).all()
    assert covariance == pytest.approx(covariance.T)
    assert np.linalg.eigvalsh(covariance).min() > 0.0


def test_the_publics_weight_is_met_within_a_twentieth_or_so():
    weight = public_mass()["fit"]

    # One curve with two numbers through five percentiles; what it misses by is in the report.
    assert np.abs(weight["off_percent"]).max() < 5.5
    assert weight["public_kg"] == list(PUBLIC_MASS_KG)
    assert weight["log_normal_mean_sd_kg"] == pytest.approx(PUBLIC_MASS_MEAN_SD_KG, rel=0.04)


def test_taller_women_are_heavier_but_not_all_spread_is_stature():
    weight = public_mass()

    assert 0.9 < weight["log_sd"] / weight["log_sd_over_all_statures"] < 1.0


def test_bounds_given_size_cover_what_they_claim_and_a_square_that_is_not_there_is_not_needed():
    found = check(made_up())["five_fold"]

    for girth in found["stature_and_mass"]["girths"].values():
        assert girth["within_95"] == pytest.approx(0.95, abs=0.0225)
        assert abs(girth["skewness"]) < 0.26
    plain, bent = (found[n]["sd_mm"] for n in ("stature_and_mass", "stature_mass_and_its_square"))
    for code, deviation in plain.items():
        assert bent[code] == pytest.approx(deviation, rel=0.01)
        assert found["stature"]["sd_mm"][code] > 1.3 * deviation


def test_the_check_is_plain_numbers_that_a_file_holds():
    found = check(made_up())

    assert json.loads(json.dumps(found)) == found
