"""Propagation against the published examples of the guides."""

import numpy as np
import pytest

from ellwand.girth.budget import Input, propagate

# Monte Carlo of a million draws: quantiles of these distributions scatter by less than this.
MANY = 1_000_000


def total(inputs):
    return inputs.sum(axis=1, keepdims=True)


@pytest.mark.parametrize(
    ("kinds", "u", "bound"),
    [
        # JCGM 101:2008, 9.2.2, 9.2.3, 9.2.4: sums of four quantities of zero mean.
        ([("normal", 1)] * 4, 2.0, 3.92),
        ([("rectangular", 1)] * 4, 2.0, 3.88),
        ([("rectangular", 1)] * 3 + [("rectangular", 10)], 10.1, 17.0),
    ],
)
def test_sums_of_jcgm_101_clause_9_2(kinds, u, bound):
    inputs = [Input("x", 0.0, width, kind) for kind, width in kinds]
    found = propagate(total, inputs, draws=MANY)
    assert found.u[0] == pytest.approx(u, abs=0.06)
    assert found.low[0] == pytest.approx(-bound, abs=0.06)
    assert found.high[0] == pytest.approx(bound, abs=0.06)


def test_mass_calibration_of_jcgm_101_clause_9_3():
    """Second-order terms matter: first order gives 0.0539 mg, the distribution 0.0754 mg."""
    inputs = [
        Input("reference weight", 100_000.0, 0.050),
        Input("small weight", 1.234, 0.020),
        Input("air", 1.20, 0.1 / np.sqrt(3), "rectangular"),
        Input("density of weight", 8000.0, 1000 / np.sqrt(3), "rectangular"),
        Input("density of reference", 8000.0, 50 / np.sqrt(3), "rectangular"),
    ]

    def deviation(x):
        reference, small, air, weight, density = x.T
        mass = (reference + small) * (1 + (air - 1.2) * (1 / weight - 1 / density))
        return (mass - 100_000)[:, None]

    found = propagate(deviation, inputs, draws=MANY)
    assert found.mean[0] == pytest.approx(1.234, abs=0.001)
    assert found.u[0] == pytest.approx(0.0754, abs=0.0005)
    assert found.u_first_order[0] == pytest.approx(0.0539, abs=0.0001)


def test_the_budget_of_a_sum_is_its_variances():
    inputs = [Input("a", 5.0, 3.0), Input("b", 1.0, 4.0), Input("a", 0.0, 0.0)]
    found = propagate(total, inputs, draws=10_000)
    assert found.value[0] == 6
    assert found.u_first_order[0] == pytest.approx(5)
    assert [(s.source, s.share) for s in found.budget(0)] == [
        ("b", pytest.approx(16 / 25)),
        ("a", pytest.approx(9 / 25)),
    ]


def test_the_same_seed_gives_the_same_numbers():
    inputs = [Input("a", 0.0, 1.0)]
    once, twice = (propagate(total, inputs, draws=100) for _ in range(2))
    assert once.u[0] == twice.u[0]
