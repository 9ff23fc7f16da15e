"""A rough edge moved to where the colours really change.

The edge is one connected path: at every row it looks for a strong step of colour, near the rough
edge, without jumping, and with nothing but the wall outside. The last keeps it from an arm's edge
inside the body.
"""

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d, median_filter, uniform_filter1d

FloatArray = NDArray[np.float64]

# Farthest move from the rough edge, in mm, and the step of sampling in working pixels.
REACH_MM = 30.0
_SAMPLE_PX = 0.5
# Weights of the path: distance from the rough edge, jumps from row to row, and what lies outside.
_AWAY_COST, _JUMP_COST, _OUTSIDE_COST = 0.35, 0.6, 1.2
# Difference (Lab, brightness halved because shadows change it) at which what lies just outside is
# no longer the wall.
_OTHER_COLOUR = 9.0
_BRIGHTNESS_WEIGHT = 0.5
# What lies just outside begins this far from the edge and is this wide, in working pixels.
_OUTSIDE_FROM_PX, _OUTSIDE_WIDE_PX = 1.5, 4.0
# A step is clear when it is this many times stronger than the colours around it, and not faint
# beside the typical step of the edge.
_CLEAR, _FAINT = 3.0, 0.12
# Length along the edge, in rows, over which steps are compared.
_ALONG_PX = 10.0


def snap(
    rgb: NDArray[np.uint8],
    rows: NDArray[np.int64],
    edge: FloatArray,
    scale: float,
    reach: float,
    outward: int,
    upright: bool = True,
) -> tuple[FloatArray, NDArray[np.bool_]]:
    """Move an edge, one column per row, to the strongest step of colour within reach.

    Args:
        rgb: the photo.
        rows: (n,) rows of the working copy.
        edge: (n,) columns of the working copy, NaN where there is no edge.
        scale: working copy to photo.
        reach: farthest move, working pixels.
        outward: -1 where the body lies on the greater side of the edge, 1 where on the lesser.
        upright: whether the edge runs from row to row; else rows and columns change places.

    Returns:
        (n,) columns of the working copy, and whether each step was clear.
    """
    have = np.isfinite(edge)
    clear = np.zeros(len(edge), dtype=bool)
    moved = edge.copy()
    if have.sum() < 10:
        return moved, clear
    base = median_filter(edge[have], size=9, mode="nearest")
    offsets = np.arange(-reach, reach + _SAMPLE_PX / 2, _SAMPLE_PX)
    x = (base[:, None] + offsets[None, :] + 0.5) / scale - 0.5
    y = np.broadcast_to((rows[have, None] + 0.5) / scale - 0.5, x.shape)
    if not upright:
        x, y = y, x
    picked = cv2.remap(rgb, x.astype(np.float32), y.astype(np.float32), cv2.INTER_LINEAR)
    lab = cv2.cvtColor(picked, cv2.COLOR_RGB2LAB).astype(np.float32)
    # The grid follows the mask's edge, so smoothing from row to row runs along the edge.
    smooth = gaussian_filter1d(lab, 2.0, axis=0)
    slope = gaussian_filter1d(smooth, 1.0 / _SAMPLE_PX, axis=1, order=1)
    step = np.sqrt(np.sum(slope**2, axis=2))
    # A weak edge counts as much as a strong one where it is the strongest around.
    strongest = gaussian_filter1d(step.max(axis=1), _ALONG_PX)
    typical = float(np.median(strongest))
    gain = np.minimum(step / np.maximum(strongest, _FAINT * typical)[:, None], 1.5)
    away = _AWAY_COST * (offsets / reach) ** 2
    path = _best_path(away + _OUTSIDE_COST * _not_wall(smooth, outward) - gain)
    moved[have] = base + _peak(step, path, offsets)
    found = np.take_along_axis(step, path[:, None], axis=1)[:, 0]
    clear[have] = found > np.maximum(_FAINT * typical, _CLEAR * np.median(step, axis=1))
    moved[have] = np.where(clear[have], moved[have], base)
    return moved, clear


def _not_wall(colours: NDArray[np.float32], outward: int) -> NDArray[np.float32]:
    """How much what lies just outside of each place differs from the wall, (n, m), 0 to 1.

    Args:
        colours: (n, m, 3) Lab along the rows of the search.
        outward: direction of the wall along them.
    """
    weighted = colours * np.array([_BRIGHTNESS_WEIGHT, 1.0, 1.0], dtype=np.float32)
    if outward < 0:
        weighted = weighted[:, ::-1]
    wide, gap = round(_OUTSIDE_WIDE_PX / _SAMPLE_PX), round(_OUTSIDE_FROM_PX / _SAMPLE_PX)
    wall = weighted[:, -wide:].mean(axis=1)
    outside = uniform_filter1d(weighted, wide, axis=1, origin=-(wide // 2), mode="nearest")
    outside = np.concatenate([outside[:, gap:], np.repeat(outside[:, -1:], gap, axis=1)], axis=1)
    other = np.linalg.norm(outside - wall[:, None], axis=2) / np.float32(_OTHER_COLOUR)
    limited = np.minimum(other, 1)
    return np.asarray(limited[:, ::-1] if outward < 0 else limited, dtype=np.float32)


def _best_path(cost: FloatArray) -> NDArray[np.int64]:
    """Index (n,) of the column in each row of the cheapest path (n, m) without jumps."""
    total = cost[0]
    came = np.zeros(cost.shape, dtype=np.int64)
    moves = np.arange(-2, 3)
    padded_columns = np.arange(cost.shape[1])[None, :] + moves[:, None]
    valid = (padded_columns >= 0) & (padded_columns < cost.shape[1])
    padded_columns = np.clip(padded_columns, 0, cost.shape[1] - 1)
    penalty = np.where(valid, _JUMP_COST * np.abs(moves[:, None]) * _SAMPLE_PX, np.inf)
    for i in range(1, len(cost)):
        options = total[padded_columns] + penalty
        best = np.argmin(options, axis=0)
        came[i] = np.take_along_axis(padded_columns, best[None], axis=0)[0]
        total = cost[i] + np.take_along_axis(options, best[None], axis=0)[0]
    path = np.empty(len(cost), dtype=np.int64)
    path[-1] = int(np.argmin(total))
    for i in range(len(cost) - 1, 0, -1):
        path[i - 1] = came[i, path[i]]
    return path


def _peak(step: FloatArray, path: NDArray[np.int64], offsets: FloatArray) -> FloatArray:
    """Offset of the step around the path: centre of gravity of the slope near it."""
    near = np.abs(offsets[None, :] - offsets[path][:, None]) <= 1.5
    weight = np.where(near, step, 0.0)
    centre: FloatArray = (weight * offsets).sum(axis=1) / np.maximum(weight.sum(axis=1), 1e-12)
    return centre
