"""Outlines as they would be seen square: how much farther out a slanting line of sight shows them.

A ray that slopes by t towards the camera touches the body where x + z t is greatest, not where x
is. How much farther out that lies is taken from sections of bodies, in units of the section's
extent along the line of sight, as

    signed * t + lobes * |t| + bend * t^2

`signed` tells that the widest place lies in front of the middle, `lobes` that there are two (both
breasts, both halves of the seat), `bend` that the section is round.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ellwand.geometry.levels import Level
from ellwand.geometry.profile import Profile
from ellwand.geometry.scene import Scene
from ellwand.measurements import LevelCode

FloatArray = NDArray[np.float64]
EdgeKind = Literal["side_of_body", "back", "front"]


@dataclass(frozen=True, eq=False)
class Obliquity:
    """Coefficients along the body.

    Args:
        heights: (k,) ascending, over the stature.
        coefficients: by kind of edge: (k, 3) signed, lobes, bend.
    """

    heights: FloatArray
    coefficients: Mapping[EdgeKind, FloatArray]

    def farther(self, kind: EdgeKind, height: FloatArray, slope: FloatArray) -> FloatArray:
        """How much farther out an edge is seen, over the extent along the sight.

        Args:
            kind: of the edge.
            height: (n) over the stature.
            slope: (n) of the lines of sight, outward per length towards the camera.
        """
        signed, lobes, bend = (
            np.interp(height, self.heights, column) for column in self.coefficients[kind].T
        )
        added: FloatArray = signed * slope + lobes * np.abs(slope) + bend * slope**2
        return added


def seen_square(scene: Scene, obliquity: Obliquity) -> tuple[Profile, Profile]:
    """Front and side profile as lines of sight at right angles would show them.

    Args:
        scene: cameras and profiles.
        obliquity: what slanting lines of sight do.
    """
    stature = float(scene.solution.value("stature"))
    front, side, facing = scene.front, scene.side, scene.facing
    breadth, depth = _filled(front.extent_mm), _filled(side.extent_mm)
    heights = front.heights_mm / stature
    toward = {view: _distance(scene, view) for view in ("front", "side")}
    aside = float(scene.solution.value("front.x")) - scene.ankle_front_mm
    away = toward["front"] - _filled(side.middle_mm)
    low, high = (
        edge
        - sign * depth * obliquity.farther("side_of_body", heights, sign * (edge - aside) / away)
        for sign, edge in ((-1.0, front.low_mm), (1.0, front.high_mm))
    )
    # Towards where she faces, as the side profile counts.
    aside = facing * (float(scene.solution.value("side.x")) - scene.ankle_side_mm)
    away = toward["side"] + facing * _filled(front.middle_mm)
    heights = side.heights_mm / stature
    breadth, away = (np.interp(side.heights_mm, front.heights_mm, one) for one in (breadth, away))
    kinds: tuple[tuple[EdgeKind, float, FloatArray], ...] = (
        ("back", -1.0, side.low_mm),
        ("front", 1.0, side.high_mm),
    )
    back, belly = (
        edge - sign * breadth * obliquity.farther(kind, heights, sign * (edge - aside) / away)
        for kind, sign, edge in kinds
    )
    return Profile(front.heights_mm, low, high), Profile(side.heights_mm, back, belly)


# Which edge of the side outline shows a level.
_SHOWN_BY: dict[LevelCode, EdgeKind] = {
    "full_bust": "front",
    "underbust": "front",
    "full_hip": "back",
}


def true_heights(
    levels: Mapping[LevelCode, Level],
    scene: Scene,
    square: tuple[Profile, Profile],
    obliquity: Obliquity,
) -> dict[LevelCode, Level]:
    """Levels that the side outline shows, at their own height.

    The breast, or the half of the seat, that makes the outline lies nearer to the camera than the
    middle of the body, or farther, so it is seen lower or higher than it is.

    Args:
        levels: as found.
        scene: cameras and profiles.
        square: both profiles as seen square.
        obliquity: how far apart the halves are.
    """
    solution = scene.solution
    stature = float(solution.value("stature"))
    away = _distance(scene, "side")
    camera_up = float(solution.value("side.y") - solution.value("side.floor"))
    aside = scene.facing * (float(solution.value("side.x")) - scene.ankle_side_mm)
    moved = dict(levels)
    for code, kind in _SHOWN_BY.items():
        height = levels[code].height_mm
        low, high = square[0].at(height)
        back, front = square[1].at(height)
        if not (levels[code].shown and np.isfinite(high - low + front - back)):
            continue
        slope = (front - aside) if kind == "front" else (aside - back)
        lobes = np.interp(height / stature, obliquity.heights, obliquity.coefficients[kind][:, 1])
        nearer = float(np.sign(slope) * lobes * (high - low))
        moved[code] = replace(levels[code], height_mm=height - (height - camera_up) * nearer / away)
    return moved


def _distance(scene: Scene, view: Literal["front", "side"]) -> float:
    return float(scene.solution.distance_mm(scene.solution.theta, view))


def _filled(values: FloatArray) -> FloatArray:
    """The values, with gaps bridged and ends carried on; zeros where nothing is seen."""
    seen = np.isfinite(values)
    if not seen.any():
        return np.zeros_like(values)
    places = np.arange(len(values))
    filled: FloatArray = np.interp(places, places[seen], values[seen])
    return filled
