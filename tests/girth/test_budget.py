"""What propagation does with its inputs; the published examples have a file of their own."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import t as students_t

from ellwand.girth.budget import DRAWS, Input, propagate

MANY = 1_000_000


def total(inputs):
    return inputs.sum(axis=1, keepdims=True)


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


def test_the_draws_are_there_and_the_summary_is_theirs():
    found = propagate(lambda x: x**2, [Input("a", 1.0, 0.1)], draws=100)
    assert found.draws.shape == (100, 1)
    assert found.mean[0] == found.draws.mean()
    assert found.covariance[0, 0] == pytest.approx(found.u[0] ** 2)
    assert np.mean((found.draws > found.low) & (found.draws < found.high)) == 0.94


INPUT = st.builds(
    Input,
    cause=st.sampled_from(["a", "b", "c"]),
    value=st.floats(-1000, 1000),
    u=st.floats(0.1, 10),
    distribution=st.sampled_from(["normal", "rectangular"]),
)


@given(inputs=st.lists(INPUT, min_size=1, max_size=6), seed=st.integers(0, 2**32 - 1))
def test_of_a_linear_function_both_ways_agree_with_the_matrix_product(inputs, seed):
    """Covariance is A diag(u²) Aᵀ, exactly to first order.

    By the draws that the estimates use, u scatters by 1 / sqrt(2 DRAWS) = 1.1 %: 6.5 % is six times
    that, which chance reaches in none of these cases.
    """
    matrix = np.random.default_rng(seed).normal(size=(len(inputs), 2))
    found = propagate(lambda x: x @ matrix, inputs)
    exact = matrix.T @ np.diag([i.u**2 for i in inputs]) @ matrix
    assert found.covariance_first_order == pytest.approx(exact, abs=1e-9 * exact.max())
    assert found.u_first_order == pytest.approx(np.sqrt(np.diag(exact)))
    assert found.variances.sum(axis=1) == pytest.approx(np.diag(exact))
    assert found.u == pytest.approx(found.u_first_order, rel=0.065)


def test_of_a_smooth_function_monte_carlo_and_first_order_agree():
    """Girth of an ellipse of 300 by 200 mm, by Ramanujan's formula, each 5 mm in doubt.

    0.4 % is four times the scatter of u, 4 / sqrt(2 MANY) = 0.28 %, and what the second order may
    add: (5 / 200)² = 0.06 %.
    """

    def girth_mm(x):
        a, b = x.T / 2
        return (np.pi * (3 * (a + b) - np.sqrt((3 * a + b) * (a + 3 * b))))[:, None]

    inputs = [Input("breadth", 300, 5), Input("depth", 200, 5, "rectangular")]
    found = propagate(girth_mm, inputs, draws=MANY)
    assert found.u[0] == pytest.approx(found.u_first_order[0], rel=0.004)
    # Second order moves the mean by (f_aa + f_bb) / 2 · 2.5² = (0.00408 + 0.00919) / 2 · 2.5² =
    # 0.041 mm; the mean scatters by u / sqrt(MANY) = 0.008 mm.
    assert found.mean[0] - found.value[0] == pytest.approx(0.041, abs=0.032)


def test_at_the_bottom_of_a_bowl_only_monte_carlo_sees_doubt():
    """Of x², x normal about 0: slope 0, yet mean 1 and variance E[x⁴] - 1 = 2."""
    found = propagate(lambda x: x**2, [Input("x", 0, 1)], draws=MANY)
    assert found.u_first_order[0] == 0
    # The variance scatters by sqrt((60 - 4) / MANY) = 0.0075 (moments of chi-squared).
    assert found.u[0] ** 2 == pytest.approx(2, abs=0.03)
    assert found.mean[0] == pytest.approx(1, abs=0.006)


def test_a_small_step_finds_the_slope_and_a_whole_one_the_chord():
    """Of x³ at 0 the slope is 0, and u to either side the chord rises by u² an x."""
    inputs = [Input("x", 0, 2)]
    assert propagate(lambda x: x**3, inputs).u_first_order[0] == pytest.approx(2 * 2**2)
    assert propagate(lambda x: x**3, inputs, step=0.01).u_first_order[0] < 0.001


class TestCorrelatedInputs:
    INPUTS = (Input("a", 0, 3.0), Input("b", 0, 4.0))
    HALF = np.array([[1, 0.5], [0.5, 1]])

    def test_what_two_inputs_share_adds_to_the_doubt_of_their_sum(self):
        """9 + 16 + 2 · 0.5 · 3 · 4 = 37, each cause with half of the 12 that they share."""
        found = propagate(total, self.INPUTS, draws=MANY, correlation=self.HALF)
        assert found.u_first_order[0] == pytest.approx(np.sqrt(37))
        assert found.u[0] == pytest.approx(np.sqrt(37), rel=0.003)
        assert found.variances[0] == pytest.approx([9 + 6, 16 + 6])

    @pytest.mark.parametrize(("r", "u"), [(1, 1.0), (-1, 7.0)])
    def test_a_full_correlation_is_taken(self, r, u):
        both = np.array([[1, r], [r, 1]])
        found = propagate(lambda x: x[:, 1:] - x[:, :1], self.INPUTS, correlation=both)
        assert found.u_first_order[0] == pytest.approx(u)
        assert found.u[0] == pytest.approx(u, rel=0.05)

    @pytest.mark.parametrize(
        ("r", "signs"),
        [
            (1.0, (1, 1, -2)),  # one and the same
            (-0.5, (1, 1, 1)),  # at 120 degrees to one another
        ],
    )
    def test_nothing_is_left_where_three_cancel(self, r, signs):
        """Rounding must leave no root of a negative number, which would be a warning."""
        inputs = [Input("x", value, 0.7) for value in (0.1, 0.2, 0.3)]
        together = np.full((3, 3), r)
        np.fill_diagonal(together, 1)
        weights = np.array(signs, dtype=float)[:, None]
        found = propagate(lambda x: x @ weights, inputs, correlation=together)
        assert found.u_first_order[0] == pytest.approx(0, abs=1e-7)
        assert found.u[0] == pytest.approx(0, abs=1e-7)

    def test_others_beside_them_stay_independent(self):
        inputs = [*self.INPUTS, Input("c", 0, 1, "rectangular")]
        together = np.eye(3)
        together[:2, :2] = self.HALF
        found = propagate(lambda x: x, inputs, draws=MANY, correlation=together)
        assert np.abs(found.draws[:, 2]).max() <= np.sqrt(3) + 1e-9
        exact = np.array([[9, 6, 0], [6, 16, 0], [0, 0, 1]])
        assert found.covariance_first_order == pytest.approx(exact, abs=1e-9)
        # A covariance scatters by sqrt((1 + r²) / MANY) u u: below 0.02 of 16, four times.
        assert found.covariance == pytest.approx(exact, abs=0.1)

    @pytest.mark.parametrize(
        ("case", "matrix"),
        [
            ("beyond one", [[1, 1.1], [1.1, 1]]),
            ("not symmetric", [[1, 0.2], [0.5, 1]]),
            ("a covariance", [[9, 6], [6, 16]]),
            ("not a number", [[1, np.nan], [np.nan, 1]]),
        ],
    )
    def test_what_is_no_correlation_matrix_is_refused(self, case, matrix):
        with pytest.raises(ValueError):
            propagate(total, self.INPUTS, correlation=np.array(matrix))

    @pytest.mark.parametrize(
        "other",
        [
            Input("b", 0, 1, "rectangular"),
            Input("b", 0, 1, "t", 4),
            Input("b", 0, 1, degrees=4),
        ],
    )
    def test_only_normal_inputs_whose_u_is_known_may_be_correlated(self, other):
        with pytest.raises(ValueError, match="only normal inputs"):
            propagate(total, [self.INPUTS[0], other], correlation=self.HALF)


class TestDegreesOfFreedom:
    def test_a_u_from_six_repeats_draws_from_a_t(self):
        """Five degrees: standard deviation sqrt(5/3) of the scale, 95 % within ±2.571 of it."""
        found = propagate(total, [Input("repeats", 10, 2, "t", 5)], draws=MANY)
        bound = students_t.ppf(0.975, 5)
        assert bound == pytest.approx(2.571, abs=0.0005)
        # Kurtosis 9: u scatters by sqrt(8 / MANY) / 2 = 0.14 %; the ends by 0.004 of the scale.
        assert found.u[0] == pytest.approx(2 * np.sqrt(5 / 3), rel=0.006)
        assert found.high[0] == pytest.approx(10 + 2 * bound, abs=0.04)
        assert found.low[0] == pytest.approx(10 - 2 * bound, abs=0.04)
        assert found.u_first_order[0] == pytest.approx(2)
        assert found.degrees[0] == pytest.approx(5)

    def test_they_are_infinite_where_every_u_is_known(self):
        assert np.isinf(propagate(total, [Input("a", 0, 1)]).degrees[0])

    def test_they_are_infinite_where_the_doubtful_input_has_no_effect(self):
        found = propagate(lambda x: x[:, :1], [Input("a", 0, 1), Input("b", 0, 1, "t", 3)])
        assert np.isinf(found.degrees[0])

    def test_of_a_judged_limit_they_count_without_widening_it(self):
        found = propagate(total, [Input("limit", 0, 1, "rectangular", 2)], draws=DRAWS)
        assert found.degrees[0] == pytest.approx(2)
        assert np.abs(found.draws).max() <= np.sqrt(3)

    @pytest.mark.parametrize(
        ("distribution", "degrees"), [("t", np.inf), ("t", 0), ("normal", -1), ("t", np.nan)]
    )
    def test_none_or_nonsense_is_refused(self, distribution, degrees):
        with pytest.raises(ValueError, match="degrees of freedom"):
            Input("a", 0, 1, distribution, degrees)
