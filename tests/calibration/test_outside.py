import json

import numpy as np
import pytest

from calibration.outside import (
    DEFINITIONS,
    check_prior,
    main,
    mass_given_stature,
    navel,
    read_bodies,
    read_weights,
    relations,
    report,
)
from calibration.people import prior
from tests.calibration.women import made_up, write

SHIFT_MM = 40.0
# Of the natural waist, given navel girth, stature and weight.
NAVEL_POWER, MASS_POWER, NOISE = 0.6, 0.2, 0.03


def bodies_file(path, *, men=True):
    """Write women like the survey's whose waist at the navel is larger by SHIFT_MM."""
    women = made_up(900, seed=6)
    rng = np.random.default_rng(41)
    nav = women["waistcircumference"] + SHIFT_MM
    mass = women["weightkg"] / 10.0
    waist = (
        750.0
        * (nav / 850.0) ** NAVEL_POWER
        * (mass / 70.0) ** MASS_POWER
        * np.exp(rng.normal(0.0, NOISE, 900))
    )
    columns = {
        "che_gi": 0.095 * women["chestcircumference"],
        "wai_gi": waist / 10.0,
        "nav_gi": nav / 10.0,
        "hip_gi": women["buttockcircumference"] / 10.0,
        "wgt": mass,
        "hgt": women["stature"] / 10.0,
        "age": women["Age"],
        "sex": np.zeros(900),
    }
    if men:
        columns = {
            name: np.concatenate([values, 2.0 * values[:50] if name != "sex" else np.ones(50)])
            for name, values in columns.items()
        }
    return write(path, columns)


def weights_file(path, power=1.5, count=4000):
    """Write women whose weight goes with that power of the stature, and men and blanks."""
    rng = np.random.default_rng(42)
    height = rng.normal(163.0, 7.0, count)
    weight = 75.0 * (height / 163.0) ** power * np.exp(rng.normal(0.0, 0.2, count))
    blank = np.array([f"{v:.3f}" for v in weight])
    blank[::10] = "NA"
    male = (np.arange(count) % 4 == 1).astype(float)
    return write(
        path,
        {
            "id": np.arange(count),
            "case.id": np.where(np.arange(count) % 5 == 0, np.arange(count), -1),
            "male": male,
            "age": np.full(count, 50.0),
            "height": np.where(male == 1.0, 3.0 * height, height),
            "weight": blank,
        },
    )


@pytest.fixture
def women(tmp_path):
    return read_bodies(bodies_file(tmp_path / "bodies.csv"))


def test_only_women_are_read_and_in_our_units(women):
    written = made_up(900, seed=6)

    assert women["stature"] == pytest.approx(written["stature"])
    assert women["full_hip"] == pytest.approx(written["buttockcircumference"])
    assert women["mass"] == pytest.approx(written["weightkg"] / 10.0)
    assert set(women) == {"high_bust", "waist", "navel_waist", "full_hip", "stature", "mass", "age"}


def test_a_girth_taken_elsewhere_shows_as_bias_and_one_taken_alike_does_not(women):
    found = check_prior(prior(made_up()), women)["stature_and_mass"]

    # The median of a deviation of 5 % lies 1 mm below the mean; the rest is chance, 2 mm at most.
    assert found["navel_waist"]["bias_mm"] == pytest.approx(SHIFT_MM, abs=7.0)
    assert found["full_hip"]["bias_mm"] == pytest.approx(0.0, abs=5.0)
    assert found["full_hip"]["within_95"] == pytest.approx(0.95, abs=0.03)
    assert found["navel_waist"]["within_95"] < 0.9
    assert found["navel_waist"]["without_bias"]["within_95"] == pytest.approx(0.95, abs=0.03)
    assert found["navel_waist"]["definition"] == DEFINITIONS["navel_waist"]


def test_the_natural_waist_follows_the_navel_as_it_was_made_to(women):
    found = relations(women)["waist"]["given_others"]

    assert found["given"] == ["navel_waist", "stature", "mass"]
    assert found["log_coefficients"] == pytest.approx([NAVEL_POWER, 0.0, MASS_POWER], abs=0.1)
    assert found["log_sd"] == pytest.approx(NOISE, rel=0.1)
    assert found["five_fold"]["within_95"] == pytest.approx(0.95, abs=0.03)


def test_the_joint_block_holds_every_conditional_relation(women):
    """A girth given others by the covariance is the one by regression on them."""
    found = relations(women)
    joint = found["joint"]
    waist, nav = joint["codes"].index("waist"), joint["codes"].index("navel_waist")
    covariance = np.array(joint["log_covariance"])
    power = covariance[waist, nav] / covariance[nav, nav]
    left = covariance[waist, waist] - power * covariance[waist, nav]

    alone = found["waist"]["given_others"]
    assert power == pytest.approx(alone["log_coefficients"][0], abs=1e-3)
    assert np.sqrt(left) == pytest.approx(alone["log_sd"], rel=2e-3)


def test_a_navel_girth_taken_elsewhere_leads_the_natural_waist_astray_by_its_share(women):
    table = made_up()
    found = navel(prior(table), table, women)

    assert found["outside_minus_survey_navel_waist_mm"] == pytest.approx(SHIFT_MM, abs=7.0)
    # A shift of 40 mm in about 910 mm, to the power 0.6, of a waist of about 770 mm.
    assert found["waist_astray_at_most_mm"] == pytest.approx(-20.0, abs=4.0)
    assert found["survey_navel_above_hip_bone_mm"][0] == pytest.approx(-16.3, abs=4.0)


def test_the_power_of_stature_is_found_among_women_whose_weight_is_known(tmp_path):
    found = mass_given_stature(read_weights(weights_file(tmp_path / "weights.csv")))

    assert found["all"]["power"] == pytest.approx(
        1.5, abs=4.0 * found["all"]["power_standard_error"]
    )
    assert found["all"]["log_sd_left"] == pytest.approx(0.2, rel=0.06)
    assert found["controls"]["count"] < found["all"]["count"] < 3000


def test_the_report_is_plain_numbers_and_prints_as_markdown(tmp_path, women, monkeypatch, capsys):
    survey, bodies, weights = (tmp_path / f"{name}.csv" for name in ("survey", "bodies", "weights"))
    write(survey, made_up())
    weights_file(weights)
    found = report(made_up(), women, read_weights(weights))
    assert json.loads(json.dumps(found)) == found

    files = ["--survey", survey, "--bdims", bodies, "--nafld", weights]
    monkeypatch.setattr("sys.argv", ["outside", *(str(part) for part in files)])
    main()

    printed = capsys.readouterr().out
    assert printed.startswith("Outside check on 900 women")
    bias = found["prior"]["stature_and_mass"]["navel_waist"]["bias_mm"]
    assert f"| stature and mass | navel waist | {bias:+} |" in printed
    assert all(words in printed for words in DEFINITIONS.values())
