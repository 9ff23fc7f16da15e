"""Perimeter of an ellipse, exact: the plainest girth that a breadth and a depth can have."""

import numpy as np
from numpy.typing import NDArray
from scipy.special import ellipe

FloatArray = NDArray[np.float64]


def ellipse_perimeter(breadth: FloatArray, depth: FloatArray) -> FloatArray:
    """Perimeter of an ellipse with these axes.

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
