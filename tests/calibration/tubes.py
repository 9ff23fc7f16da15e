"""Meshes that a reader can work out by hand: upright elliptic tubes with flat ends."""

import numpy as np

from calibration.bodies import PARTS, PosedBody

SIDES = 360


def tube(half_x, half_z, middle, low, high):
    """Vertices and faces of a closed tube with elliptic section, of two rings and two end points.

    Args:
        half_x, half_z: semi-axes.
        middle: x and z of the axis.
        low, high: heights of the ends.
    """
    angle = np.arange(SIDES) * 2 * np.pi / SIDES
    ring = np.stack([half_x * np.cos(angle), np.zeros(SIDES), half_z * np.sin(angle)], axis=1)
    ring += [middle[0], 0, middle[1]]
    ends = np.array([[middle[0], low, middle[1]], [middle[0], high, middle[1]]])
    vertices = np.vstack([ring + np.array([0, low, 0]), ring + np.array([0, high, 0]), ends])
    here = np.arange(SIDES)
    there = (here + 1) % SIDES
    bottom, top = np.full(SIDES, 2 * SIDES), np.full(SIDES, 2 * SIDES + 1)
    faces = np.vstack(
        [
            np.stack([here, there, there + SIDES], axis=1),
            np.stack([here, there + SIDES, here + SIDES], axis=1),
            np.stack([here, there, bottom], axis=1),
            np.stack([here + SIDES, there + SIDES, top], axis=1),
        ]
    )
    return vertices, faces


def body(**tubes):
    """A body of tubes, each named by the part of `PARTS` that it stands for."""
    vertices, faces, parts = [], [], []
    for part, (points, triangles) in tubes.items():
        faces.append(triangles + sum(len(v) for v in vertices))
        vertices.append(points)
        parts.append(np.full(len(points), PARTS.index(part)))
    part = np.concatenate(parts)
    return PosedBody(
        vertices_mm=np.vstack(vertices),
        faces=np.vstack(faces),
        joints_mm={},
        part=part,
        part_weight=np.eye(len(PARTS))[part],
        is_breast=np.zeros(len(part), dtype=bool),
        is_eye=np.zeros(len(part), dtype=bool),
    )
