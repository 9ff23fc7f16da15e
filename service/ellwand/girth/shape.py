"""What both outlines show of her shape, as a function of everything that can be off.

Edges are read at the six levels, a little over the high bust, and on an even ladder of heights from
thigh to armpit. All inputs stand in one vector, so that Monte Carlo and first order run through the
same arithmetic (see `budget`).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from ellwand.geometry.levels import Level
from ellwand.geometry.profile import STEP_MM, Profile
from ellwand.geometry.scene import Scene
from ellwand.geometry.sighting import VIEWS, View
from ellwand.girth.budget import Input
from ellwand.girth.ellipse import ellipse_perimeter
from ellwand.girth.hand import BY_HAND, Hand
from ellwand.language import gettext_noop
from ellwand.measurements import LEVELS, LevelCode
from ellwand.photo.look import Look

FloatArray = NDArray[np.float64]

# Rungs of the ladder, as fractions of the stature: from below the seat to above the armpit. From
# the front, arm and trunk touch over the armpit, so breadths end there.
RUNGS = tuple(round(0.48 + 0.02 * k, 2) for k in range(15))
_HIGHEST_BREADTH = 0.745
# So far below the armpit the trunk's outline is carried up from (photo.outline), and a little more.
_CARRIED_FROM_MM = 20.0
_SHOWN_FROM_FRONT = ("high_bust", "waist", "high_hip")
# Blocks of inputs that only a hand brings.
_OF_HAND = ("bends", "placed")
COLLAR, _COLLAR_OVER_HIGH_BUST_MM = "collar", 30.0

# One edge of the outline, mm: what a whole edge and what one place of it is off (rendered photos,
# calibration/report.md); where no step of colour was found the mask alone decides.
EDGE_COMMON_U_MM, EDGE_U_MM, UNCLEAR_EDGE_U_MM = 0.3, 0.8, 5.0
# The ankle that the standoff is measured to, found in the other photo (judged).
BODY_PLANE_U_MM = 12.0
# How far she is turned out of square to the wall, feet on a mark (judged). The two halves of bust
# and seat lie about a quarter of the breadth from the middle, so turned by t one of them is seen
# farther out by this quarter times t.
TURN_U_DEG, _HALF_TO_MIDDLE = 1.5, 0.25
# Shoulder landmarks of the pose library, each, across and up (rendered photos).
SHOULDER_U_MM = 6.5

EDGE = gettext_noop("outline edge")
PLANE = gettext_noop("place of the ankle in the photo")
TURN = gettext_noop("turned out of square")
LANDMARK = gettext_noop("landmarks")


def feature_names() -> tuple[str, ...]:
    """Names of what is read off the outlines, in order: `place.kind`."""
    named = {
        "high_bust": ("depth", "front", "height"),
        COLLAR: ("depth", "front"),
        "full_bust": ("breadth", "depth", "ellipse", "front", "height"),
        "underbust": ("breadth", "depth", "ellipse", "front", "height"),
        "waist": ("breadth", "depth", "ellipse", "front", "height"),
        "high_hip": ("breadth", "depth", "ellipse"),
        "full_hip": ("breadth", "depth", "ellipse", "back", "height"),
    }
    names = [f"{place}.{kind}" for place, kinds in named.items() for kind in kinds]
    for rung in RUNGS:
        names += [f"{rung:.2f}.ellipse"] if rung < _HIGHEST_BREADTH else []
        # Fronts count from the middle of all rungs, so one of them follows from the others.
        names += [f"{rung:.2f}.{kind}" for kind in ("depth", "front")][
            : 1 if rung == RUNGS[0] else 2
        ]
    return (*names, "shoulders.breadth", "shoulders.height")


@dataclass(frozen=True, eq=False)
class Place:
    """One height in both views.

    Args:
        name: a level, `collar`, or a rung.
        rung: fraction of the stature, None where the place is found in the outline.
        pixels: by view: (2, 2) both ends on the outline.
        clear: by view: (2) whether each end is a step of colour.
        height_mm: over the floor.
        slopes: by view: (2) how far each edge moves to the right per mm of height.
        square: by view: (2) how far to the right each edge is seen because of slanting sight, mm.
    """

    name: str
    rung: float | None
    height_mm: float
    pixels: Mapping[View, FloatArray]
    clear: Mapping[View, NDArray[np.bool_]]
    slopes: Mapping[View, FloatArray]
    square: Mapping[View, FloatArray]


@dataclass(frozen=True, eq=False)
class Shape:
    """The function of the inputs and what it needs.

    Args:
        scene: cameras and profiles.
        places: where the outlines are read.
        reach_mm: by view: (places) how far the outline lies in front of the standoff plane.
        shoulders_px: (2, 2) shoulder landmarks in the front photo.
        levels: the six levels as found.
        turn_u_deg: how far she may be turned out of square.
        hand: what was put right by hand; `levels` have it already, edges have it here.
    """

    scene: Scene
    places: tuple[Place, ...]
    reach_mm: Mapping[View, FloatArray]
    shoulders_px: FloatArray
    levels: Mapping[LevelCode, Level]
    turn_u_deg: float = TURN_U_DEG
    hand: Hand = field(default_factory=Hand)

    def blocks(self) -> dict[str, list[Input]]:
        """Inputs of the function by block, in order, as sure as what is found by itself.

        The last two are those of the hand, without its doubt (see `inputs_of_hand`).
        """
        return {
            "observations": [Input(cause, 0.0, 1.0) for cause in self.scene.solution.causes],
            "plane": [Input(PLANE, 0.0, BODY_PLANE_U_MM) for _ in VIEWS],
            "turn": [Input(TURN, 0.0, float(np.radians(self.turn_u_deg)))],
            "common": [Input(EDGE, 0.0, EDGE_COMMON_U_MM) for _ in VIEWS for _ in range(2)],
            "edge": [
                Input(EDGE, 0.0, EDGE_U_MM if clear else UNCLEAR_EDGE_U_MM)
                for place in self.places
                for view in VIEWS
                for clear in place.clear[view]
            ],
            "shoulders": [Input(LANDMARK, 0.0, SHOULDER_U_MM) for _ in range(4)],
            "bends": [Input(BY_HAND, 0.0, 0.0) for _ in self.hand.latest()],
            "placed": [Input(BY_HAND, 0.0, 0.0) for _ in self.hand.levels],
        }

    def inputs_of_photos(self) -> list[Input]:
        """The inputs but for those of the hand; an end that a hand has placed is its own doubt."""
        latest = self.hand.latest()
        blocks = self.blocks()
        ends = [
            (view, place.name, end) for place in self.places for view in VIEWS for end in (0, 1)
        ]
        blocks["edge"] = [
            replace(one, u=0.0) if end in latest else one
            for end, one in zip(ends, blocks["edge"], strict=True)
        ]
        return [entry for name, block in blocks.items() if name not in _OF_HAND for entry in block]

    def inputs_of_hand(self, found_u_mm: Mapping[LevelCode, float]) -> list[Input]:
        """The last inputs with the doubt of the hand.

        What a level is off as it is found is part of what the girth model was fitted on and cannot
        be taken out of it: so a hand that is less sure adds what is missing, and one that is surer
        takes nothing away.

        Args:
            found_u_mm: how surely levels are found, by code.
        """
        ends = [Input(BY_HAND, 0.0, bend.u_mm) for bend in self.hand.latest().values()]
        return ends + [
            Input(BY_HAND, 0.0, float(np.sqrt(max(u**2 - found_u_mm[code] ** 2, 0.0))))
            for code, u in self.hand.levels.items()
        ]

    @property
    def inputs(self) -> list[Input]:
        """All inputs of the function, in order."""
        return [entry for block in self.blocks().values() for entry in block]

    def __call__(self, inputs: FloatArray) -> FloatArray:
        """What is read off the outlines.

        Args:
            inputs: (n, m) values of `inputs`.

        Returns:
            (n, features + 1) values in the order of `feature_names`, mm, and the stature.
        """
        blocks = self.blocks()
        ends = np.cumsum([len(block) for block in blocks.values()])
        given = dict(zip(blocks, np.split(inputs, ends[:-1], axis=1), strict=True))
        theta = self.scene.solution.draws(given["observations"])
        stature = self.scene.solution.value("stature", theta)
        edges, heights = self._edges(theta, stature, given)
        read = self._read(edges, heights)
        at = self.scene.solution.on_body(theta, "front", self.shoulders_px, np.zeros(2))
        moved = at + given["shoulders"].reshape(-1, 2, 2)
        read["shoulders.breadth"] = np.abs(moved[:, 1, 0] - moved[:, 0, 0])
        read["shoulders.height"] = moved[..., 1].mean(axis=1)
        return np.stack([*(read[name] for name in feature_names()), stature], axis=1)

    def _edges(
        self, theta: FloatArray, stature: FloatArray, given: Mapping[str, FloatArray]
    ) -> tuple[FloatArray, FloatArray]:
        """(n, places, views, 2) edges and (n, places, views) heights, mm."""
        n, count = len(theta), len(self.places)
        edges, heights = np.empty((n, count, 2, 2)), np.empty((n, count, 2))
        for v, view in enumerate(VIEWS):
            pixels = np.concatenate([place.pixels[view] for place in self.places])
            reach = np.repeat(self.reach_mm[view], 2) + given["plane"][:, v, None]
            points = self.scene.solution.on_body(theta, view, pixels, reach)
            points = points.reshape(n, count, 2, 2)
            edges[:, :, v], heights[:, :, v] = points[..., 0], points[..., 1].mean(axis=2)
            for k, place in enumerate(self.places):
                edges[:, k, v] -= place.square[view]
                if place.rung is not None:
                    off = place.rung * stature - heights[:, k, v]
                    edges[:, k, v] += off[:, None] * place.slopes[view]
        self._put_right(edges, heights, given)
        local = given["edge"].reshape(n, count, 2, 2)
        edges += local + given["common"].reshape(n, 1, 2, 2)
        # Turned, the side photo shows one half of bust and seat farther out, the other half behind.
        breadth = edges[:, :, 0, 1] - edges[:, :, 0, 0]
        edges[:, :, 1, 1] += _HALF_TO_MIDDLE * breadth * given["turn"]
        return edges, heights

    def _put_right(
        self, edges: FloatArray, heights: FloatArray, given: Mapping[str, FloatArray]
    ) -> None:
        """Move edges and heights as the hand has, and by what its own doubt adds."""
        for k, place in enumerate(self.places):
            for v, view in enumerate(VIEWS):
                edges[:, k, v] += self._bent_mm(place, view)
        at = np.array([place.height_mm for place in self.places])
        for bend, off in zip(self.hand.latest().values(), given["bends"].T, strict=True):
            edges[:, :, VIEWS.index(bend.view), bend.end] += off[:, None] * bend.fading(at)
        for code, off in zip(self.hand.levels, given["placed"].T, strict=True):
            # The collar is defined by the high bust.
            names = (code, COLLAR) if code == "high_bust" else (code,)
            for k, place in enumerate(self.places):
                if place.name in names:
                    for v, view in enumerate(VIEWS):
                        edges[:, k, v] += off[:, None] * place.slopes[view]
                    heights[:, k] += off[:, None]

    def _read(self, edges: FloatArray, heights: FloatArray) -> dict[str, FloatArray]:
        """Features of every place, (n) each."""
        # From the middle line of the trunk, towards where she faces.
        rungs = [k for k, place in enumerate(self.places) if place.rung is not None]
        middle = edges[:, rungs, 1].mean(axis=(1, 2))
        facing = self.scene.facing
        front, back = (1, 0) if facing > 0 else (0, 1)
        read: dict[str, FloatArray] = {}
        for k, place in enumerate(self.places):
            breadth = edges[:, k, 0, 1] - edges[:, k, 0, 0]
            depth = edges[:, k, 1, 1] - edges[:, k, 1, 0]
            ends = facing * (edges[:, k, 1] - middle[:, None])
            shown_in = 0 if place.name in _SHOWN_FROM_FRONT else 1
            read |= {
                f"{place.name}.breadth": breadth,
                f"{place.name}.depth": depth,
                f"{place.name}.ellipse": ellipse_perimeter(breadth, depth),
                f"{place.name}.front": ends[:, front],
                f"{place.name}.back": ends[:, back],
                f"{place.name}.height": heights[:, k, shown_in],
            }
        return read

    def ends_px(self, code: LevelCode, view: View) -> FloatArray:
        """(2, 2) both ends of a level on the outline, where the hand has put them."""
        k, place = next((k, one) for k, one in enumerate(self.places) if one.name == code)
        ends: FloatArray = place.pixels[view].copy()
        moved = self._bent_mm(place, view)
        if moved.any():
            ends[:, 0] += moved / self._mm_per_px(view, ends, self.reach_mm[view][k])
        return ends

    def without_bends(self) -> "Shape":
        """The same with the ends of all levels where they were traced."""
        return replace(self, hand=replace(self.hand, bends=()))

    def widened_mm(self, code: LevelCode, view: View) -> float:
        """By how much a hand has moved the ends of a level apart, mm."""
        left, right = self._bent_mm(next(one for one in self.places if one.name == code), view)
        return float(right - left)

    def _bent_mm(self, place: Place, view: View) -> FloatArray:
        """(2,) how far a hand has moved both ends to the right at a place."""
        moved = np.zeros(2)
        for bend in self.hand.bends:
            if bend.view == view:
                moved[bend.end] += bend.by_mm * bend.fading(np.array([place.height_mm]))[0]
        return moved

    def _mm_per_px(self, view: View, pixels: FloatArray, reach_mm: float) -> float:
        """Size of a pixel at the first of some pixels, across."""
        solution = self.scene.solution
        beside = np.stack([pixels[0], pixels[0] + np.array([1.0, 0.0])])
        seen = solution.on_body(solution.theta, view, beside, np.full(2, reach_mm))
        return float(seen[1, 0] - seen[0, 0])


def read_shape(
    scene: Scene,
    square: tuple[Profile, Profile],
    looks: Mapping[View, Look],
    levels: Mapping[LevelCode, Level],
    hand: Hand | None = None,
) -> Shape:
    """Find the pixels on both outlines at every place.

    Args:
        scene: cameras and profiles.
        square: both profiles as seen square.
        looks: what the photos hold.
        levels: the six levels.
        hand: what was put right by hand.
    """
    stature = float(scene.solution.value("stature"))
    heights = {str(code): levels[code].height_mm for code in LEVELS}
    heights[COLLAR] = heights["high_bust"] + _COLLAR_OVER_HIGH_BUST_MM
    rungs: dict[str, float | None] = dict.fromkeys(heights)
    for rung in RUNGS:
        heights[f"{rung:.2f}"], rungs[f"{rung:.2f}"] = rung * stature, rung
    wanted = np.array(list(heights.values()))
    reach = {view: scene.reach_mm(view, wanted) for view in VIEWS}
    read = {view: _ends(scene, looks[view], view, wanted, reach[view]) for view in VIEWS}
    if scene.armpit_mm is not None:
        # There the trunk is carried up; what that is off is part of what the model was fitted on.
        read["front"][1][wanted > scene.armpit_mm - _CARRIED_FROM_MM] = True
    profiles = dict(zip(VIEWS, (scene.front, scene.side), strict=True))
    slopes = {view: _slopes(profiles[view], wanted, view, scene.facing) for view in VIEWS}
    slants = {
        view: _in_photo(_at(profiles[view], wanted) - _at(straight, wanted), view, scene.facing)
        for view, straight in zip(VIEWS, square, strict=True)
    }
    places = tuple(
        Place(
            name,
            rungs[name],
            heights[name],
            {view: read[view][0][k] for view in VIEWS},
            {view: read[view][1][k] for view in VIEWS},
            {view: slopes[view][k] for view in VIEWS},
            {view: slants[view][k] for view in VIEWS},
        )
        for k, name in enumerate(heights)
    )
    marks = looks["front"].body.landmarks_px
    shoulders = np.array([marks["left_shoulder"], marks["right_shoulder"]])
    return Shape(scene, places, reach, shoulders, levels, hand=hand or Hand())


def _ends(
    scene: Scene, look: Look, view: View, wanted_mm: FloatArray, reach_mm: FloatArray
) -> tuple[FloatArray, NDArray[np.bool_]]:
    """Pixels (places, 2, 2) of the outline at wanted heights, and whether they are clear."""
    silhouette = look.silhouette
    rows = silhouette.rows_px
    pixels = np.empty((len(wanted_mm), 2, 2))
    clear = np.empty((len(wanted_mm), 2), dtype=bool)
    for side, edge in enumerate((silhouette.left_px, silhouette.right_px)):
        have = np.isfinite(edge)
        seen_rows, seen_edge = rows[have], edge[have]
        points = np.stack([seen_edge, seen_rows], axis=1)
        for k, (wanted, reach) in enumerate(zip(wanted_mm, reach_mm, strict=True)):
            heights = scene.solution.on_body(
                scene.solution.theta, view, points, np.full(len(points), reach)
            )[:, 1]
            # Rows run downwards, heights upwards.
            row = float(np.interp(wanted, heights[::-1], seen_rows[::-1]))
            place = int(np.argmin(np.abs(seen_rows - row)))
            around = slice(max(place - 3, 0), place + 4)
            # A straight line through the rows around it, so that one stray row does little harm.
            level = np.polyfit(seen_rows[around] - row, seen_edge[around], 1)[1]
            pixels[k, side] = level, row
            clear[k, side] = silhouette.clear[have][around, side].mean() > 0.5
    return pixels, clear


def _at(seen: Profile, wanted_mm: FloatArray) -> FloatArray:
    """(places, 2) low and high edge at wanted heights; gaps are bridged."""
    edges = []
    for edge in (seen.low_mm, seen.high_mm):
        have = np.isfinite(edge)
        edges.append(np.interp(wanted_mm, seen.heights_mm[have], edge[have]))
    return np.stack(edges, axis=1)


def _in_photo(edges: FloatArray, view: View, facing: int) -> FloatArray:
    """Steps of low and high edge as steps to the right of the left and the right edge."""
    # A side profile counts towards where she faces; facing left, its front is the left edge.
    return -edges[:, ::-1] if view == "side" and facing < 0 else edges


def _slopes(seen: Profile, wanted_mm: FloatArray, view: View, facing: int) -> FloatArray:
    """(places, 2) how far the left and the right edge in the photo move per mm of height."""
    step = 2 * STEP_MM
    rise = (_at(seen, wanted_mm + step) - _at(seen, wanted_mm - step)) / (2 * step)
    return _in_photo(rise, view, facing)
