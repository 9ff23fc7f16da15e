"""Painted clothes, hair and face: one number per vertex and garment, positive where it is worn.

The renderer interpolates the numbers over each triangle and paints where they are above zero, so
that a hem is a clean line on a coarse mesh. All are computed on the resting body, arms half
lifted, and hold for every pose because the vertex order stays. Clothes have no thickness: the
mesh is the tape truth.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from demo_images.camera import Floats
from demo_images.hair import hair_line
from demo_images.meshes import RestFigure, smoothed


@dataclass(frozen=True)
class Outfit:
    """What a woman wears and her colours (linear RGB).

    Args:
        top: `tank`, `tee` or `long`.
        bottom: `briefs`, `shorts` or `leggings`.
        hair: `bun`, `topknot`, `short` or `crop`.
    """

    top: str
    bottom: str
    hair: str
    skin_rgb: tuple[float, float, float]
    top_rgb: tuple[float, float, float]
    bottom_rgb: tuple[float, float, float]
    hair_rgb: tuple[float, float, float]
    eye_rgb: tuple[float, float, float] = (0.09, 0.05, 0.03)


def paint(figure: RestFigure, outfit: Outfit) -> dict[str, Floats]:
    """Give the painting numbers of every vertex, in mm, by layer name, undermost first."""
    return {
        "lips": _lips(figure),
        "brows": _brows(figure),
        "bottom": _bottom(figure, outfit.bottom),
        "top": _top(figure, outfit.top),
        "hair": hair_line(figure),
        **_eyes(figure),
    }


def _body_only(figure: RestFigure, limit: float) -> Floats:
    """Positive on the trunk; grows by about 1 mm per 1 mm away from the armhole."""
    return np.asarray((limit - smoothed(figure, figure.arm_weight, 8)) * 120.0)


def _bottom(figure: RestFigure, cut: str) -> Floats:
    x, y = np.abs(figure.vertices_mm[:, 0]), figure.vertices_mm[:, 1]
    hip, knee, ankle, waist = (
        figure.joints_mm[f"{name}_left"][1] for name in ("hip", "knee", "ankle", "waist")
    )
    crotch = figure.joints_mm["crotch"][1]
    waistband = hip + 0.50 * (waist - hip)
    if cut == "briefs":
        leg_line = crotch - 25.0 + 0.55 * np.maximum(x - 25.0, 0.0)
    elif cut == "shorts":
        leg_line = np.full_like(y, crotch + 0.32 * (knee - crotch))
    else:
        leg_line = np.full_like(y, ankle + 0.22 * (knee - ankle))
    return np.asarray(np.minimum.reduce([y - leg_line, waistband - y, _body_only(figure, 0.4)]))


def _top(figure: RestFigure, cut: str) -> Floats:
    x, y, z = figure.vertices_mm.T
    hip, waist = (figure.joints_mm[f"{name}_left"][1] for name in ("hip", "waist"))
    hem = hip + 0.40 * (waist - hip)
    neck = figure.joints_mm["neck"]
    in_front = 1.0 / (1.0 + np.exp(-(z - neck[2]) / 15.0))
    wide, deep = {"tank": (92.0, 125.0), "tee": (78.0, 85.0), "long": (74.0, 75.0)}[cut]
    depth = 45.0 + (deep - 45.0) * in_front
    below = np.maximum(neck[1] + 25.0 - y, 0.0)
    neckline = (np.hypot(x / wide, below / depth) - 1.0) * wide
    sides = [y - hem, neckline, neck[1] + 45.0 - y]
    if cut == "tank":
        sides.append(_body_only(figure, 0.42))
    else:
        sides.append(_sleeve(figure, 0.42 if cut == "tee" else 1.72))
    return np.asarray(np.minimum.reduce(sides))


def _sleeve(figure: RestFigure, elbows: float) -> Floats:
    """Positive up to a point of the arm, in upper-arm lengths from the shoulder joint."""
    gap = np.full(len(figure.vertices_mm), np.inf)
    for side in ("left", "right"):
        shoulder, elbow, wrist = (
            figure.joints_mm[f"{name}_{side}"] for name in ("shoulder", "elbow", "wrist")
        )
        upper, fore = elbow - shoulder, wrist - elbow
        own = figure.vertices_mm[:, 0] * np.sign(shoulder[0]) > 0.0
        start, axis = (shoulder, upper) if elbows <= 1.0 else (elbow, fore)
        length = float(np.linalg.norm(axis))
        along = (figure.vertices_mm - start) @ axis / length
        left = (elbows if elbows <= 1.0 else elbows - 1.0) * length - along
        on_arm = own & (figure.arm_weight > 0.3)
        gap = np.where(on_arm, np.minimum(gap, left), gap)
    return np.asarray(np.minimum(gap, 500.0))


def _lips(figure: RestFigure) -> Floats:
    """An oval between nose and chin; place and size by eye."""
    eye, chin = figure.joints_mm["eye_left"], figure.joints_mm["chin"]
    x, y, z = figure.vertices_mm.T
    mouth = chin[1] + 0.42 * (eye[1] - chin[1])
    inside = 1.0 - np.hypot(x / 24.0, (y - mouth) / 8.5)
    return np.where(z > eye[2], inside * 8.5, -50.0)


def _brows(figure: RestFigure) -> Floats:
    field = np.full(len(figure.vertices_mm), -50.0)
    for side in ("left", "right"):
        eye = figure.joints_mm[f"eye_{side}"]
        dx, dy, dz = (figure.vertices_mm - eye).T
        arch = 24.0 - 0.012 * (dx - np.sign(eye[0]) * 3.0) ** 2
        near = 5.0 - np.hypot(dy - arch, np.maximum(np.abs(dx) - 17.0, 0.0))
        field = np.maximum(field, np.where(dz > 0.0, near, -50.0))
    return field


def _eyes(figure: RestFigure) -> dict[str, Floats]:
    """White, iris and pupil on the two eyeballs, which are parts of their own in the mesh."""
    layers = {name: np.full(len(figure.vertices_mm), -50.0) for name in ("white", "iris", "pupil")}
    for own in figure.eyeballs:
        points = figure.vertices_mm[own]
        dx, dy, dz = (points - points.mean(axis=0)).T
        off_axis = np.where(dz > 0.0, np.hypot(dx, dy), 50.0)
        layers["white"][own] = 10.0
        layers["iris"][own] = 6.0 - off_axis
        layers["pupil"][own] = 2.4 - off_axis
    return layers
