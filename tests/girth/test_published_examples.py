"""Propagation against the pages it comes from, through the code that the estimates use.

Beside each expectation: S = seen on a stored page (named), C = computed anew for the project's note
of sources, M = from memory, D = derived here. Inputs that are only remembered say so.

A tolerance is half the last digit that the page prints and, for the Monte Carlo, four times its own
scatter: of u, 4 / sqrt(2 MANY) = 0.3 % for a normal output.
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import t as students_t

from ellwand.girth.budget import Input, propagate

MANY = 1_000_000
ROOT_3 = np.sqrt(3)


def column(values):
    return values[:, None]


def shortest(draws, coverage):
    """Ends of the shortest interval that holds this part of the draws (JCGM 101:2008, 7.7)."""
    ordered = np.sort(draws)
    held = round(coverage * len(ordered))
    widths = ordered[held:] - ordered[:-held]
    first = int(np.argmin(widths))
    return ordered[first], ordered[first + held]


def correlations(covariance):
    u = np.sqrt(np.diag(covariance))
    return covariance / np.outer(u, u)


class TestEndGaugeOfH1:
    """GUM H.1: length of a 50 mm end gauge at 20 °C, by comparison with a standard.

    Expected: S "GUM H1" (GTC documentation) and the tests of suncal; C.
    Contributions to u and degrees as there. Values and limits of the temperatures M: together with
    the seen contributions they give each other (2.9 nm: ls times 0.1 °C times
    u of the differing expansion; 16.6 nm: ls times its expansion times u of the differing
    temperature).
    """

    INPUTS = (
        #     cause                         value       u             distribution   degrees
        Input("standard, nm", 50_000_623, 25.0, "t", 18),
        Input("difference, repeats, nm", 215, 5.8, "t", 24),
        Input("difference, comparator at random, nm", 0, 3.9, "t", 5),
        Input("difference, comparator as built, nm", 0, 6.7, "t", 8),
        Input("expansion of standard, 1/°C", 11.5e-6, 2e-6 / ROOT_3, "rectangular"),
        Input("mean temperature from 20 °C, °C", -0.1, 0.2),
        # A cycle of ±0.5 °C caught at any moment: arcsine distributed, u 0.35 °C.
        Input("phase of the cycle, rad", 0, np.pi / ROOT_3, "rectangular"),
        # ±1e-6 per °C and ±0.05 °C, with 10 % and 50 % doubt in these limits themselves.
        Input("expansion differs, in its limit", 0, 1 / ROOT_3, "rectangular", 50),
        Input("limit of that, 1/°C", 1e-6, 0.1e-6 / ROOT_3, "rectangular"),
        Input("temperatures differ, in their limit", 0, 1 / ROOT_3, "rectangular", 2),
        Input("limit of that, °C", 0.05, 0.025 / ROOT_3, "rectangular"),
    )

    @staticmethod
    def length_nm(x):
        standard, *differences, expansion, mean, phase, part_a, limit_a, part_t, limit_t = x.T
        warm = mean + 0.5 * np.sin(phase)
        drift = part_a * limit_a * warm + expansion * part_t * limit_t
        return column(standard + sum(differences) - standard * drift)

    def test_first_order(self):
        difference = Input("difference, nm", 215, 9.7, "t", 25.6)
        found = propagate(self.length_nm, [self.INPUTS[0], difference, *self.INPUTS[4:]])
        assert found.value[0] == pytest.approx(50_000_838, abs=0.5)
        assert found.u_first_order[0] == pytest.approx(31.67, abs=0.005)
        parts = dict(zip(found.causes, np.sqrt(found.variances[0]), strict=True))
        assert parts["expansion differs, in its limit"] == pytest.approx(2.9, abs=0.05)
        assert parts["temperatures differ, in their limit"] == pytest.approx(16.6, abs=0.05)

    def test_degrees_of_freedom_and_expanded_uncertainty(self):
        found = propagate(self.length_nm, self.INPUTS)
        assert found.degrees[0] == pytest.approx(16.8, abs=0.05)
        # As on the page: degrees cut to 16, u rounded to 32 before it is multiplied (unrounded it
        # gives 92.5). M, C: k = 2.92, U = 93.
        k = students_t.ppf(0.995, int(found.degrees[0]))
        assert k == pytest.approx(2.92, abs=0.005)
        assert k * round(found.u_first_order[0]) == pytest.approx(93, abs=0.5)

    def test_the_difference_from_its_three_parts(self):
        found = propagate(lambda x: x.sum(axis=1, keepdims=True), self.INPUTS[1:4])
        assert found.u_first_order[0] == pytest.approx(9.7, abs=0.05)
        # The page has 25.6 from u rounded to 9.7; with 9.68 it is 25.45 (D: u⁴ = 8787, sum of
        # u⁴ / degrees = 345.3).
        assert found.degrees[0] * (9.7 / found.u_first_order[0]) ** 4 == pytest.approx(
            25.6, abs=0.05
        )
        assert found.degrees[0] == pytest.approx(8787 / 345.3, abs=0.01)

    def test_second_order_terms_appear_when_each_u_is_taken_as_known(self):
        """34 nm: 31.67, with products of two u: 11.7 (differing expansion, temperature) and 1.7."""
        known = [
            replace(i, distribution="normal") if i.distribution == "t" else i for i in self.INPUTS
        ]
        known = [replace(i, u=0.0) if i.cause.startswith("limit") else i for i in known]
        found = propagate(self.length_nm, known, draws=MANY)
        assert found.u[0] == pytest.approx(np.sqrt(31.67**2 + 11.7**2 + 1.7**2), rel=0.003)
        assert found.u[0] == pytest.approx(34, abs=0.5)

    def test_monte_carlo_of_jcgm_101_clause_9_5(self):
        """Mean 838, u 36, shortest 99 % [745, 932]: C, an own run there had 933; M.

        The clause has the difference's u as 6, 4 and 7 nm (M), here they are those of H.1. An end
        of the shortest interval scatters by about 1 nm at this number of draws: 3 nm allowed.
        """
        found = propagate(self.length_nm, self.INPUTS, draws=MANY)
        assert found.mean[0] - 50_000_000 == pytest.approx(838, abs=0.5)
        assert found.u[0] == pytest.approx(36, abs=0.5)
        low, high = shortest(found.draws[:, 0] - 50_000_000, 0.99)
        assert low == pytest.approx(745, abs=3)
        assert high == pytest.approx(932, abs=3)


class TestImpedanceOfH2:
    """GUM H.2: resistance, reactance and impedance from five simultaneous readings.

    S "GUM H2" (GTC documentation) and the tests of suncal; C agrees.
    """

    OBSERVED = np.array(
        [
            # V, V   I, mA   φ, rad
            [5.007, 19.663, 1.0456],
            [4.994, 19.639, 1.0438],
            [5.005, 19.640, 1.0468],
            [4.990, 19.685, 1.0428],
            [4.999, 19.678, 1.0433],
        ]
    )

    @staticmethod
    def impedance(x):
        """R, X, Z in ohms."""
        voltage, current, phase = x.T
        z = voltage / (current / 1000)
        return np.stack([z * np.cos(phase), z * np.sin(phase), z], axis=1)

    @pytest.fixture
    def found(self):
        means = self.OBSERVED.mean(axis=0)
        u = self.OBSERVED.std(axis=0, ddof=1) / np.sqrt(len(self.OBSERVED))
        inputs = [Input(*one) for one in zip(("V", "I", "phi"), means, u, strict=True)]
        together = np.corrcoef(self.OBSERVED, rowvar=False)
        return propagate(self.impedance, inputs, draws=MANY, correlation=together)

    def test_correlations_of_the_readings(self):
        together = np.corrcoef(self.OBSERVED, rowvar=False)
        assert together[0, 1] == pytest.approx(-0.36, abs=0.005)
        assert together[0, 2] == pytest.approx(0.86, abs=0.005)
        assert together[1, 2] == pytest.approx(-0.65, abs=0.005)

    def test_first_order(self, found):
        assert found.value == pytest.approx([127.732, 219.847, 254.260], abs=0.0005)
        # The page prints 0.071, 0.295, 0.236; unrounded in C.
        assert found.u_first_order[0] == pytest.approx(0.071, abs=0.0005)
        assert found.u_first_order[1:] == pytest.approx([0.2956, 0.2363], abs=0.00005)
        r = correlations(found.covariance_first_order)
        assert [r[0, 1], r[0, 2], r[1, 2]] == pytest.approx([-0.588, -0.485, 0.993], abs=0.0005)

    def test_monte_carlo(self, found):
        assert found.mean == pytest.approx([127.732, 219.847, 254.260], abs=0.002)
        assert found.u == pytest.approx(found.u_first_order, rel=0.003)
        r = correlations(found.covariance)
        # Scatter of a correlation: (1 - r²) / sqrt(MANY), below 0.001.
        assert [r[0, 1], r[0, 2], r[1, 2]] == pytest.approx([-0.588, -0.485, 0.993], abs=0.004)


class TestThermometerOfH3:
    """GUM H.3: a line b = y1 + y2 (t - 20 °C) through eleven corrections of a thermometer.

    S "GUM H3" (GTC documentation).
    """

    # fmt: off
    READ_C = np.array([21.521, 22.012, 22.512, 23.003, 23.507, 23.999,
                       24.513, 25.002, 25.503, 26.010, 26.511])
    CORRECTION_C = np.array([-0.171, -0.169, -0.166, -0.159, -0.164, -0.165,
                             -0.156, -0.157, -0.159, -0.161, -0.160])
    # fmt: on

    @pytest.fixture
    def found(self):
        """Y1, y2 and the correction at 30 °C; each correction has the u that the line leaves."""
        design = np.stack([np.ones(11), self.READ_C - 20], axis=1)
        solve = np.linalg.pinv(design)
        left = self.CORRECTION_C - design @ (solve @ self.CORRECTION_C)
        u = np.sqrt(left @ left / (11 - 2))
        inputs = [Input("correction", value, u) for value in self.CORRECTION_C]

        def line(x):
            y = x @ solve.T
            return np.stack([y[:, 0], y[:, 1], y[:, 0] + 10 * y[:, 1]], axis=1)

        return propagate(line, inputs, draws=MANY)

    def test_first_order(self, found):
        y1, y2, at_30 = found.value
        assert y1 == pytest.approx(-0.1712, abs=0.00005)
        assert y2 == pytest.approx(0.00218, abs=0.000005)
        assert at_30 == pytest.approx(-0.1494, abs=0.00005)
        u1, u2, u_at_30 = found.u_first_order
        assert u1 == pytest.approx(0.0029, abs=0.00005)
        assert u2 == pytest.approx(0.00067, abs=0.000005)
        assert u_at_30 == pytest.approx(0.0041, abs=0.00005)
        assert correlations(found.covariance_first_order)[0, 1] == pytest.approx(-0.93, abs=0.005)

    def test_monte_carlo(self, found):
        assert found.u == pytest.approx(found.u_first_order, rel=0.003)
        assert correlations(found.covariance)[0, 1] == pytest.approx(-0.93, abs=0.005)

    def test_the_printed_line_with_its_correlation_gives_the_printed_prediction(self):
        line = [Input("y1", -0.1712, 0.0029), Input("y2", 0.00218, 0.00067)]
        together = np.array([[1, -0.93], [-0.93, 1]])
        found = propagate(lambda y: y @ np.array([[1.0], [10.0]]), line, correlation=together)
        assert found.value[0] == pytest.approx(-0.1494, abs=0.00005)
        # D: 0.0029² + 100 · 0.00067² - 20 · 0.93 · 0.0029 · 0.00067 = 0.00414². The rounded r and u
        # move the fourth digit by less than half.
        assert found.u_first_order[0] == pytest.approx(0.0041, abs=0.00005)


@pytest.mark.parametrize(
    ("kinds", "u", "u_digit", "bound", "bound_digit"),
    [
        # JCGM 101:2008, sums of four quantities of zero mean.
        ([("normal", 1)] * 4, 2.0, 0.1, 3.92, 0.01),  # 9.2.2: S, C
        ([("rectangular", 1)] * 4, 2.0, 0.1, 3.88, 0.01),  # 9.2.3: S, C
        ([("rectangular", 1)] * 3 + [("rectangular", 10)], 10.1, 0.1, 17.0, 0.1),  # 9.2.4: C, M
    ],
)
def test_sums_of_jcgm_101_clause_9_2(kinds, u, u_digit, bound, bound_digit):
    inputs = [Input("x", 0.0, width, kind) for kind, width in kinds]
    found = propagate(lambda x: x.sum(axis=1, keepdims=True), inputs, draws=MANY)
    assert found.u[0] == pytest.approx(u, abs=u_digit / 2)
    # Scatter of these quantiles: sqrt(0.025 · 0.975 / MANY) over a density of 0.029, four times.
    ends = [found.low[0], found.high[0]]
    assert ends == pytest.approx([-bound, bound], abs=bound_digit / 2 + 0.022)


def test_where_one_rectangle_prevails_first_order_claims_too_wide_an_interval():
    """JCGM 101:2008, 9.2.4: ±1.96 u is ±19.9 for what lies within ±17.0. C, M."""
    inputs = [Input("x", 0.0, width, "rectangular") for width in (1, 1, 1, 10)]
    found = propagate(lambda x: x.sum(axis=1, keepdims=True), inputs, draws=MANY)
    assert 1.96 * found.u_first_order[0] == pytest.approx(19.9, abs=0.05)
    assert found.u[0] == pytest.approx(found.u_first_order[0], rel=0.003)
    assert found.high[0] < 0.87 * 1.96 * found.u_first_order[0]


def test_mass_calibration_of_jcgm_101_clause_9_3():
    """A weight of nominally 100 g in air, in mg from nominal. Inputs M, results C."""
    inputs = [
        Input("reference weight, mg", 100_000.0, 0.050),
        Input("small weight, mg", 1.234, 0.020),
        Input("air, kg/m³", 1.20, 0.1 / ROOT_3, "rectangular"),
        Input("weight, kg/m³", 8000.0, 1000 / ROOT_3, "rectangular"),
        Input("reference, kg/m³", 8000.0, 50 / ROOT_3, "rectangular"),
    ]

    def deviation_mg(x):
        reference, small, air, weight, density = x.T
        mass = (reference + small) * (1 + (air - 1.2) * (1 / weight - 1 / density))
        return column(mass - 100_000)

    found = propagate(deviation_mg, inputs, draws=MANY)
    assert found.mean[0] == pytest.approx(1.234, abs=0.0005)
    assert found.u[0] == pytest.approx(0.0754, abs=0.0003)
    assert found.u_first_order[0] == pytest.approx(0.0539, abs=0.00005)
    # The ends of a shortest interval scatter by about 0.001 mg here: 0.004 allowed.
    assert shortest(found.draws[:, 0], 0.95) == pytest.approx([1.084, 1.382], abs=0.004)


def test_the_logarithm_of_a_rectangle():
    """x in 0.1 to 1.1, y = ln x: S, tests of suncal after an example of NPL."""
    wide = [Input("x", 0.6, 0.5 / ROOT_3, "rectangular")]
    # First order there is the derivative; a whole u to either side would find 0.525 (D).
    found = propagate(np.log, wide, draws=MANY, step=0.01)
    assert found.value[0] == pytest.approx(-0.511, abs=0.0005)
    assert found.u_first_order[0] == pytest.approx(0.481, abs=0.0005)
    # Mean and u scatter by 0.606 / sqrt(MANY) or less: four times that, and half a digit.
    assert found.mean[0] == pytest.approx(-0.665, abs=0.003)
    assert found.u[0] == pytest.approx(0.606, abs=0.003)
    # The end scatters by about 0.001.
    low, high = shortest(found.draws[:, 0], 0.95)
    assert [low, high] == pytest.approx([-1.895, 0.095], abs=0.004)
    # D: the density rises to the upper end, so the shortest interval leaves out the lowest 5 %.
    assert [low, high] == pytest.approx([np.log(0.15), np.log(1.1)], abs=0.003)


def test_welch_and_satterthwaite():
    """S, tests of suncal; D: 0.3874² / (0.57⁴ / 9) = 12.8."""
    inputs = [Input("repeats", 0, 0.57, "t", 9), Input("judged", 0, 0.25)]
    found = propagate(lambda x: x.sum(axis=1, keepdims=True), inputs)
    assert found.degrees[0] == pytest.approx(12.8, abs=0.05)


class TestThermalExpansionOfTn1900:
    """NIST TN 1900, example E13: coefficient of a copper bar. S, tests of suncal."""

    MEASURED = (
        #  cause       value   u
        ("L0, m", 1.4999, 1e-4),
        ("L1, m", 1.5021, 2e-4),
        ("T0, K", 288.15, 0.02),
        ("T1, K", 373.10, 0.05),
    )

    @staticmethod
    def coefficient(x):
        cold_m, warm_m, cold_k, warm_k = x.T
        return column((warm_m - cold_m) / (cold_m * (warm_k - cold_k)))

    def test_first_order(self):
        inputs = [Input(*one, "t", 3) for one in self.MEASURED]
        found = propagate(self.coefficient, inputs)
        assert found.value[0] == pytest.approx(1.7266e-5, abs=0.00005e-5)
        assert found.u_first_order[0] == pytest.approx(1.76e-6, abs=0.005e-6)

    def test_monte_carlo_with_t_of_three_degrees(self):
        """The page scales each t to have the u as its standard deviation (M).

        Standard deviation of a t: sqrt(3 / (3 - 2)) of its scale (D). It has no fourth moment, so
        that u of the draws converges slowly, by about 1 / cube root of MANY = 1 %: 4 % allowed.
        """
        inputs = [Input(cause, value, u / ROOT_3, "t", 3) for cause, value, u in self.MEASURED]
        found = propagate(self.coefficient, inputs, draws=MANY)
        assert found.mean[0] == pytest.approx(1.7266e-5, abs=0.001e-5)
        assert found.u[0] == pytest.approx(1.76e-6, rel=0.04)
