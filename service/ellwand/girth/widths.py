"""Breadths and depths at the levels, as a function of everything that can be off.

All inputs stand in one vector of standardised values, so that Monte Carlo and first order run
through the same arithmetic (see `budget`).
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ellwand.geometry.levels import Level
from ellwand.geometry.profile import Profile
from ellwand.geometry.scene import Scene
from ellwand.geometry.wall import View
from ellwand.girth.budget import Input
from ellwand.measurements import LEVELS, LevelCode
from ellwand.photo.look import Look

FloatArray = NDArray[np.float64]

# One edge of the outline, mm: measured on renderings (vision.md: width sd 2.5-4 mm, two edges);
# where no step of colour was found the mask alone decides.
EDGE_U_MM, UNCLEAR_EDGE_U_MM = 2.0, 5.0
# The ankle that the standoff is measured to, found in the other photo (judged).
BODY_PLANE_U_MM = 12.0

EDGE, LEVEL, PLANE = "outline edge", "level height", "place of the ankle in the photo"


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
    """

    scene: Scene
    cuts: tuple[Cut, ...]
    levels: dict[LevelCode, Level]

    @property
    def inputs(self) -> list[Input]:
        """All inputs of the function, in order."""
        inputs = [Input(cause, 0.0, 1.0) for cause in self.scene.solution.causes]
        inputs += [Input(PLANE, 0.0, BODY_PLANE_U_MM) for _ in ("front", "side")]
        inputs += [Input(LEVEL, 0.0, self.levels[code].u_mm) for code in LEVELS]
        for cut in self.cuts:
            inputs += [
                Input(EDGE, 0.0, EDGE_U_MM if clear else UNCLEAR_EDGE_U_MM) for clear in cut.clear
            ]
        return inputs

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
        solution = self.scene.solution
        causes = len(solution.causes)
        theta = solution.draws(inputs[:, :causes])
        plane = dict(zip(("front", "side"), inputs[:, causes : causes + 2].T, strict=True))
        moves = dict(zip(LEVELS, inputs[:, causes + 2 : causes + 2 + len(LEVELS)].T, strict=True))
        edges = inputs[:, causes + 2 + len(LEVELS) :]
        columns = []
        for i, cut in enumerate(self.cuts):
            reach = self._reach(cut) + plane[cut.view][:, None]
            ends = solution.on_body(
                theta, cut.view, cut.pixels, np.broadcast_to(reach, (len(inputs), 2))
            )
            seen = ends[:, 1, 0] - ends[:, 0, 0] + edges[:, 2 * i + 1] - edges[:, 2 * i]
            columns.append(seen * self._moved(cut, moves[cut.code]) * self._tangent(cut))
        return np.stack(columns, axis=1)

    def _reach(self, cut: Cut) -> float:
        return float(self.scene.reach_mm(cut.view, np.array([cut.level.height_mm]))[0])

    def _moved(self, cut: Cut, by_mm: FloatArray) -> FloatArray:
        """Ratio of the width a little higher or lower to the width at the level."""
        seen = np.isfinite(cut.nominal.extent_mm)
        heights, extent = cut.nominal.heights_mm[seen], cut.nominal.extent_mm[seen]
        here = np.interp(cut.level.height_mm, heights, extent)
        ratio: FloatArray = np.interp(cut.level.height_mm + by_mm, heights, extent) / here
        return ratio

    def _tangent(self, cut: Cut) -> float:
        """A line of sight touches a round body a little in front of its middle.

        The outline of an ellipse with half-depth b, seen from D, is wider than its axis by
        1 / sqrt(1 - (b / D)^2) in the plane of its middle (sources.md, section 6, for a circle).
        """
        other = self.scene.side if cut.view == "front" else self.scene.front
        low, high = other.at(cut.level.height_mm)
        half = (high - low) / 2 if np.isfinite(high - low) else 0.0
        away = float(self.scene.solution.distance_mm(self.scene.solution.theta, cut.view))
        return float(np.sqrt(1 - (half / away) ** 2))


def cut_levels(
    scene: Scene, looks: dict[View, Look], levels: dict[LevelCode, Level]
) -> Widths:
    """Find the pixels on both outlines at every level.

    Args:
        scene: cameras and profiles.
        looks: what the photos hold.
        levels: where to cut.

    Returns:
        The cuts that the photos show; from the front, the high bust is none of them, because arm
        and trunk touch there.
    """
    cuts = []
    for code in LEVELS:
        for view, nominal in (("front", scene.front), ("side", scene.side)):
            if view == "front" and code == "high_bust":
                continue
            found = _cut(scene, looks[view], view, nominal, code, levels[code])
            if found is not None:
                cuts.append(found)
    return Widths(scene, tuple(cuts), levels)


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
