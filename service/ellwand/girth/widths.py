"""Breadths and depths at the levels, as a function of everything that can be off.

All inputs stand in one vector of standardised values, so that Monte Carlo and first order run
through the same arithmetic (see `budget`).
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ellwand.geometry.levels import Level
from ellwand.geometry.profile import Profile
from ellwand.geometry.scene import Scene
from ellwand.geometry.sighting import VIEWS, View
from ellwand.girth.budget import Input
from ellwand.girth.model import EdgeKind, Obliquity
from ellwand.measurements import LEVELS, LevelCode
from ellwand.photo.look import Look

FloatArray = NDArray[np.float64]

# One edge of the outline, mm: measured on renderings (width sd 2.5-4 mm, two edges);
# where no step of colour was found the mask alone decides.
EDGE_U_MM, UNCLEAR_EDGE_U_MM = 2.0, 5.0
# The ankle that the standoff is measured to, found in the other photo (judged).
BODY_PLANE_U_MM = 12.0
# A height found in one photo, looked up in the other (judged on the demo photos).
TRANSFER_U_MM = 8.0
# How far she is turned out of square to the wall, feet on a mark (judged).
TURN_U_DEG = 1.5

EDGE, LEVEL, PLANE = "outline edge", "level height", "place of the ankle in the photo"
TURN, OBLIQUE = "turned out of square", "seen at an angle"

# The view in which each level shows itself; in the other it is looked up by its height.
_SHOWN_IN: dict[LevelCode, View] = {
    "high_bust": "front",
    "full_bust": "side",
    "underbust": "side",
    "waist": "front",
    "high_hip": "front",
    "full_hip": "side",
}


@dataclass(frozen=True, eq=False)
class Cut:
    """One level in one view: two pixels on the outline.

    Args:
        code: the level.
        view: which photo.
        pixels: (2, 2) left and right edge.
        clear: (2) whether each edge is a step of colour.
        nominal: the view's profile, for the slope of the outline.
        level: the level's height and its doubt.
    """

    code: LevelCode
    view: View
    pixels: FloatArray
    clear: NDArray[np.bool_]
    nominal: Profile
    level: Level


@dataclass(frozen=True, eq=False)
class Widths:
    """The function of the inputs and what it gives.

    Args:
        scene: cameras and profiles.
        cuts: levels by view that are seen.
        levels: all levels.
        obliquity: what a line of sight that is not square does, by level and edge.
    """

    scene: Scene
    cuts: tuple[Cut, ...]
    levels: dict[LevelCode, Level]
    obliquity: Mapping[LevelCode, Mapping[EdgeKind, Obliquity]]

    @property
    def inputs(self) -> list[Input]:
        """All inputs of the function, in order."""
        return [entry for block in self._blocks().values() for entry in block]

    def _blocks(self) -> dict[str, list[Input]]:
        return {
            "observations": [Input(cause, 0.0, 1.0) for cause in self.scene.solution.causes],
            "plane": [Input(PLANE, 0.0, BODY_PLANE_U_MM) for _ in VIEWS],
            "turn": [Input(TURN, 0.0, float(np.radians(TURN_U_DEG))) for _ in VIEWS],
            "transfer": [Input(LEVEL, 0.0, TRANSFER_U_MM)],
            "level": [Input(LEVEL, 0.0, self.levels[code].u_mm) for code in LEVELS],
            "edge": [
                Input(EDGE, 0.0, EDGE_U_MM if clear else UNCLEAR_EDGE_U_MM)
                for cut in self.cuts
                for clear in cut.clear
            ],
            "oblique": [Input(OBLIQUE, 0.0, 1.0) for _ in self.cuts for _ in ("left", "right")],
        }

    def column(self, code: LevelCode, kind: Literal["breadth", "depth"]) -> int | None:
        """Column of a breadth or depth in the outputs; None when the photos don't show it."""
        view = "front" if kind == "breadth" else "side"
        for column, cut in enumerate(self.cuts):
            if cut.code == code and cut.view == view:
                return column
        return None

    def __call__(self, inputs: FloatArray) -> FloatArray:
        """Widths for given inputs.

        Args:
            inputs: (n, m) values of `inputs`.

        Returns:
            (n, cuts) breadths and depths of the body in mm.
        """
        blocks = self._blocks()
        ends = np.cumsum([len(block) for block in blocks.values()])
        given = dict(zip(blocks, np.split(inputs, ends[:-1], axis=1), strict=True))
        theta = self.scene.solution.draws(given["observations"])
        columns = [
            self._width(i, cut, theta, given) * self._moved(cut, given)
            for i, cut in enumerate(self.cuts)
        ]
        return np.stack(columns, axis=1)

    def _width(
        self, i: int, cut: Cut, theta: FloatArray, given: Mapping[str, FloatArray]
    ) -> FloatArray:
        """(n) breadth or depth at the two pixels of a cut."""
        solution, view = self.scene.solution, VIEWS.index(cut.view)
        middle = float(self.scene.reach_mm(cut.view, np.array([cut.level.height_mm]))[0])
        reach = np.broadcast_to((middle + given["plane"][:, view])[:, None], (len(theta), 2))
        ends = solution.on_body(theta, cut.view, cut.pixels, reach)[..., 0]
        ends = ends + given["edge"][:, 2 * i : 2 * i + 2]
        # Slope of each line of sight: sideways per millimetre towards the camera, outward.
        away = solution.distance_mm(theta, cut.view) - middle
        slope = (ends - solution.value(f"{cut.view}.x", theta)[:, None]) / away[:, None]
        slope = (slope + np.tan(given["turn"][:, view])[:, None]) * np.array([-1.0, 1.0])
        other = self.scene.side if cut.view == "front" else self.scene.front
        low, high = other.at(cut.level.height_mm)
        along = high - low if np.isfinite(high - low) else 0.0
        farther = sum(
            self.obliquity[cut.code][kind].farther(slope[:, k], given["oblique"][:, 2 * i + k])
            for k, kind in enumerate(self._kinds(cut.view))
        )
        width: FloatArray = ends[:, 1] - ends[:, 0] - along * farther
        return width

    def _kinds(self, view: View) -> tuple[EdgeKind, EdgeKind]:
        """What the left and the right edge in a photo are of."""
        if view == "front":
            return "side_of_body", "side_of_body"
        return ("back", "front") if self.scene.facing > 0 else ("front", "back")

    def _moved(self, cut: Cut, given: Mapping[str, FloatArray]) -> FloatArray:
        """(n) ratio of the width a little higher or lower to the width at the level."""
        by_mm = given["level"][:, LEVELS.index(cut.code)]
        if cut.view != _SHOWN_IN[cut.code]:
            by_mm = by_mm + given["transfer"][:, 0]
        seen = np.isfinite(cut.nominal.extent_mm)
        heights, extent = cut.nominal.heights_mm[seen], cut.nominal.extent_mm[seen]
        here = np.interp(cut.level.height_mm, heights, extent)
        ratio: FloatArray = np.interp(cut.level.height_mm + by_mm, heights, extent) / here
        return ratio


def cut_levels(
    scene: Scene,
    looks: Mapping[View, Look],
    levels: dict[LevelCode, Level],
    obliquity: Mapping[LevelCode, Mapping[EdgeKind, Obliquity]],
) -> Widths:
    """Find the pixels on both outlines at every level.

    Args:
        scene: cameras and profiles.
        looks: what the photos hold.
        levels: where to cut.
        obliquity: what a line of sight that is not square does, by level and edge.

    Returns:
        The cuts that the photos show; from the front, the high bust is none of them, because arm
        and trunk touch there.
    """
    cuts = []
    true = {
        code: replace(level, height_mm=_true_height_mm(scene, code, level, obliquity))
        for code, level in levels.items()
    }
    for code in LEVELS:
        for view, nominal in zip(VIEWS, (scene.front, scene.side), strict=True):
            if view == "front" and code == "high_bust":
                continue
            level = levels[code] if view == _SHOWN_IN[code] else true[code]
            found = _cut(scene, looks[view], view, nominal, code, level)
            if found is not None:
                cuts.append(found)
    return Widths(scene, tuple(cuts), true, obliquity)


# Which edge of the side outline shows a level.
_SHOWN_BY: dict[LevelCode, EdgeKind] = {
    "full_bust": "front",
    "underbust": "front",
    "full_hip": "back",
}


def _true_height_mm(
    scene: Scene,
    code: LevelCode,
    level: Level,
    obliquity: Mapping[LevelCode, Mapping[EdgeKind, Obliquity]],
) -> float:
    """Height of a level that the side outline shows, corrected for how near its edge is.

    The breast, or the half of the seat, that makes the outline lies nearer to the camera than the
    middle of the body (or farther), so it is seen lower or higher than it is.
    """
    if code not in _SHOWN_BY:
        return level.height_mm
    low, high = scene.front.at(level.height_mm)
    back, front = scene.side.at(level.height_mm)
    if not np.isfinite(high - low + front - back):
        return level.height_mm
    solution, theta = scene.solution, scene.solution.theta
    away = float(solution.distance_mm(theta, "side"))
    camera_up = float(solution.value("side.y") - solution.value("side.floor"))
    aside = float(solution.value("side.x")) - scene.ankle_side_mm
    kind = _SHOWN_BY[code]
    edge = front if kind == "front" else back
    # Outward along the picture, where she faces right or left, against where the camera is.
    outward = scene.facing if kind == "front" else -scene.facing
    slope = outward * (scene.facing * edge - aside) / away
    nearer = np.sign(slope) * obliquity[code][kind].lobes * (high - low)
    return float(level.height_mm - (level.height_mm - camera_up) * nearer / away)


def _cut(
    scene: Scene, look: Look, view: View, nominal: Profile, code: LevelCode, level: Level
) -> Cut | None:
    low, high = nominal.at(level.height_mm)
    if not np.isfinite(high - low):
        return None
    silhouette = look.silhouette
    rows = silhouette.rows_px
    pixels = []
    clear = []
    for side, edge in enumerate((silhouette.left_px, silhouette.right_px)):
        have = np.isfinite(edge)
        points = np.stack([edge[have], rows[have]], axis=1)
        reach = scene.reach_mm(view, np.array([level.height_mm]))
        heights = scene.solution.on_body(
            scene.solution.theta, view, points, np.broadcast_to(reach, len(points))
        )[:, 1]
        # Rows run downwards, heights upwards.
        row = float(np.interp(level.height_mm, heights[::-1], rows[have][::-1]))
        place = int(np.clip(np.searchsorted(rows, row), 0, len(rows) - 1))
        around = slice(max(place - 3, 0), place + 4)
        pixels.append([float(np.nanmedian(edge[around])), row])
        clear.append(bool(silhouette.clear[around, side].mean() > 0.5))
    return Cut(code, view, np.array(pixels), np.array(clear), nominal, level)
