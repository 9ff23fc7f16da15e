"""Linear regression with few terms, judged by cross-validation."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

FOLDS = 5
_SEED = 7
# Another term must make the cross-validated deviation smaller by this share; judged.
_WORTH = 0.06


@dataclass(frozen=True, eq=False)
class Fit:
    """A linear relation.

    Args:
        features: names of the terms.
        coefficients: one per term.
        intercept: constant term, in the unit of the value.
        sd: cross-validated standard deviation of the residuals.
        residuals: (n,) cross-validated residuals, true minus predicted.
    """

    features: tuple[str, ...]
    coefficients: tuple[float, ...]
    intercept: float
    sd: float
    residuals: Floats

    def predict(self, given: Mapping[str, Floats]) -> Floats:
        """Give the values for named features, (n,) each."""
        terms = [c * given[f] for c, f in zip(self.coefficients, self.features, strict=True)]
        return np.asarray(self.intercept + sum(terms), dtype=float)


def _solve(design: Floats, value: Floats) -> Floats:
    return np.asarray(np.linalg.lstsq(design, value, rcond=None)[0])


def _folds(count: int) -> Floats:
    return np.random.default_rng(_SEED).permutation(count) % FOLDS


def regress(value: Floats, given: Mapping[str, Floats], features: Sequence[str]) -> Fit:
    """Fit a value on chosen features.

    Args:
        value: (n,) what is to be predicted.
        given: feature name to (n,) values.
        features: the names to use.
    """
    design = np.column_stack([np.ones(len(value)), *(given[name] for name in features)])
    fold = _folds(len(value))
    residuals = np.empty(len(value))
    for k in range(FOLDS):
        held = fold == k
        residuals[held] = value[held] - design[held] @ _solve(design[~held], value[~held])
    solved = _solve(design, value)
    return Fit(
        features=tuple(features),
        coefficients=tuple(float(c) for c in solved[1:]),
        intercept=float(solved[0]),
        sd=float(np.sqrt(np.mean(residuals**2))),
        residuals=residuals,
    )


def choose(value: Floats, given: Mapping[str, Floats], candidates: Sequence[str], most: int) -> Fit:
    """Add terms one by one, each the one that helps most, until none is worth it.

    Args:
        value: (n,) what is to be predicted.
        given: feature name to (n,) values.
        candidates: names to choose from.
        most: largest number of terms.
    """
    best = regress(value, given, [])
    while len(best.features) < most:
        tries = [
            regress(value, given, [*best.features, name])
            for name in candidates
            if name not in best.features
        ]
        better = min(tries, key=lambda fit: fit.sd)
        if better.sd > (1.0 - _WORTH) * best.sd:
            break
        best = better
    return best
