import numpy as np
import pytest

from calibration.people import MASS_KG, STATURE_MM, prior
from calibration.prior import BODIES_WIDER, NAVEL_WIDER, _Chain, six_girths
from calibration.sightings import LEVEL_CODES, SECTION_FIELDS
from ellwand.girth.model import Prior
from tests.calibration import sights
from tests.calibration.women import made_up

WAIST_FROM_NAVEL, WAIST_SD = 0.3, 0.04
BDIMS = {
    "waist": {
        "given_others": {
            "given": ["navel_waist", "stature", "mass"],
            "log_coefficients": [WAIST_FROM_NAVEL, -0.6, 0.5],
            "log_intercept": 4.6,
            "log_sd": WAIST_SD,
        }
    }
}
# How the logarithms of three levels follow those of others and of the stature, on made-up bodies.
HIGH_HIP = (0.4, 0.55, 0.1)
BODY_SD = 0.02


def bodies(count=4000):
    rng = np.random.default_rng(3)
    people = sights.sightings(2)
    stature = np.exp(rng.normal(np.log(1650.0), 0.04, count))
    logs = {code: rng.normal(np.log(950.0), 0.12, count) for code in LEVEL_CODES}
    tall = np.log(stature / STATURE_MM)

    def noise():
        return rng.normal(0.0, BODY_SD, count)

    logs["high_bust"] = 0.5 + 0.7 * logs["full_bust"] + 0.2 * logs["waist"] + noise()
    logs["underbust"] = -0.3 + 0.8 * logs["high_bust"] + 0.2 * logs["waist"] - 0.2 * tall + noise()
    on_waist, on_hip, on_tall = HIGH_HIP
    logs["high_hip"] = 0.3 + on_waist * logs["waist"] + on_hip * logs["full_hip"] + noise()
    logs["high_hip"] += on_tall * tall
    place = SECTION_FIELDS.index("girth_mm")
    for code in LEVEL_CODES:
        people.sections[code] = np.zeros((count, len(SECTION_FIELDS)))
        people.sections[code][:, place] = np.exp(logs[code])
    people.numbers["stature_mm"] = stature
    return people


@pytest.fixture(scope="module")
def table():
    return made_up()


@pytest.fixture(scope="module")
def found(table):
    return six_girths(table, BDIMS, bodies())


def at(code):
    return LEVEL_CODES.index(code)


def test_a_chain_of_two_links_is_the_joint_normal_worked_out_by_hand():
    chain = _Chain(["a"], np.array([1.0]), np.array([[0.5, 2.0]]), np.array([[4.0]]))
    chain.add("b", {"a": 3.0}, 0.5, (0.1, 0.0), 2.0)
    chain.add("c", {"b": 0.5, "a": 1.0}, 0.0, (0.0, 1.0), 1.0)

    # b = 0.5 + 3 a + 0.1 s + e, var e = 4; c = 0.5 b + a + m + f, var f = 1.
    assert chain.mean == pytest.approx([1.0, 3.5, 2.75])
    assert chain.slopes == pytest.approx(np.array([[0.5, 2.0], [1.6, 6.0], [1.3, 6.0]]))
    assert chain.covariance == pytest.approx(
        np.array([[4.0, 12.0, 10.0], [12.0, 40.0, 32.0], [10.0, 32.0, 27.0]])
    )


def test_what_a_chain_leaves_out_of_a_link_does_not_count():
    chain = _Chain(["a", "b"], np.array([1.0, 2.0]), np.zeros((2, 2)), np.diag([4.0, 9.0]))
    chain.add("c", {"b": 1.0}, 0.0, (0.0, 0.0), 1.0)

    assert chain.covariance[2] == pytest.approx([0.0, 9.0, 10.0])


def test_the_survey_levels_stay_as_they_are(table, found):
    people = prior(table)
    covariance = np.array(found["log_covariance"])
    for code, place in (("full_bust", 0), ("full_hip", 2)):
        assert found["log_mean"][at(code)] == pytest.approx(
            people["log_intercept"][place], abs=1e-5
        )
        assert found["per_log_mass"][at(code)] == pytest.approx(
            people["log_slope_mass"][place], abs=1e-4
        )
        assert covariance[at(code), at(code)] == pytest.approx(
            people["log_covariance"][place][place], abs=1e-8
        )


def test_the_waist_follows_a_navel_girth_that_scatters_wider(table, found):
    people = prior(table)
    spread = (WAIST_FROM_NAVEL * NAVEL_WIDER) ** 2 * people["log_covariance"][1][1] + WAIST_SD**2

    assert np.array(found["log_covariance"])[at("waist"), at("waist")] == pytest.approx(
        spread, abs=1e-8
    )
    assert found["log_mean"][at("waist")] == pytest.approx(
        4.6 + WAIST_FROM_NAVEL * people["log_intercept"][1], abs=1e-5
    )
    assert found["per_log_mass"][at("waist")] == pytest.approx(
        0.5 + WAIST_FROM_NAVEL * people["log_slope_mass"][1], abs=1e-4
    )


def test_the_high_hip_follows_waist_and_hip_as_on_bodies_but_scatters_wider(found):
    covariance = np.array(found["log_covariance"])
    pair = [at("waist"), at("full_hip")]
    row = np.array(HIGH_HIP[:2])
    explained = row @ covariance[np.ix_(pair, pair)] @ row

    # 4,000 bodies tell the coefficients to 0.003 and the spread to 1.1 %.
    assert covariance[at("high_hip"), pair] == pytest.approx(
        row @ covariance[np.ix_(pair, pair)], rel=0.05
    )
    assert covariance[at("high_hip"), at("high_hip")] - explained == pytest.approx(
        (BODIES_WIDER * BODY_SD) ** 2, rel=0.1
    )
    by_stature = np.array(found["per_log_stature"])
    assert by_stature[at("high_hip")] == pytest.approx(
        row @ by_stature[pair] + HIGH_HIP[2], abs=0.05
    )


def test_a_weight_not_told_widens_every_girth(found):
    fixed = {name: np.array(v) if isinstance(v, list) else v for name, v in found.items()}
    told = Prior(**fixed)
    _, with_mass = told.given(STATURE_MM, MASS_KG)
    _, without = told.given(STATURE_MM, None)
    by_mass = np.array(found["per_log_mass"])

    assert without - with_mass == pytest.approx(
        found["mass_log_sd"] ** 2 * np.outer(by_mass, by_mass)
    )
    assert (np.diag(without) > 2 * np.diag(with_mass)).all()


def test_the_covariance_is_one(found):
    assert np.linalg.eigvalsh(np.array(found["log_covariance"])).min() > 0.0
