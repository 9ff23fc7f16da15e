"""Girth of a level from the breadths and depths that two photos show.

The coefficients lie in `model.json`, written by `calibration/fit.py`; what they were fitted on and
how well they hold stands in calibration/README.md.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import ellipe

from ellwand.geometry.wall import VIEWS, View
from ellwand.measurements import LEVELS, LevelCode

FloatArray = NDArray[np.float64]

MODEL_VERSION = 1


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
    """How much wider a section looks along lines of sight that are not square to its width.

    Per edge, in units of the section's extent along the line of sight, for a slope t:
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

    def wider(self, slope: FloatArray, standard: FloatArray) -> FloatArray:
        """What both edges together add to the width, over the extent along the line of sight.

        Args:
            slope: (n, 2) of the lines of sight through both edges.
            standard: (n) standardised residual.

        Returns:
            (n).
        """
        steep = np.abs(slope)
        per_edge = self.signed * slope + self.lobes * steep + self.bend * slope**2
        added: FloatArray = per_edge.sum(axis=1) + self.sd * standard * steep.sum(axis=1)
        return added
