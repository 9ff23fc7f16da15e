"""All six girths at once, from what is known of people and what the outlines show.

People say how girths go together (prior), sections of bodies say what outlines of a body with given
girths look like (likelihood), and what can be off in the photos widens the likelihood. A poor
photo so falls back towards people, a good one is driven by the outline.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve
from scipy.stats import f as variance_ratio

from ellwand.geometry.sighting import View
from ellwand.girth.budget import Input, Propagated, propagate
from ellwand.girth.model import WIDTHS, GirthModel, Likelihood
from ellwand.girth.shape import Shape
from ellwand.language import gettext_noop
from ellwand.measurements import KINDS, LEVELS, PEOPLE, LevelCode

FloatArray = NDArray[np.float64]

# Quiet breathing and posture move the trunk's girths (judged; full breaths: 40-48 mm at the chest,
# Derasse et al. 2021, Respir Care 66:661), and close underwear adds to them (judged).
BREATHING_U_MM: dict[LevelCode, float] = {
    "high_bust": 5.0, "full_bust": 5.0, "underbust": 5.0,
    "waist": 6.0, "high_hip": 4.0, "full_hip": 3.0,
}  # fmt: skip
CLOTHING_U_MM = 2.0
BREATHING = gettext_noop("breathing and posture")
CLOTHING = gettext_noop("clothing")
OUTLINE = gettext_noop("girth from the outline")
POPULATION = gettext_noop("girths of women in general")

# From where a width is seen.
WIDTH_VIEWS: dict[str, View] = {"breadth": "front", "depth": "side"}

# An outline that fewer than one in a hundred of the model's bodies have is outside what the model
# stands for, and so is a girth or height beyond all of them; there the residual is taken to be at
# least half as large again (judged).
_RARE = 0.01
_OUTSIDE = 1.5
_ROUNDS = 6
# Residuals are not taken smaller than those of a body of half the mean size.
_SMALLEST = 0.5


@dataclass(frozen=True, eq=False)
class Inferred:
    """Girths with doubt.

    Args:
        found: distribution of the six girths in the order of `LEVELS`.
        widths_mm: (11,) breadths and depths in the order of `model.WIDTHS`.
        outside: in plain words, what lies outside what the model stands for.
    """

    found: Propagated
    widths_mm: FloatArray
    outside: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class _Given:
    """What goes into the update.

    Args:
        likelihood: of outlines.
        innovation: (f,) features less what they are at no girth and her stature.
        doubt: (f, f) covariance of what can be off in the photos.
        log_mean, log_covariance: prior of the logarithms of the girths.
    """

    likelihood: Likelihood
    innovation: FloatArray
    doubt: FloatArray
    log_mean: FloatArray
    log_covariance: FloatArray


@dataclass(frozen=True, eq=False)
class _Update:
    """The linear update at the most likely girths.

    Args:
        girths: (6,) mm.
        gain: (6, f) of the features.
        prior_gain: (6, 6) of the logarithms of the girths.
        residual: (f, f) covariance of what girths do not tell of the features.
        surprise: sum of squares of what the girths leave of the features, in their own doubt.
    """

    girths: FloatArray
    gain: FloatArray
    prior_gain: FloatArray
    residual: FloatArray
    surprise: float


def infer(shape: Shape, model: GirthModel, mass_kg: float | None, living: bool) -> Inferred:
    """Estimate all girths of a woman.

    Args:
        shape: what the outlines show.
        model: what is known beforehand.
        mass_kg: her weight, if told.
        living: see `posterior.work_out`.
    """
    likelihood = model.likelihood
    read = propagate(shape, shape.inputs, draws=2)
    seen, stature = read.value[:-1], float(read.value[-1])
    # The stature's own doubt moves what is expected of the outline.
    lift = np.eye(len(seen), len(seen) + 1)
    lift[:, -1] = -likelihood.per_stature
    given = _Given(
        likelihood,
        lift @ read.value - likelihood.offset,
        lift @ read.covariance_first_order @ lift.T,
        *model.prior.given(stature, mass_kg),
    )
    best = _update(given, model, 1.0)
    free = len(seen) - len(LEVELS)
    outside = _outside(best, model, stature, _rare(free, likelihood.degrees))
    wider = _wider(best.surprise, free, likelihood.degrees)
    best = _update(given, model, max(wider, _OUTSIDE) if outside else wider)
    tried = likelihood.tried(shape.levels["waist"].shown)
    causes, rows = _residuals(given, model, best, tried.spread, living)
    # The gain is that of what was found, so that a line at the same place gives the same girths
    # however surely a hand has placed it; only what it is then unsure of differs.
    found_u = {code: u for code, (_, u) in tried.heights.items()}
    photos, hand = shape.inputs_of_photos(), shape.inputs_of_hand(found_u)

    def girths(inputs: FloatArray) -> FloatArray:
        seen, rest, by_hand = np.split(inputs, [len(photos), len(photos) + len(causes)], axis=1)
        moved = (shape(np.concatenate([seen, by_hand], axis=1)) - read.value) @ (best.gain @ lift).T
        out: FloatArray = best.girths + moved + rest @ rows
        return out

    # The hand's come last, so that all others are drawn alike with and without them.
    found = propagate(girths, [*photos, *causes, *hand])
    return Inferred(found, _widths_mm(shape, model), outside)


def _widths_mm(shape: Shape, model: GirthModel) -> FloatArray:
    """Breadths and depths: as the outlines show them, and moved with the ends that a hand moved."""
    traced = shape.without_bends()
    seen = traced(np.array([[entry.value for entry in traced.inputs]]))[0]
    widths: FloatArray = model.widths @ np.concatenate([[1.0], seen])
    return widths + [shape.widened_mm(code, WIDTH_VIEWS[kind]) for code, kind in WIDTHS]


def _wider(surprise: float, free: int, degrees: float) -> float:
    """How much larger the residual of this outline is than usual, as a factor of its deviation.

    A t distribution is a normal one whose variance differs from body to body, as an inverse gamma
    distribution with mean 1. What an outline is off tells of its own variance; this is the mean
    of what is then known of it.

    Args:
        surprise: sum of squares of what the girths leave of the features, in their usual doubt.
        free: how many features are not needed to find the girths.
        degrees: of the t distribution.

    Source: Gelman et al., Bayesian Data Analysis, 3rd ed., 2.6 and 17.2 (from memory).
    """
    return float(np.sqrt((degrees - 2 + surprise) / (degrees - 2 + free)))


def _rare(free: int, degrees: float) -> float:
    """Surprise that only the share `_RARE` of the model's bodies exceeds."""
    return float(free * (1 - 2 / degrees) * variance_ratio.isf(_RARE, free, degrees))


def _residuals(
    given: _Given, model: GirthModel, best: _Update, spread: FloatArray, living: bool
) -> tuple[list[Input], FloatArray]:
    """What no photo shows: inputs of unit deviation, and (inputs, 6) what each does to girths."""
    outline = _root(best.gain @ best.residual @ best.gain.T)
    population = _root(best.prior_gain @ given.log_covariance @ best.prior_gain.T)
    others = {OUTLINE: outline * spread, POPULATION: population}
    if living:
        others |= _of_the_living(model)
    inputs = [Input(cause, 0.0, 1.0) for cause, rows in others.items() for _ in rows]
    return inputs, np.concatenate(list(others.values()))


def _of_the_living(model: GirthModel) -> dict[str, FloatArray]:
    """By cause: (k, 6) what k unit errors, one a row, do to the girths of women."""
    return {
        BREATHING: np.diag([BREATHING_U_MM[code] for code in LEVELS]),
        PEOPLE: np.diag(model.people_sd_mm),
        CLOTHING: np.full((1, len(LEVELS)), CLOTHING_U_MM),
    }


def _update(given: _Given, model: GirthModel, wider: float) -> _Update:
    """Most likely girths, by Gauss-Newton steps from the prior's middle.

    Args:
        given: what goes in.
        model: for how residuals grow with the size.
        wider: factor of the residuals' deviations.

    Source: Bayesian linear regression, with the prior on the logarithm; the precisions of both are
    added (inverse variance weighting in six dimensions).
    """
    likelihood = given.likelihood
    girths: FloatArray = np.exp(given.log_mean)
    precision = np.linalg.inv(given.log_covariance)
    for _ in range(_ROUNDS):
        size = max(float(girths.mean()) / model.mean_size_mm, _SMALLEST)
        residual = likelihood.covariance * (wider * size**model.growth) ** 2
        factor = cho_factor(residual + given.doubt)
        weighed = cho_solve(factor, likelihood.per_girth).T
        # A change of the logarithm is a change of the girth over the girth.
        logs = np.diag(1 / girths) @ precision
        left = given.innovation - likelihood.per_girth @ girths
        step = weighed @ left + logs @ (given.log_mean - np.log(girths))
        hessian = weighed @ likelihood.per_girth + logs @ np.diag(1 / girths)
        solved = np.linalg.solve(hessian, np.column_stack([step, weighed, logs]))
        girths = np.asarray(np.maximum(girths + solved[:, 0], girths / 2), dtype=np.float64)
    features = len(given.innovation)
    left = given.innovation - likelihood.per_girth @ girths
    return _Update(
        girths,
        gain=solved[:, 1 : 1 + features],
        prior_gain=solved[:, 1 + features :],
        residual=residual,
        surprise=float(left @ cho_solve(factor, left)),
    )


def _root(covariance: FloatArray) -> FloatArray:
    """Rows that square to a covariance; the k-th output takes from the first k of them."""
    tiny = 1e-9 * float(np.trace(covariance)) * np.eye(len(covariance))
    return np.asarray(np.linalg.cholesky(covariance + tiny).T, dtype=np.float64)


def _outside(best: _Update, model: GirthModel, stature: float, limit: float) -> tuple[str, ...]:
    """Plain words for what lies outside what the model stands for."""
    ranges: Sequence[tuple[str, float, tuple[float, float]]] = [
        (KINDS["stature"].name, stature, model.stature_mm),
        *(
            (KINDS[code].name, float(girth), model.girths_mm[code])
            for code, girth in zip(LEVELS, best.girths, strict=True)
        ),
    ]
    names = [name for name, value, (low, high) in ranges if not low <= value <= high]
    if best.surprise > limit:
        names.append(gettext_noop("shape of the outline"))
    return tuple(names)
