"""Arithmetic of side seams: what letting out gains, and how a French seam uses its allowance.

Source: common practice, no source.
"""

from dataclasses import dataclass

# Each side seam has two edges, and each edge is let out.
EDGES_PER_SEAM = 2
# Of the allowance, the first row of a French seam takes two fifths; half of that is trimmed off.
_FIRST_SHARE = 2 / 5
_TRIM_SHARE = 1 / 5


@dataclass(frozen=True)
class FrenchSeam:
    """How a French seam is sewn.

    Args:
        first_mm: from the edge to the first row, wrong sides together.
        trimmed_mm: to what the allowance is then trimmed.
        second_mm: from the folded edge to the second row, right sides together.
    """

    first_mm: float
    trimmed_mm: float
    second_mm: float


def french_seam(allowance_mm: float) -> FrenchSeam:
    """Divide a seam allowance for a French seam.

    Args:
        allowance_mm: of one edge.

    Returns:
        Both rows, which take up the whole allowance, and what is left of the first when trimmed.

    >>> french_seam(15.0)
    FrenchSeam(first_mm=6.0, trimmed_mm=3.0, second_mm=9.0)
    """
    first = _FIRST_SHARE * allowance_mm
    return FrenchSeam(first, _TRIM_SHARE * allowance_mm, allowance_mm - first)


def let_out_gain_mm(each_edge_mm: float, side_seams: int = 2) -> float:
    """What a garment gains when every edge of its side seams is let out by the same amount.

    Args:
        each_edge_mm: let out of each edge.
        side_seams: number of seams.

    Returns:
        Girth gained: four times the amount for two seams.
    """
    return EDGES_PER_SEAM * side_seams * each_edge_mm


def let_out_edge_mm(gain_mm: float, side_seams: int = 2) -> float:
    """What each edge must be let out by for a gain of girth.

    Args:
        gain_mm: girth to be gained.
        side_seams: number of seams.

    Returns:
        Amount for each edge: a quarter of the gain for two seams.
    """
    return gain_mm / (EDGES_PER_SEAM * side_seams)
