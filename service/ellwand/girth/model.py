"""What is known of girths and outlines before any photo: how they go together, and in whom.

The numbers lie in `model.json`, written by `calibration/fit.py`; what they were fitted on and how
well they hold stands in calibration/report.md.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ellwand.geometry.obliquity import EdgeKind, Obliquity
from ellwand.girth.shape import feature_names
from ellwand.measurements import LEVELS, LevelCode

FloatArray = NDArray[np.float64]

MODEL_VERSION = 4
# Breadths and depths that are given beside the girths; there is no breadth at the high bust.
WIDTHS: tuple[tuple[LevelCode, str], ...] = tuple(
    (code, kind)
    for code in LEVELS
    for kind in ("breadth", "depth")
    if (code, kind) != ("high_bust", "breadth")
)


@dataclass(frozen=True, eq=False)
class Tried:
    """How surely girths and heights follow, as trying the model on bodies showed.

    Args:
        spread: (6,) how much larger the deviation that an outline leaves each girth is than the
            covariance of the features says.
        heights: by level: how far it lies over where the outline shows it, and sd, mm.
    """

    spread: FloatArray
    heights: Mapping[LevelCode, tuple[float, float]]


@dataclass(frozen=True, eq=False)
class Likelihood:
    """What the outlines show of a body with given girths, from sections of bodies.

    features = offset + girths @ per_girth.T + stature * per_stature + residual

    Args:
        offset: (f,) mm.
        per_girth: (f, 6).
        per_stature: (f,).
        covariance: (f, f) of the residual at the mean size, mm^2.
        degrees: of freedom of the t distribution that the residual has: bodies that follow these
            relations closely or loosely do so in all features at once.
        waist_shown, waist_held_down: where the outline shows a waist of its own, and where the bust
            holds it down, so that it hangs on where the fold is seen.
    """

    offset: FloatArray
    per_girth: FloatArray
    per_stature: FloatArray
    covariance: FloatArray
    degrees: float
    waist_shown: Tried
    waist_held_down: Tried

    def tried(self, waist_shown: bool) -> Tried:
        """What holds for a body whose waist is shown, or held down."""
        return self.waist_shown if waist_shown else self.waist_held_down


@dataclass(frozen=True, eq=False)
class Prior:
    """Girths of women, on the logarithm, from people who were measured.

    Args:
        at_stature_mm, at_mass_kg: where `log_mean` holds.
        log_mean: (6,) of girths in mm.
        per_log_stature, per_log_mass: (6,).
        log_covariance: (6, 6) of what stature and mass do not tell.
        mass_log_mean, mass_per_log_stature, mass_log_sd: weights of adult women by stature.
    """

    at_stature_mm: float
    at_mass_kg: float
    log_mean: FloatArray
    per_log_stature: FloatArray
    per_log_mass: FloatArray
    log_covariance: FloatArray
    mass_log_mean: float
    mass_per_log_stature: float
    mass_log_sd: float

    def given(self, stature_mm: float, mass_kg: float | None) -> tuple[FloatArray, FloatArray]:
        """Mean (6,) and covariance (6, 6) of the logarithms of the girths.

        Args:
            stature_mm: her height.
            mass_kg: her weight; without it, that of all adult women of her height counts.
        """
        taller = np.log(stature_mm / self.at_stature_mm)
        covariance = self.log_covariance
        if mass_kg is None:
            log_mass = self.mass_log_mean + self.mass_per_log_stature * taller
            covariance = covariance + self.mass_log_sd**2 * np.outer(
                self.per_log_mass, self.per_log_mass
            )
        else:
            log_mass = np.log(mass_kg)
        heavier = log_mass - np.log(self.at_mass_kg)
        mean = self.log_mean + self.per_log_stature * taller + self.per_log_mass * heavier
        return mean, covariance


@dataclass(frozen=True, eq=False)
class GirthModel:
    """Everything that was fitted.

    Args:
        likelihood: outlines given girths.
        growth: residuals grow as this power of the size.
        mean_size_mm: size, the mean of the six girths, at which the covariances hold.
        prior: girths of people.
        widths: (11, f + 2) constant, coefficients of the features, and of the stature, of the
            breadths and depths in the order of `WIDTHS`.
        people_sd_mm: (6,) how much farther measured women are from such relations than bodies.
        girths_mm: by level: least and greatest girth among the bodies.
        stature_mm: likewise.
        obliquity: what slanting lines of sight do.
    """

    likelihood: Likelihood
    growth: float
    mean_size_mm: float
    prior: Prior
    widths: FloatArray
    people_sd_mm: FloatArray
    girths_mm: Mapping[LevelCode, tuple[float, float]]
    stature_mm: tuple[float, float]
    obliquity: Obliquity


def _fixed(values: Any) -> FloatArray:
    array = np.array(values, dtype=np.float64)
    array.flags.writeable = False
    return array


def _likelihood(block: Mapping[str, Any]) -> Likelihood:
    """A likelihood from the file, which holds the lower triangle of the covariance's root."""
    count = len(block["offset"])
    root = np.zeros((count, count))
    root[np.tril_indices(count)] = block["covariance_root"]
    return Likelihood(
        _fixed(block["offset"]),
        _fixed(block["per_girth"]),
        _fixed(block["per_stature"]),
        _fixed(root @ root.T),
        block["degrees"],
        _tried(block["waist_shown"]),
        _tried(block["waist_held_down"]),
    )


def _tried(block: Mapping[str, Any]) -> Tried:
    heights = {code: (over, sd) for code, (over, sd) in block["heights"].items()}
    return Tried(_fixed(block["spread"]), heights)


@lru_cache(maxsize=1)
def load_model() -> GirthModel:
    """The model of this version of ellwand.

    Raises:
        ValueError: the file is of another version or of other features.
    """
    text = files("ellwand.girth").joinpath("model.json").read_text(encoding="utf-8")
    data: dict[str, Any] = json.loads(text)
    if data["version"] != MODEL_VERSION or tuple(data["features"]) != feature_names():
        raise ValueError(f"girth model of version {data['version']}")
    return model_of(data)


def model_of(data: Mapping[str, Any]) -> GirthModel:
    """The model that a file's content says.

    Args:
        data: as `calibration.fit` writes it.
    """
    prior: dict[str, Any] = {
        name: _fixed(value) if isinstance(value, list) else value
        for name, value in data["prior"].items()
    }
    return GirthModel(
        likelihood=_likelihood(data["likelihood"]),
        growth=data["growth"],
        mean_size_mm=data["mean_size_mm"],
        prior=Prior(**prior),
        widths=_fixed(data["widths"]),
        people_sd_mm=_fixed(data["people_sd_mm"]),
        girths_mm={code: (low, high) for code, (low, high) in data["girths_mm"].items()},
        stature_mm=(data["stature_mm"][0], data["stature_mm"][1]),
        obliquity=obliquity_of(data["obliquity"]),
    )


def obliquity_of(block: Mapping[str, Any]) -> Obliquity:
    """What slanting lines of sight do, from the file's part."""
    kinds: tuple[EdgeKind, ...] = ("side_of_body", "back", "front")
    return Obliquity(_fixed(block["heights"]), {kind: _fixed(block[kind]) for kind in kinds})
