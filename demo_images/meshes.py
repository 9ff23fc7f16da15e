"""Triangle meshes and the resting figure that clothes and hair are cut on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from demo_images.camera import Floats

Ints = npt.NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Mesh:
    """A triangle mesh: (n, 3) points in mm and (m, 3) indices."""

    vertices_mm: Floats
    faces: Ints


@dataclass(frozen=True, eq=False)
class RestFigure:
    """A body at rest in the body frame (y up, her left = +x, z forward).

    Args:
        vertices_mm: (n, 3) points.
        faces: (m, 3) indices.
        arm_weight: (n,) share of each vertex that the upper arm, forearm and hand move.
        head_weight: (n,) share that head and neck move.
        joints_mm: joint or landmark name to (3,) point; names of `calibration.bodies`.
        eyeballs: vertices of the left and the right eyeball.
    """

    vertices_mm: Floats
    faces: Ints
    arm_weight: Floats
    head_weight: Floats
    joints_mm: dict[str, Floats]
    eyeballs: tuple[Ints, Ints]


def vertex_normals(mesh: Mesh) -> Floats:
    """Give unit normals, area weighted.

    Returns:
        (n, 3) vectors.
    """
    corner = mesh.vertices_mm[mesh.faces]
    face = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    total = np.zeros_like(mesh.vertices_mm)
    for index in range(3):
        np.add.at(total, mesh.faces[:, index], face)
    return np.asarray(total / np.maximum(np.linalg.norm(total, axis=1, keepdims=True), 1e-9))


def smoothed(figure: RestFigure, values: Floats, rounds: int) -> Floats:
    """Average a number per vertex with its neighbours, so that its level lines run smoothly.

    Args:
        figure: whose triangles say who is a neighbour.
        values: (n,) numbers.
        rounds: how often.
    """
    ends = np.vstack([figure.faces[:, [0, 1]], figure.faces[:, [1, 2]], figure.faces[:, [2, 0]]])
    count = np.maximum(np.bincount(ends.ravel(), minlength=len(values)), 1)
    for _ in range(rounds):
        total = np.zeros_like(values)
        np.add.at(total, ends[:, 0], values[ends[:, 1]])
        np.add.at(total, ends[:, 1], values[ends[:, 0]])
        values = 0.5 * values + 0.5 * total / count
    return values
