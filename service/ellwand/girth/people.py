"""Height and girths of women nobody has photographed, as one joint normal distribution.

The same people as `girth.model.Prior`, in plain floats, so that reading the tape in needs no
library of arrays. Lengths of people are lopsided: their logarithms are normal. `Stretch` turns a
logarithm into millimetres that are true at a centre, so that what is known of millimetres holds.
"""

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

from ellwand.girth.joint import Joint, conditioned
from ellwand.measurements import LEVELS

STATURE = "stature"
_MASS = "mass"
# Adult women: mean 1615 mm, sd 71 mm. Source: NHANES 2015-2016, women of 20 and over.
STATURE_MEAN_MM = 1615.0
STATURE_LOG_SD = 71.0 / 1615.0


@dataclass(frozen=True)
class Stretch:
    """A scale on which a length's logarithm is measured in millimetres.

    x = centre (1 + log(mm / centre)): at the centre both are the same, and so is a small step.

    Args:
        centre_mm: where the scale is true.
    """

    centre_mm: float

    def of(self, mm: float) -> float:
        """The stretched length of a length above 0.

        >>> round(Stretch(1000.0).of(1010.0), 2)
        1009.95
        """
        return self.centre_mm * (1.0 + math.log(mm / self.centre_mm))

    def back(self, x_mm: float) -> float:
        """The length of a stretched length."""
        return self.centre_mm * math.exp(x_mm / self.centre_mm - 1.0)

    def slope(self, mm: float) -> float:
        """How much the stretched length grows with the length, at a length."""
        return self.centre_mm / mm


@dataclass(frozen=True)
class People:
    """Height and girths of adult women.

    Args:
        joint: of the stature and the six girths, each on its stretched scale.
        scales: by code of `joint`.
    """

    joint: Joint
    scales: Mapping[str, Stretch]


def people(mass_kg: float | None = None) -> People:
    """Height and girths of adult women, or of those of one weight.

    Args:
        mass_kg: her weight, if she told it.

    Returns:
        Their joint distribution.

    Source: `girth/model.json` for girths by stature and weight and for weights by stature.
    """
    prior = _prior()
    names = (_MASS, STATURE, *LEVELS)
    # Each logarithm as a sum of independent parts: stature, weight beyond that, girths beyond both.
    stature = [0.0, 1.0, *prior["per_log_stature"]]
    mass = [1.0, 0.0, *prior["per_log_mass"]]
    with_stature = [
        s + m * prior["mass_per_log_stature"] for s, m in zip(stature, mass, strict=True)
    ]
    taller = math.log(STATURE_MEAN_MM / prior["at_stature_mm"])
    mean_mass = prior["mass_log_mean"] + prior["mass_per_log_stature"] * taller
    heavier = mean_mass - math.log(prior["at_mass_kg"])
    base = [mean_mass, math.log(STATURE_MEAN_MM), *prior["log_mean"]]
    shift = [0.0, 0.0] + [
        s * taller + m * heavier for s, m in zip(stature[2:], mass[2:], strict=True)
    ]
    centres = [math.exp(b + move) for b, move in zip(base, shift, strict=True)]
    rows = []
    for i in range(len(names)):
        row = []
        for j in range(len(names)):
            covariance = with_stature[i] * with_stature[j] * STATURE_LOG_SD**2
            covariance += mass[i] * mass[j] * prior["mass_log_sd"] ** 2
            if i > 1 and j > 1:
                covariance += prior["log_covariance"][i - 2][j - 2]
            row.append(covariance * centres[i] * centres[j])
        rows.append(tuple(row))
    joint = Joint(names, tuple(centres), tuple(rows))
    scales = {name: Stretch(centre) for name, centre in zip(names, centres, strict=True)}
    if mass_kg is not None:
        joint = conditioned(joint, {_MASS: (scales[_MASS].of(mass_kg), 0.0)})
    return People(part_of(joint, (STATURE, *LEVELS)), scales)


def part_of(joint: Joint, codes: Sequence[str]) -> Joint:
    """The joint distribution of some of the girths."""
    at = [joint.codes.index(code) for code in codes]
    return Joint(
        tuple(codes),
        tuple(joint.mean_mm[i] for i in at),
        tuple(tuple(joint.covariance_mm2[i][j] for j in at) for i in at),
    )


@lru_cache(maxsize=1)
def _prior() -> dict[str, Any]:
    text = files("ellwand.girth").joinpath("model.json").read_text(encoding="utf-8")
    prior: dict[str, Any] = json.loads(text)["prior"]
    return prior
