"""Propagation of doubt: Monte Carlo on named inputs, with first order beside it.

One function of standardised inputs serves both: random inputs give the distribution (JCGM 101),
inputs moved one at a time give the law of propagation and the budget (JCGM 100).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ellwand.measurements import BudgetShare, Estimate

FloatArray = NDArray[np.float64]

COVERAGE = 0.95
DRAWS = 4000
SEED = 20261125
# What floating point may take from a matrix that holds exactly.
_ROUNDING = 1e-9


@dataclass(frozen=True)
class Input:
    """One input quantity.

    Args:
        cause: its name in the budget; several inputs may share one.
        value: best value.
        u: standard uncertainty; of a "t" its scale, what repeats give as s / sqrt(n).
        distribution: "normal", "rectangular" or "t", scaled and shifted.
        degrees: degrees of freedom of u. They make the width of a "t"; of the others they say only
            how well u is known, and count in the effective degrees alone.

    Raises:
        ValueError: degrees not positive, or a "t" without them.

    Source: JCGM 101:2008, 6.4.9 (t); JCGM 100:2008, G.4.2 (degrees of a judged u).
    """

    cause: str
    value: float
    u: float
    distribution: Literal["normal", "rectangular", "t"] = "normal"
    degrees: float = np.inf

    def __post_init__(self) -> None:
        if not self.degrees > 0 or (self.distribution == "t" and np.isinf(self.degrees)):
            raise ValueError("degrees of freedom must be positive, and those of a t finite")

    def standard(self, rng: np.random.Generator, draws: int) -> FloatArray:
        """Draws (draws) of (input - value) / u."""
        if self.distribution == "t":
            return rng.standard_t(self.degrees, draws)
        if self.distribution == "rectangular":
            return rng.uniform(-np.sqrt(3), np.sqrt(3), draws)
        return rng.normal(size=draws)


@dataclass(frozen=True, eq=False)
class Propagated:
    """Distribution of k outputs.

    Args:
        value: (k) outputs at the inputs' best values.
        mean: (k) mean of the draws.
        u: (k) standard deviation of the draws.
        low: (k) lower end of the probabilistically symmetric 95 % interval.
        high: (k) upper end.
        covariance: (k, k) of the draws.
        u_first_order: (k) by the law of propagation.
        covariance_first_order: (k, k) by it.
        degrees: (k) effective degrees of freedom of `u_first_order`.
        variances: (k, causes) first-order variance by cause; of two correlated inputs each has half
            of what they share, so that a cause may take away from the whole.
        causes: names of the columns of `variances`.
        draws: (n, k) the outputs themselves.
    """

    value: FloatArray
    mean: FloatArray
    u: FloatArray
    low: FloatArray
    high: FloatArray
    covariance: FloatArray
    u_first_order: FloatArray
    covariance_first_order: FloatArray
    degrees: FloatArray
    variances: FloatArray
    causes: tuple[str, ...]
    draws: FloatArray

    def estimate(self, k: int, code: str) -> Estimate:
        """Output k as the estimate of a measurement.

        Args:
            k: index of the output.
            code: key of `measurements.KINDS`.
        """
        return Estimate(
            code=code,
            value_mm=float(self.value[k]),
            u_mm=float(self.u[k]),
            low_mm=float(self.low[k]),
            high_mm=float(self.high[k]),
            budget=self.budget(k),
        )

    def budget(self, k: int) -> tuple[BudgetShare, ...]:
        """Shares of the variance of output k by cause, largest first."""
        total = float(self.variances[k].sum())
        shares = [
            BudgetShare(cause, float(part) / total if total else 0.0)
            for cause, part in zip(self.causes, self.variances[k], strict=True)
        ]
        return tuple(sorted(shares, key=lambda share: (-share.share, share.source)))


def propagate(
    function: Callable[[FloatArray], FloatArray],
    inputs: Sequence[Input],
    draws: int = DRAWS,
    seed: int = SEED,
    *,
    correlation: FloatArray | None = None,
    step: float = 1.0,
) -> Propagated:
    """Propagate the inputs' distributions through a function.

    Args:
        function: maps inputs (n, m) to outputs (n, k).
        inputs: the m inputs.
        draws: how many draws.
        seed: of the random numbers.
        correlation: (m, m) of the inputs; without it they are independent of one another.
        step: how far first order moves an input to either side, in its u. A whole u sees the
            function as the doubt does; a small one finds its derivative.

    Returns:
        The distribution of the outputs.

    Raises:
        ValueError: not a correlation matrix, or one of inputs that aren't normal with u known.

    Source: JCGM 101:2008, 5-7 (draws, symmetric interval), 6.4.8 (correlated normal inputs);
    JCGM 100:2008, 5.1 and 5.2 (first order), G.4.1 (Welch-Satterthwaite).
    """
    best = np.array([i.value for i in inputs])
    u = np.array([i.u for i in inputs])
    rng = np.random.default_rng(seed)
    standard = np.stack([i.standard(rng, draws) for i in inputs], axis=1)
    together = np.eye(len(inputs))
    if correlation is not None:
        together = correlation
        standard = standard @ _root(correlation, inputs)
    outputs = function(best + u * standard)
    aside = np.diag(step * u)
    moved = function(np.concatenate([best + aside, best - aside]))
    half = (moved[: len(inputs)] - moved[len(inputs) :]) / (2 * step)
    covariance = half.T @ together @ half
    # Differences of fully correlated inputs leave a rounding error where nothing is left.
    u_first_order = np.sqrt(np.maximum(np.diag(covariance), 0))
    causes = tuple(dict.fromkeys(i.cause for i in inputs))
    member = np.array([[i.cause == cause for i in inputs] for cause in causes], dtype=float)
    tail = (1 - COVERAGE) / 2
    return Propagated(
        value=function(best[None])[0],
        mean=outputs.mean(axis=0),
        u=outputs.std(axis=0, ddof=1),
        low=np.quantile(outputs, tail, axis=0),
        high=np.quantile(outputs, 1 - tail, axis=0),
        covariance=np.atleast_2d(np.cov(outputs, rowvar=False)),
        u_first_order=u_first_order,
        covariance_first_order=covariance,
        degrees=_effective_degrees(half, u_first_order, inputs),
        variances=(member @ (half * (together @ half))).T,
        causes=causes,
        draws=outputs,
    )


def _root(correlation: FloatArray, inputs: Sequence[Input]) -> FloatArray:
    """Symmetric square root (m, m): unlike a triangle, it also exists for full correlation."""
    others = np.array([i.distribution != "normal" or np.isfinite(i.degrees) for i in inputs])
    if np.any((correlation - np.eye(len(inputs)))[others]):
        raise ValueError("only normal inputs with infinite degrees of freedom may be correlated")
    sizes, axes = np.linalg.eigh(correlation)
    symmetric = np.allclose(correlation, correlation.T, rtol=0, atol=_ROUNDING)
    unit = np.allclose(np.diag(correlation), 1, rtol=0, atol=_ROUNDING)
    if not (symmetric and unit and sizes.min() >= -_ROUNDING):
        raise ValueError("not a correlation matrix")
    return np.asarray((axes * np.sqrt(np.maximum(sizes, 0))) @ axes.T, dtype=np.float64)


def _effective_degrees(half: FloatArray, u: FloatArray, inputs: Sequence[Input]) -> FloatArray:
    """Welch-Satterthwaite (k), of contributions (m, k) to u (k)."""
    doubt = (1 / np.array([i.degrees for i in inputs])) @ half**4
    return np.divide(u**4, doubt, out=np.full_like(u, np.inf), where=doubt > 0)
