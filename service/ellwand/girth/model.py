"""Girth of a level from the breadths and depths that two photos show.

The coefficients lie in `model.json`, written by `calibration/fit.py`; what they were fitted on and
how well they hold stands in calibration/README.md.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import ellipe

from ellwand.measurements import LEVELS, LevelCode

FloatArray = NDArray[np.float64]

MODEL_VERSION = 1

EdgeKind = Literal["side_of_body", "back", "front"]
EDGE_KINDS: tuple[EdgeKind, ...] = ("side_of_body", "back", "front")


def ellipse_perimeter(breadth: FloatArray, depth: FloatArray) -> FloatArray:
    """Perimeter of an ellipse with these axes, exact.

    Args:
        breadth: one whole axis.
        depth: the other.

    Source: complete elliptic integral of the second kind, P = 4 a E(1 - b^2/a^2).

    >>> round(float(ellipse_perimeter(np.array(300.0), np.array(200.0))), 4)
    793.272
    """
    a = np.maximum(breadth, depth) / 2
    b = np.minimum(breadth, depth) / 2
    perimeter: FloatArray = 4 * a * ellipe(1 - (b / a) ** 2)
    return perimeter


@dataclass(frozen=True)
class Obliquity:
    """How far out an edge looks along a line of sight that is not square to the section.

    In units of the section's extent along the line of sight, for a slope t:
    signed * t + lobes * |t| + bend * t^2 (calibration/obliquity.py).

    Args:
        signed: the widest place lies in front of the middle.
        lobes: there are two widest places, side by side.
        bend: the section is round.
        sd: residual standard deviation per unit of slope.
    """

    signed: float
    lobes: float
    bend: float
    sd: float

    def farther(self, slope: FloatArray, standard: FloatArray) -> FloatArray:
        """How much farther out the edge looks than it is, over the extent along the sight.

        Args:
            slope: (n) of the lines of sight, outward per length towards the camera.
            standard: (n) standardised residual.

        Returns:
            (n).
        """
        steep = np.abs(slope)
        added: FloatArray = (
            self.signed * slope + (self.lobes + self.sd * standard) * steep + self.bend * slope**2
        )
        return added


@dataclass(frozen=True)
class Relation:
    """Girth of a level as a linear function of what the photos show.

    Args:
        features: names: "breadth", "depth" and "ellipse" (perimeter) of the level itself, the same
            of another level as in "full_bust.breadth", and "stature".
        coefficients: one per feature.
        intercept: mm.
        section_sd_mm: residual standard deviation on sections of the body model.
        survey_sd_mm: of the same kind of relation on measured women, None where the survey has no
            such level.
    """

    features: tuple[str, ...]
    coefficients: tuple[float, ...]
    intercept: float
    section_sd_mm: float
    survey_sd_mm: float | None

    @property
    def sd_mm(self) -> float:
        """Residual to count with: never less than measured women have shown."""
        return max(self.section_sd_mm, self.survey_sd_mm or 0.0)


@dataclass(frozen=True, eq=False)
class GirthModel:
    """Relations of all levels.

    Args:
        relations: by level.
        correlation: (6, 6) of the residuals, in the order of `LEVELS`.
        obliquity: by level and kind of edge.
        ranges: lowest and highest value of a feature among the bodies that the model was made
            from.
    """

    relations: Mapping[LevelCode, Relation]
    correlation: FloatArray
    obliquity: Mapping[LevelCode, Mapping[EdgeKind, Obliquity]]
    ranges: Mapping[str, tuple[float, float]]

    def girth(self, code: LevelCode, widths: Mapping[str, FloatArray]) -> FloatArray:
        """Girth of a level.

        Args:
            code: the level.
            widths: (n) each: "stature", and breadths and depths as in "waist.depth".

        Returns:
            (n) mm.
        """
        relation = self.relations[code]
        girth = np.full_like(widths["stature"], relation.intercept)
        for name, coefficient in zip(relation.features, relation.coefficients, strict=True):
            girth = girth + coefficient * _feature(name, code, widths)
        return girth

    def outside(self, widths: Mapping[str, float]) -> tuple[str, ...]:
        """Names of values that lie outside what the model stands for.

        Args:
            widths: as for `girth`, one value each.
        """
        return tuple(
            name
            for name, (low, high) in self.ranges.items()
            if name in widths and not low <= widths[name] <= high
        )


def _feature(name: str, code: LevelCode, widths: Mapping[str, FloatArray]) -> FloatArray:
    if name == "stature":
        return widths[name]
    level, _, kind = name.rpartition(".")
    level = level or code
    if kind == "ellipse":
        return ellipse_perimeter(widths[f"{level}.breadth"], widths[f"{level}.depth"])
    return widths[f"{level}.{kind}"]


@lru_cache(maxsize=1)
def load_model() -> GirthModel:
    """The model of this version of ellwand.

    Raises:
        ValueError: the file is of another version.
    """
    text = files("ellwand.girth").joinpath("model.json").read_text(encoding="utf-8")
    data: dict[str, Any] = json.loads(text)
    if data["version"] != MODEL_VERSION:
        raise ValueError(f"girth model of version {data['version']}")
    correlation = np.array(data["residual_correlation"], dtype=np.float64)
    correlation.flags.writeable = False
    return GirthModel(
        relations={
            code: Relation(
                tuple(level["features"]),
                tuple(level["coefficients"]),
                level["intercept"],
                level["section_sd_mm"],
                level["survey_sd_mm"],
            )
            for code, level in data["levels"].items()
        },
        correlation=correlation,
        obliquity={
            code: {kind: Obliquity(**data["obliquity"][code][kind]) for kind in EDGE_KINDS}
            for code in LEVELS
        },
        ranges={name: (low, high) for name, (low, high) in data["population"]["ranges"].items()},
    )
