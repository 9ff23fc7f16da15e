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
