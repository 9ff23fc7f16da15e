"""Linear regression with few terms, judged by cross-validation."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.optimize import minimize_scalar

Floats = npt.NDArray[np.float64]

FOLDS = 5
_SEED = 7


@dataclass(frozen=True, eq=False)
class JointFit:
    """Several values as linear functions of the same terms, with what is left over together.

    Every held residual is of a row that its fold's fit has not seen; so are the deviations and
    the covariance that it is judged by.

    Args:
        features: (k,) names of the terms.
        coefficients: (k, m) one column per value.
        intercept: (m,) constant terms.
        covariance: (m, m) of the residuals, with the degrees of freedom that the terms use.
        held: (n, m) cross-validated residuals, true minus predicted.
        held_sd: (n, m) standard deviation that the fold's fit claims for them.
        held_given_others: (n, m) residuals once the other values of the row are known.
        held_given_others_sd: (n, m) standard deviation claimed for those.
    """

    features: tuple[str, ...]
    coefficients: Floats
    intercept: Floats
    covariance: Floats
    held: Floats
    held_sd: Floats
    held_given_others: Floats
    held_given_others_sd: Floats


def _solve(design: Floats, value: Floats) -> Floats:
    return np.asarray(np.linalg.lstsq(design, value, rcond=None)[0])


def _folds(count: int) -> npt.NDArray[np.int64]:
    return np.asarray(np.random.default_rng(_SEED).permutation(count) % FOLDS)


def _leftover(design: Floats, values: Floats, solved: Floats) -> Floats:
    residuals = values - design @ solved
    return np.asarray(residuals.T @ residuals / (len(design) - design.shape[1]))


def _given_others(residuals: Floats, covariance: Floats) -> tuple[Floats, Floats]:
    """Give residuals and their deviations once all other values of the same row are known.

    Source: conditional normal distribution, by the inverse covariance P: the mean of value i is
    moved to e_i - (P e)_i / P_ii, the variance left is 1 / P_ii.
    """
    precision = np.linalg.inv(covariance)
    own = np.diag(precision)
    return residuals @ precision / own, np.broadcast_to(1.0 / np.sqrt(own), residuals.shape)


def regress_jointly(
    values: Floats, given: Mapping[str, Floats], features: Sequence[str]
) -> JointFit:
    """Fit several values on the same terms.

    Args:
        values: (n, m) what is to be predicted.
        given: feature name to (n,) values.
        features: the names to use.
    """
    design = np.column_stack([np.ones(len(values)), *(given[name] for name in features)])
    fold = _folds(len(values))
    held, held_sd, tied, tied_sd = (np.empty(values.shape) for _ in range(4))
    for k in range(FOLDS):
        out, used = fold == k, fold != k
        solved = _solve(design[used], values[used])
        covariance = _leftover(design[used], values[used], solved)
        held[out] = values[out] - design[out] @ solved
        held_sd[out] = np.sqrt(np.diag(covariance))
        tied[out], tied_sd[out] = _given_others(held[out], covariance)
    solved = _solve(design, values)
    return JointFit(
        features=tuple(features),
        coefficients=solved[1:],
        intercept=solved[0],
        covariance=_leftover(design, values, solved),
        held=held,
        held_sd=held_sd,
        held_given_others=tied,
        held_given_others_sd=tied_sd,
    )


def growth_power(residuals: Floats, size: Floats) -> float:
    """Give the power p, by greatest likelihood, with which a deviation grows as exp(p * size).

    Args:
        residuals: (n,) normal, with mean 0.
        size: (n,) logarithm of what they may grow with.
    """

    def unlikeliness(power: float) -> float:
        spread = np.mean(residuals**2 * np.exp(-2.0 * power * size))
        return float(power * size.mean() + 0.5 * np.log(spread))

    return float(minimize_scalar(unlikeliness, bounds=(-4.0, 4.0), method="bounded").x)


def ratios_with_growth(held: Floats, size: Floats) -> Floats:
    """Give held residuals over a deviation that grows with size, the growth found on other folds.

    Args:
        held: (n,) cross-validated residuals.
        size: (n,) logarithm of what the deviation may grow with.
    """
    fold = _folds(len(held))
    ratios = np.empty(len(held))
    for k in range(FOLDS):
        out, used = fold == k, fold != k
        power = growth_power(held[used], size[used])
        level = np.sqrt(np.mean((held[used] * np.exp(-power * size[used])) ** 2))
        ratios[out] = held[out] * np.exp(-power * size[out]) / level
    return ratios


# Length in standard deviations of the terms, and size of what bends, to choose from; judged.
_SMOOTH = tuple((length, size) for length in (4.0, 8.0) for size in (0.1, 0.3, 1.0))


def _bending(left: Floats, right: Floats, length: float, size: float) -> Floats:
    """Give the kernel of a plane plus a smooth bend, (a, b) for (a, k) and (b, k) terms."""
    along = left @ right.T
    apart = (left**2).sum(axis=1)[:, None] + (right**2).sum(axis=1) - 2.0 * along
    return np.asarray(1.0 + along + size**2 * np.exp(-0.5 * apart / length**2))


def _smooth_fit(used: Floats, values: Floats, out: Floats, length: float, size: float) -> Floats:
    design = np.column_stack([np.ones(len(used)), used])
    noise = _leftover(design, values, _solve(design, values))[0, 0]
    kernel = _bending(used, used, length, size) + noise * np.eye(len(used))
    return np.asarray(_bending(out, used, length, size) @ np.linalg.solve(kernel, values))


def smooth_residuals(value: Floats, terms: Floats) -> Floats:
    """Give cross-validated residuals of the best smooth function of the terms.

    A Gaussian process, a plane plus a bend; the bend's length and size are chosen on a fifth of
    the rows that the fold may use. What it does not reach, no smooth function of these terms does.

    Args:
        value: (n,) what is to be predicted.
        terms: (n, k) what it may depend on.

    Returns:
        (n,) true minus predicted.
    """
    scaled = (terms - terms.mean(axis=0)) / terms.std(axis=0)
    values = ((value - value.mean()) / value.std())[:, None]
    fold = _folds(len(value))
    residuals = np.empty(len(value))
    for k in range(FOLDS):
        out = fold == k
        tried = fold == (k + 1) % FOLDS
        used = ~out & ~tried
        missed = [
            values[tried] - _smooth_fit(scaled[used], values[used], scaled[tried], *shape)
            for shape in _SMOOTH
        ]
        best = _SMOOTH[int(np.argmin([float(np.mean(off**2)) for off in missed]))]
        predicted = _smooth_fit(scaled[~out], values[~out], scaled[out], *best)
        residuals[out] = (values[out] - predicted)[:, 0]
    return np.asarray(residuals * value.std())
