"""Hair of the demo figures: a cap that grows out of the scalp, and a bun.

Without it the heads are bald, which a pose library takes less surely for people.
"""

from __future__ import annotations

import numpy as np

from demo_images.camera import Floats
from demo_images.meshes import Mesh, RestFigure, smoothed, vertex_normals

# Thickness of the cap in mm, and where a bun sits: back of the skull or its top; by eye.
THICKNESS_MM = {"bun": 9.0, "topknot": 8.0, "short": 24.0, "crop": 13.0}
BUN_RADIUS_MM = 42.0


def _head_box(figure: RestFigure) -> tuple[float, float, float, float]:
    """Eye height, height of the skull above the eyes, back and front z of the skull."""
    eye = figure.joints_mm["eye_left"]
    head = figure.vertices_mm[np.unique(figure.faces)]
    head = head[head[:, 1] > eye[1]]
    back, front = float(head[:, 2].min()), float(head[:, 2].max())
    return float(eye[1]), float(head[:, 1].max() - eye[1]), back, front


def hair_line(figure: RestFigure) -> Floats:
    """Give the painting number of the scalp: mm above the hair line, (n,)."""
    eye, skull, back, front = _head_box(figure)
    y, z = figure.vertices_mm[:, 1], figure.vertices_mm[:, 2]
    forward = (z - back) / (front - back)
    # From nape over the ears to the forehead, in skull heights above the eyes; by eye.
    line = np.interp(
        forward, [0.0, 0.25, 0.40, 0.48, 0.62, 0.74, 0.9], [-0.75, -0.7, -0.1, 0.3, 0.3, 0.5, 0.62]
    )
    return np.minimum(y - (eye + skull * line), (figure.head_weight - 0.5) * 200.0)


def hair_meshes(figure: RestFigure, posed_mm: Floats, style: str) -> list[Mesh]:
    """Grow the hair of a posed figure.

    Args:
        figure: the figure at rest, on which the hair line is drawn.
        posed_mm: (n, 3) its vertices in the pose, in any frame with y up.
        style: key of THICKNESS_MM.

    Returns:
        The cap, and the bun where the style has one.
    """
    line = smoothed(figure, hair_line(figure), 3)
    worn = (line > -14.0)[figure.faces].all(axis=1)
    # The thicker the hair, the longer it takes to rise, or it overhangs at the nape.
    rise = np.clip((line + 4.0) / (20.0 + 2.0 * THICKNESS_MM[style]), 0.0, 1.0)
    thickness = THICKNESS_MM[style] * rise * rise * (3.0 - 2.0 * rise) - 3.0 * (line < 0.0)
    rough = vertex_normals(Mesh(posed_mm, figure.faces))
    normals = np.column_stack([smoothed(figure, rough[:, axis], 4) for axis in range(3)])
    cap = Mesh(posed_mm + thickness[:, None] * normals, figure.faces[worn])
    if style not in ("bun", "topknot"):
        return [cap]
    return [cap, _bun(figure, posed_mm, normals, style)]


def _bun(figure: RestFigure, posed_mm: Floats, normals: Floats, style: str) -> Mesh:
    """A ball on the scalp: at the crown, or low at the back of the head."""
    eye, skull, back, front = _head_box(figure)
    height = eye + skull * (0.93 if style == "topknot" else 0.25)
    forward = back + (front - back) * (0.30 if style == "topknot" else 0.0)
    wanted = np.array([0.0, height, forward])
    scalp = np.flatnonzero(hair_line(figure) > 0.0)
    place = scalp[np.argmin(np.linalg.norm(figure.vertices_mm[scalp] - wanted, axis=1))]
    centre = posed_mm[place] + normals[place] * BUN_RADIUS_MM * 0.6
    ball = _sphere()
    return Mesh(centre + ball.vertices_mm * np.array([1.0, 0.85, 1.0]) * BUN_RADIUS_MM, ball.faces)


def _sphere(rings: int = 16, sectors: int = 24) -> Mesh:
    """A unit sphere."""
    polar = np.linspace(0.0, np.pi, rings + 1)[:, None]
    around = np.linspace(0.0, 2.0 * np.pi, sectors, endpoint=False)[None, :]
    points = np.stack(
        [
            np.sin(polar) * np.cos(around),
            np.cos(polar) * np.ones_like(around),
            np.sin(polar) * np.sin(around),
        ],
        axis=-1,
    ).reshape(-1, 3)
    faces = []
    for ring in range(rings):
        for sector in range(sectors):
            here, there = ring * sectors + sector, ring * sectors + (sector + 1) % sectors
            faces += [[here, there, here + sectors], [there, there + sectors, here + sectors]]
    return Mesh(points, np.array(faces, dtype=np.int64))
