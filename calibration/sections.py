"""What a tape would read on a posed body: sections, level heights, lengths.

A girth is the convex hull of the section without arms: a taut, level tape, with the arms down (pose
`tape`). Breadths and depths are those of the pose `front`; at the high bust, where the raised arms
hide the trunk, of `tape` as well.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from calibration.levels import (
    HALF_TAPE_MM,
    SEAT,
    UNDER_ARMPIT_MM,
    WAIST,
    LevelError,
    Levels,
    check_order,
    high_hip_mm,
    inward_turn,
    nearest_peak,
    settled,
)
from calibration.profiles import Profile, armpit_heights_mm, is_arm_loop, profiles, skin_cut
from calibration.slicing import convex_girth, cut

if TYPE_CHECKING:
    from calibration.bodies import BodyRecipe, PosedBody

__all__ = ["Profile", "Section", "Truth", "measure", "measure_poses", "profiles", "section"]

Floats = npt.NDArray[np.float64]

_STEP_MM = 2.0
# The underbust lies above this height over the usual waist; judged.
_OVER_WAIST_MM = 10.0
# Waist and seat lie at least this far below the level above them; judged.
_APART_MM = 8.0
# Fewer rows between waist and bust leave no room for an underbust; judged.
_FEWEST_ROWS = 10
# Density of the whole body with half-full lungs, kg per litre (from memory: 1.0 to 1.02).
_DENSITY = 1.01


@dataclass(frozen=True)
class Section:
    """One level of a body.

    Args:
        height_mm: over the floor.
        girth_mm: convex hull of the section without arms.
        breadth_mm: extent in x.
        depth_mm: extent in z.
        middle_x_mm: midpoint of the breadth.
        middle_z_mm: midpoint of the depth.
    """

    height_mm: float
    girth_mm: float
    breadth_mm: float
    depth_mm: float
    middle_x_mm: float
    middle_z_mm: float


@dataclass(frozen=True)
class Truth:
    """Everything that is known of one body.

    Args:
        name: the recipe's.
        stature_mm: floor to the top of the hairless head.
        mass_kg: volume times a usual density; only to say how heavy the population is.
        levels: by level code.
        lengths_mm: `shoulder_width` (straight between the shoulder points, arms down),
            `back_waist_length` (nape to waist along the skin of the centre back), `arm_length`
            (shoulder point to elbow joint to wrist joint), `inside_leg` (crotch to floor),
            `waist_to_hip` (vertical), and heights over the floor: `shoulder_height`,
            `nape_height`, `chin_height`, `eye_height`, `armpit_height_tape`,
            `armpit_height_front`, `bust_point_height`, `mid_waist_height` (midway
            between lowest rib and hip bone); between joints: `shoulder_joint_breadth`
            (front pose), `shoulder_joint_height` (front pose), `shoulder_to_wrist_joint`,
            `hip_joint_height`.
    """

    name: str
    stature_mm: float
    mass_kg: float
    levels: dict[str, Section]
    lengths_mm: dict[str, float]

    def to_json(self) -> str:
        """Give all values as indented JSON."""
        return json.dumps(asdict(self), indent=1)


def section(body: PosedBody, height_mm: float) -> Section:
    """Measure one level of a body, arms left out, both legs together.

    Args:
        body: the body.
        height_mm: height of the level.

    Raises:
        LevelError: the plane meets no trunk and no leg.
    """
    here = skin_cut(body, np.array([height_mm]))
    own = ~is_arm_loop(here, body.part)
    points = here.points_mm[own[here.loop]] if len(here.loop) else here.points_mm
    if len(points) < 3:
        raise LevelError(f"nothing to measure at {height_mm:.0f} mm")
    low, high = points.min(axis=0), points.max(axis=0)
    return Section(
        height_mm=float(height_mm),
        girth_mm=convex_girth(points),
        breadth_mm=float(high[0] - low[0]),
        depth_mm=float(high[1] - low[1]),
        middle_x_mm=float((high[0] + low[0]) / 2.0),
        middle_z_mm=float((high[1] + low[1]) / 2.0),
    )


def _between(heights: Floats, low: float, high: float) -> npt.NDArray[np.bool_]:
    return np.asarray((heights >= low) & (heights <= high))


def _breast_front(body: PosedBody, heights: Floats) -> Floats:
    """Give the foremost point of the breasts at each height, -inf where there is none."""
    here = skin_cut(body, heights)
    of_breast = body.is_breast[here.vertex]
    front = np.full(len(heights), -np.inf)
    np.maximum.at(front, here.level[of_breast], here.points_mm[of_breast, 1])
    return front


def _pair(body: PosedBody, name: str) -> Floats:
    return (body.joints_mm[f"{name}_left"] + body.joints_mm[f"{name}_right"]) / 2.0


def find_levels(front: PosedBody, tape: PosedBody, name: str) -> Levels:
    """Find the six levels of a body by their definitions.

    Args:
        front: the body in the pose of the front photo.
        tape: the same body with the arms down.
        name: for the message when something is wrong.

    Raises:
        LevelError: levels out of order.
    """
    outline = profiles(front, "side", arms=False, step_mm=_STEP_MM)
    breadth = profiles(front, "front", arms=False, step_mm=_STEP_MM)
    heights = outline.heights_mm
    stature = float(front.vertices_mm[:, 1].max())
    bust_y, usual_waist = _pair(front, "bust_point")[1], WAIST.usual * stature
    near_bust = heights[_between(heights, bust_y - 80.0, bust_y + 50.0)]
    full_bust = nearest_peak(near_bust, _breast_front(front, near_bust), bust_y)
    rows = _between(heights, usual_waist + _OVER_WAIST_MM, full_bust)
    if rows.sum() < _FEWEST_ROWS:
        raise LevelError(f"{name}: the bust reaches down to the waist")
    underbust = inward_turn(heights[rows], outline.right_mm[rows]) - HALF_TAPE_MM
    free = settled(WAIST, heights, breadth.extent_mm(), stature)
    waist = min(free, underbust - _APART_MM)
    high_hip = high_hip_mm(free, waist)
    armpits = armpit_heights_mm(
        skin_cut(tape, np.arange(bust_y - 200.0, tape.joints_mm["nape"][1], 1.0)), tape.part
    )
    levels = Levels(
        high_bust=min(armpits) - UNDER_ARMPIT_MM,
        full_bust=full_bust,
        underbust=underbust,
        waist=waist,
        high_hip=high_hip,
        full_hip=min(settled(SEAT, heights, outline.left_mm, stature), high_hip - _APART_MM),
    )
    check_order(levels, name)
    return levels


def _back_waist_length(body: PosedBody, waist_mm: float) -> float:
    """Follow the skin of the centre back from the nape down to the waist."""
    faces = body.faces[~body.is_eye[body.faces[:, 0]]]
    # The plane x = 0.1 mm: cut() cuts at right angles to its second coordinate.
    across = cut(body.vertices_mm[:, [1, 0, 2]], faces, np.array([0.1]))
    nape = body.joints_mm["nape"]
    up, out = across.points_mm[:, 0], across.points_mm[:, 1]
    behind = (up > waist_mm - 40.0) & (up < nape[1]) & (out < nape[2] + 20.0)
    order = np.argsort(up[behind])
    rows = np.linspace(waist_mm, nape[1], 200)
    skin_z = np.interp(rows, up[behind][order], out[behind][order])
    return float(np.hypot(np.diff(rows), np.diff(skin_z)).sum())


def _arm_length(tape: PosedBody, start: str) -> float:
    lengths = []
    for side in ("left", "right"):
        chain = [tape.joints_mm[f"{name}_{side}"] for name in (start, "elbow", "wrist")]
        lengths.append(sum(np.linalg.norm(np.diff(chain, axis=0), axis=1)))
    return float(np.mean(lengths))


def _lengths(front: PosedBody, tape: PosedBody, levels: Levels) -> dict[str, float]:
    joints = tape.joints_mm
    rows = np.arange(_pair(front, "bust_point")[1] - 200.0, joints["nape"][1], 1.0)
    width = joints["shoulder_point_left"] - joints["shoulder_point_right"]
    joint_breadth = front.joints_mm["shoulder_left"] - front.joints_mm["shoulder_right"]
    return {
        "shoulder_width": float(np.linalg.norm(width)),
        "back_waist_length": _back_waist_length(front, levels.waist),
        "arm_length": _arm_length(tape, "shoulder_point"),
        "inside_leg": float(joints["crotch"][1]),
        "waist_to_hip": levels.waist - levels.full_hip,
        "shoulder_height": float(_pair(tape, "shoulder_point")[1]),
        "nape_height": float(joints["nape"][1]),
        "chin_height": float(joints["chin"][1]),
        "eye_height": float(_pair(tape, "eye")[1]),
        "armpit_height_tape": levels.high_bust + UNDER_ARMPIT_MM,
        "armpit_height_front": min(armpit_heights_mm(skin_cut(front, rows), front.part)),
        "mid_waist_height": float(_pair(front, "waist")[1]),
        "bust_point_height": float(_pair(front, "bust_point")[1]),
        "shoulder_joint_breadth": float(np.linalg.norm(joint_breadth)),
        "shoulder_joint_height": float(_pair(front, "shoulder")[1]),
        "shoulder_to_wrist_joint": _arm_length(tape, "shoulder"),
        "hip_joint_height": float(_pair(front, "hip")[1]),
    }


def _volume_l(body: PosedBody) -> float:
    a, b, c = (body.vertices_mm[body.faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->i", np.cross(a, b), c).sum() / 6e6)


def measure_poses(front: PosedBody, tape: PosedBody, name: str) -> Truth:
    """Measure a body that is already posed.

    Args:
        front: in the pose of the front photo.
        tape: in the pose with the arms down.
        name: for the record and for messages.

    Raises:
        LevelError: a level that makes no sense.
    """
    levels = find_levels(front, tape, name)
    found = {}
    for code, height in levels.heights_mm().items():
        as_taped = section(tape, height)
        as_seen = as_taped if code == "high_bust" else section(front, height)
        found[code] = replace(as_seen, girth_mm=as_taped.girth_mm)
    return Truth(
        name=name,
        stature_mm=float(tape.vertices_mm[:, 1].max()),
        mass_kg=_DENSITY * abs(_volume_l(tape)),
        levels=found,
        lengths_mm=_lengths(front, tape, levels),
    )


def measure(recipe: BodyRecipe) -> Truth:
    """Shape, pose and measure one woman.

    Args:
        recipe: who she is.

    Raises:
        LevelError: a level that makes no sense on her.
    """
    from calibration.bodies import pose

    return measure_poses(pose(recipe, "front"), pose(recipe, "tape"), recipe.name)
