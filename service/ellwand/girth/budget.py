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


@dataclass(frozen=True)
class Input:
    """One input quantity.

    Args:
        cause: its name in the budget; several inputs may share one.
        value: best value.
        u: standard uncertainty.
        distribution: "normal" or "rectangular".
    """

    cause: str
    value: float
    u: float
    distribution: Literal["normal", "rectangular"] = "normal"


@dataclass(frozen=True, eq=False)
class Propagated:
    """Distribution of k outputs.

    Args:
        value: (k) outputs at the inputs' best values.
        mean: (k) mean of the draws.
        u: (k) standard deviation of the draws.
        low: (k) lower end of the probabilistically symmetric 95 % interval.
        high: (k) upper end.
        u_first_order: (k) by the law of propagation, inputs independent.
        variances: (k, causes) first-order variance by cause.
        causes: names of the columns of `variances`.
    """

    value: FloatArray
    mean: FloatArray
    u: FloatArray
    low: FloatArray
    high: FloatArray
    u_first_order: FloatArray
    variances: FloatArray
    causes: tuple[str, ...]

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
) -> Propagated:
    """Propagate the inputs' distributions through a function.

    Args:
        function: maps inputs (n, m) to outputs (n, k).
        inputs: the m inputs, independent of one another.
        draws: how many draws.
        seed: of the random numbers.

    Returns:
        The distribution of the outputs.

    Source: JCGM 101:2008, 5-7 (draws, symmetric interval); JCGM 100:2008, 5.1 (first order).
    """
    best = np.array([i.value for i in inputs])
    u = np.array([i.u for i in inputs])
    rng = np.random.default_rng(seed)
    standard = np.empty((draws, len(inputs)))
    for column, quantity in enumerate(inputs):
        standard[:, column] = (
            rng.normal(size=draws)
            if quantity.distribution == "normal"
            else rng.uniform(-np.sqrt(3), np.sqrt(3), draws)
        )
    outputs = function(best + u * standard)
    moved = function(np.concatenate([best + np.diag(u), best - np.diag(u)]))
    half = (moved[: len(inputs)] - moved[len(inputs) :]) / 2
    causes = tuple(dict.fromkeys(i.cause for i in inputs))
    member = np.array([[i.cause == cause for i in inputs] for cause in causes], dtype=float)
    variances = (member @ half**2).T
    tail = (1 - COVERAGE) / 2
    return Propagated(
        value=function(best[None])[0],
        mean=outputs.mean(axis=0),
        u=outputs.std(axis=0, ddof=1),
        low=np.quantile(outputs, tail, axis=0),
        high=np.quantile(outputs, 1 - tail, axis=0),
        u_first_order=np.sqrt(variances.sum(axis=1)),
        variances=variances,
        causes=causes,
    )
