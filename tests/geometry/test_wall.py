"""The joint solution of both cameras against invented sittings with known truth."""

import numpy as np
import pytest

from ellwand.geometry.wall import solve
from tests.synthetic import sitting

HIP = np.array([[-630.0, 850.0, 0.0], [-270.0, 850.0, 0.0]])


def hip_breadth(truth, solution, view="front"):
    pixels = truth.pixels(view, HIP)
    thetas = np.concatenate([solution.theta[None], solution.draws(np.eye(solution.gain.shape[1]))])
    ends = solution.on_body(thetas, view, pixels, np.zeros((len(thetas), 2)))
    breadth = ends[:, 1, 0] - ends[:, 0, 0]
    return breadth[0], float(np.sqrt(np.sum((breadth[1:] - breadth[0]) ** 2)))


@pytest.mark.parametrize("sheets", [0, 1, 2])
def test_without_any_error_the_truth_comes_back(sheets):
    truth = sitting(np.random.default_rng(1), sheets=sheets, noise=0.0)
    breadth, _ = hip_breadth(truth, solve(truth.sightings, truth.known))
    assert breadth == pytest.approx(360.0, abs=0.01)


def test_two_photos_of_different_lenses_are_solved_together():
    truth = sitting(np.random.default_rng(1), noise=0.0, side_zoom=2.0)
    solution = solve(truth.sightings, truth.known)
    for view in ("front", "side"):
        breadth, _ = hip_breadth(truth, solution, view)
        assert breadth == pytest.approx(360.0, abs=0.01)
    focal = {view: float(solution.model.camera(solution.theta, view)[2]) for view in truth.cameras}
    assert focal["side"] == pytest.approx(2 * focal["front"])


def test_the_second_sheet_and_then_the_height_make_the_scale_better():
    truth = sitting(np.random.default_rng(2), noise=0.0)
    bounds = {}
    for sheets in (0, 1, 2):
        with_sheets = sitting(np.random.default_rng(2), sheets=sheets, noise=0.0)
        bounds[sheets] = hip_breadth(with_sheets, solve(with_sheets.sightings, truth.known))[1]
    assert bounds[2] < bounds[1] < bounds[0]


# Sittings with two sheets take longest to solve.
@pytest.mark.parametrize(("sheets", "sittings"), [(0, 200), (1, 150), (2, 80)])
def test_stated_doubt_is_neither_too_small_nor_too_large(sheets, sittings):
    """Errors over stated uncertainty have a standard deviation of 1.

    80 sittings give it to 1 / sqrt(160) = 8 %. Three times that either way still refuses a doubt
    that is half as large again as it should be, and one that is two thirds of it.
    """
    rng = np.random.default_rng(20261125)
    scores = []
    for _ in range(sittings):
        truth = sitting(rng, sheets=sheets)
        breadth, u = hip_breadth(truth, solve(truth.sightings, truth.known))
        scores.append((breadth - 360.0) / u)
    assert 0.75 < np.std(scores) < 1.25
    assert abs(np.mean(scores)) < 3 / np.sqrt(80)


def test_causes_add_up_to_the_whole():
    truth = sitting(np.random.default_rng(5))
    solution = solve(truth.sightings, truth.known)
    assert len(solution.causes) == solution.gain.shape[1]
    covariance = solution.gain @ solution.gain.T
    jacobian = solution.model.jacobian(solution.theta)
    # GUM: the gain's rows are the sensitivities; their squares sum to the inverse normal matrix.
    assert np.linalg.inv(jacobian.T @ jacobian) == pytest.approx(covariance, rel=1e-4, abs=1e-12)
