import numpy as np
import pytest

from calibration.regression import choose, regress

COUNT = 200


def given():
    rng = np.random.default_rng(11)
    return {name: rng.normal(300, 40, COUNT) for name in ("breadth", "depth", "stature")}


def test_an_exact_law_is_found_without_residual():
    widths = given()
    fit = regress(
        30 + 1.8 * widths["breadth"] + 1.3 * widths["depth"], widths, ["breadth", "depth"]
    )

    assert fit.coefficients == pytest.approx((1.8, 1.3))
    assert fit.intercept == pytest.approx(30)
    assert fit.sd == pytest.approx(0, abs=1e-6)


def test_the_deviation_is_that_of_the_noise():
    widths = given()
    noise = np.random.default_rng(12).normal(0, 10, COUNT)
    fit = regress(2 * widths["breadth"] + noise, widths, ["breadth"])

    # Three standard errors of a deviation from 200 values: 3 * 10 / sqrt(400).
    assert fit.sd == pytest.approx(10, abs=1.5)


def test_a_feature_that_tells_nothing_is_not_chosen():
    widths = given()
    noise = np.random.default_rng(13).normal(0, 10, COUNT)
    fit = choose(
        2 * widths["breadth"] + widths["depth"] + noise, widths, ["stature", "depth", "breadth"], 3
    )

    assert fit.features == ("breadth", "depth")


def test_prediction_is_the_linear_form():
    widths = given()
    fit = regress(widths["breadth"] * 2.0, widths, ["breadth"])

    assert fit.predict({"breadth": np.array([100.0])}) == pytest.approx([200.0])
