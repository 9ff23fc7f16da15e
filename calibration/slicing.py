"""Plane cuts through a watertight mesh, kept apart by how the skin hangs together.

Loops are followed along mesh edges, so that an arm that touches the trunk is still an arm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import ConvexHull

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Cut:
    """All points where the edges of a mesh cross a set of horizontal planes.

    Args:
        heights_mm: (H,) heights of the planes.
        points_mm: (N, 2) x and z of the crossings.
        level: (N,) index of the plane of each point.
        loop: (N,) number of the closed loop that the point belongs to; no two planes share one.
        vertex: (N,) the mesh vertex nearest to the point along its edge.
    """

    heights_mm: Floats
    points_mm: Floats
    level: Ints
    loop: Ints
    vertex: Ints

    @property
    def loop_count(self) -> int:
        """How many loops there are in all planes together."""
        return int(self.loop.max()) + 1 if len(self.loop) else 0


def _crossed(vertices_y: Floats, faces: Ints, heights: Floats) -> tuple[Ints, Ints]:
    """Give the pairs (face, plane) that meet; a corner on the plane counts as below."""
    low = np.searchsorted(heights, vertices_y[faces].min(axis=1), side="left")
    high = np.searchsorted(heights, vertices_y[faces].max(axis=1), side="left")
    count = high - low
    face = np.repeat(np.arange(len(faces)), count)
    first = np.repeat(np.cumsum(count) - count, count)
    return face, np.repeat(low, count) + np.arange(len(face)) - first


def cut(vertices_mm: Floats, faces: Ints, heights_mm: Floats) -> Cut:
    """Cut a closed mesh by horizontal planes.

    Args:
        vertices_mm: (V, 3) points, y up.
        faces: (F, 3) indices.
        heights_mm: (H,) ascending heights.

    Returns:
        The crossings, grouped by plane and loop.
    """
    heights = np.asarray(heights_mm, dtype=float)
    face, level = _crossed(vertices_mm[:, 1], faces, heights)
    corner = faces[face]
    above = vertices_mm[corner, 1] > heights[level][:, None]
    # The corner that is alone on its side starts both crossing edges.
    alone_is_above = above.sum(axis=1) == 1
    alone = np.argmax(above == alone_is_above[:, None], axis=1)
    row = np.arange(len(face))
    start = np.repeat(corner[row, alone], 2)
    end = np.stack([corner[row, (alone + 1) % 3], corner[row, (alone + 2) % 3]], axis=1).ravel()
    level2 = np.repeat(level, 2)
    edge = np.minimum(start, end) * len(vertices_mm) + np.maximum(start, end)
    _, index, node = np.unique(edge * len(heights) + level2, return_index=True, return_inverse=True)
    a, b = np.minimum(start, end)[index], np.maximum(start, end)[index]
    share = (heights[level2[index]] - vertices_mm[a, 1]) / (vertices_mm[b, 1] - vertices_mm[a, 1])
    point = vertices_mm[a] + share[:, None] * (vertices_mm[b] - vertices_mm[a])
    node = node.reshape(-1, 2)
    graph = coo_matrix((np.ones(len(node)), (node[:, 0], node[:, 1])), shape=(len(a), len(a)))
    loop = connected_components(graph, directed=False)[1]
    return Cut(
        heights_mm=heights,
        points_mm=point[:, [0, 2]],
        level=level2[index].astype(np.int64),
        loop=np.asarray(loop, dtype=np.int64),
        vertex=np.where(share < 0.5, a, b).astype(np.int64),
    )


def convex_girth(points_mm: Floats) -> float:
    """Give the length of a taut tape around points of a plane.

    Args:
        points_mm: (N, 2) points.

    Returns:
        Perimeter of the convex hull, mm.
    """
    return float(ConvexHull(points_mm).area)  # in two dimensions, "area" is the perimeter


def loop_majority(cut_: Cut, label: Ints, labels: int) -> Ints:
    """Give for each loop the label that most of its points carry.

    Args:
        cut_: the cut.
        label: (V,) label of each vertex, 0 to labels - 1.
        labels: how many labels there are.

    Returns:
        (loops,) labels.
    """
    votes = np.bincount(cut_.loop * labels + label[cut_.vertex], minlength=cut_.loop_count * labels)
    return np.asarray(votes.reshape(-1, labels).argmax(axis=1), dtype=np.int64)


def loop_extent(cut_: Cut, axis: int) -> tuple[Floats, Floats]:
    """Give the lowest and highest coordinate of each loop.

    Args:
        cut_: the cut.
        axis: 0 for x, 1 for z.

    Returns:
        Two (loops,) arrays, mm.
    """
    low = np.full(cut_.loop_count, np.inf)
    high = np.full(cut_.loop_count, -np.inf)
    np.minimum.at(low, cut_.loop, cut_.points_mm[:, axis])
    np.maximum.at(high, cut_.loop, cut_.points_mm[:, axis])
    return low, high
