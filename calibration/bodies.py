"""Invented women of an open parametric body model, posed as for the two photos and the tape.

Body frame: origin on the floor, x to the right as the camera sees her in the front photo (her
left), y up, z the way she faces; x = 0 midway between the feet, z = 0 at the outer ankle bones;
millimetres. Needs `anny` and `torch`, but only once a body is asked for.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
import numpy.typing as npt

from calibration.posing import Skeleton, skin, turn_bones
from calibration.recipe import LOCAL_CHANGES, BodyRecipe, random_recipe

__all__ = ["PARTS", "BodyRecipe", "Pose", "PosedBody", "pose", "random_recipe"]

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Pose = Literal["rest", "front", "side", "tape"]

PARTS = ("trunk", "head", "left_arm", "right_arm", "left_leg", "right_leg")
_ROOTS = {
    "head": ("neck01",),
    "left_arm": ("upperarm01.L",),
    "right_arm": ("upperarm01.R",),
    "left_leg": ("upperleg01.L",),
    "right_leg": ("upperleg01.R",),
}
_JOINT_BONES = {
    "shoulder": "upperarm01",
    "elbow": "lowerarm01",
    "wrist": "wrist",
    "knuckle": "finger3-1",
    "hip": "upperleg01",
    "knee": "lowerleg01",
    "ankle": "foot",
    "eye": "eye",
}
# On the reference woman, so that the means over `random_recipe` come to the means of ANSUR II
# women: seventh neck vertebra at 0.857 of stature, 0.225 of it between the shoulder points.
_NAPE_FRACTION = 0.852
_HALF_SHOULDER_FRACTION = 0.105
# Likewise midway between tenth rib and hip bone (0.649 and 0.612 of stature).
_WAIST_FRACTION = 0.642
# A vertex belongs to the breast when the cup moves it by more than this; judged.
_BREAST_MOVE_MM = 4.0
DEFAULT_ARM_DEG = 55.0


@dataclass(frozen=True, eq=False)
class PosedBody:
    """A watertight skin in a pose, with its landmarks; arrays are read-only.

    Args:
        vertices_mm: (V, 3) points in the body frame.
        faces: (F, 3) indices, outward.
        joints_mm: name to (3,) point. Joints within the body: shoulder, elbow, wrist, knuckle,
            hip, knee, ankle, eye with `_left` or `_right`, and `neck`. Points of the skin:
            `shoulder_point_*` (top of the shoulder's outer end), `ankle_bone_*`, `bust_point_*`,
            `waist_*`, `nape`, `chin`, `crotch`, `crown`.
        part: (V,) index into `PARTS` of the part that moves the vertex most.
        part_weight: (V, 6) share of each part.
        is_breast: (V,) whether the vertex belongs to a breast.
        is_eye: (V,) whether it belongs to an eyeball (closed spheres apart from the skin).
    """

    vertices_mm: Floats
    faces: Ints
    joints_mm: dict[str, Floats]
    part: Ints
    part_weight: Floats
    is_breast: npt.NDArray[np.bool_]
    is_eye: npt.NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class _Model:
    """The loaded body model, reduced to the skin and the eyeballs."""

    network: object
    kept: Ints
    faces: Ints
    bones: tuple[str, ...]
    parents: tuple[int, ...]
    bone_weight: Floats
    part_weight: Floats
    is_breast: npt.NDArray[np.bool_]
    is_eye: npt.NDArray[np.bool_]
    marks: dict[str, int]


def _to_body_frame(points_m: Floats) -> Floats:
    return np.stack([points_m[..., 0], points_m[..., 2], -points_m[..., 1]], axis=-1) * 1000.0


def _rest_of(network: object, recipe: BodyRecipe) -> tuple[Floats, Floats]:
    """Give vertices and bone heads at rest, body frame axes, mm."""
    import torch

    torch.set_num_threads(1)
    with torch.no_grad():
        out = network(  # type: ignore[operator]
            pose_parameters=None,
            phenotype_kwargs=recipe.phenotype(),
            local_changes_kwargs=recipe.local_changes(),
        )
    return (
        _to_body_frame(out["rest_vertices"][0].double().numpy()),
        _to_body_frame(out["rest_bone_heads"][0].double().numpy()),
    )


def _dense_weights(network: object, kept: Ints) -> Floats:
    index = network.vertex_bone_indices.numpy()[kept]  # type: ignore[attr-defined]
    weight = network.vertex_bone_weights.double().numpy()[kept]  # type: ignore[attr-defined]
    dense = np.zeros((len(kept), len(network.bone_labels)))  # type: ignore[attr-defined]
    np.add.at(dense, (np.arange(len(kept))[:, None], index), weight)
    return dense


def _part_weights(bones: tuple[str, ...], parents: tuple[int, ...], dense: Floats) -> Floats:
    owner = np.zeros(len(bones), dtype=int)
    for number, bone in enumerate(bones):
        owner[number] = owner[parents[number]] if number else 0
        for part, roots in _ROOTS.items():
            if bone in roots:
                owner[number] = PARTS.index(part)
    return np.stack([dense[:, owner == k].sum(axis=1) for k in range(len(PARTS))], axis=1)


def _components(faces: Ints, count: int) -> Ints:
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    ends = (faces.ravel(), np.roll(faces, 1, axis=1).ravel())
    graph = coo_matrix((np.ones(len(ends[0])), ends), shape=(count, count))
    return np.asarray(connected_components(graph, directed=False)[1], dtype=np.int64)


def _find_marks(rest: Floats, heads: dict[str, Floats], skin_only: npt.NDArray[np.bool_],
                part_weight: Floats, cup_move: Floats) -> dict[str, int]:  # fmt: skip
    """Find the skin landmarks as vertices of the reference woman at rest."""
    low, high = rest[skin_only, 1].min(), rest[skin_only, 1].max()
    number = np.flatnonzero(skin_only)
    at = rest[number]
    mid = np.abs(at[:, 0]) < 1.0
    back, front = mid & (at[:, 2] < heads["neck01"][2]), mid & (at[:, 2] > heads["neck01"][2])
    head = part_weight[number, PARTS.index("head")] > 0.5

    def pick(mask: npt.NDArray[np.bool_], cost: Floats) -> int:
        return int(number[np.flatnonzero(mask)[np.argmin(cost[mask])]])

    nape_y = high - (1.0 - _NAPE_FRACTION) * (high - low)
    waist_y = high - (1.0 - _WAIST_FRACTION) * (high - low)
    arm = part_weight[number, 2:4].sum(axis=1) > 0.01
    nose_z = at[head & front, 2].max()
    marks = {
        "nape": pick(back, np.abs(at[:, 1] - nape_y)),
        "chin": pick(front & head & (at[:, 2] > nose_z - 35.0), at[:, 1]),
        "crotch": pick(mid, at[:, 1]),
        "crown": pick(np.ones_like(mid), -at[:, 1]),
    }
    for side, sign in (("left", 1.0), ("right", -1.0)):
        outer = sign * at[:, 0]
        ankle = heads[f"foot.{side[0].upper()}"]
        marks[f"shoulder_point_{side}"] = pick(
            (np.abs(outer - _HALF_SHOULDER_FRACTION * (high - low)) < 8.0) & ~head, -at[:, 1]
        )
        marks[f"ankle_bone_{side}"] = pick(
            (outer > 0) & (np.abs(at[:, 1] - ankle[1]) < 12.0) & (at[:, 2] < ankle[2] + 15.0),
            -outer,
        )
        moved = cup_move[number] > _BREAST_MOVE_MM
        marks[f"bust_point_{side}"] = pick(moved & (outer > 0), -at[:, 2])
        marks[f"waist_{side}"] = pick((np.abs(at[:, 1] - waist_y) < 10.0) & ~arm, -outer)
    return marks


@lru_cache(maxsize=1)
def _model() -> _Model:
    """Load the body model once; the first time ever takes minutes, later seconds."""
    import anny

    network = anny.Anny(
        topology="anny-full",
        phenotypes="all",
        local_changes=list(LOCAL_CHANGES),
        extrapolate_phenotypes=True,
    )
    faces = np.asarray(network.faces.numpy(), dtype=np.int64)
    total = len(network.template_vertices)
    label = _components(faces, total)
    size = np.bincount(label)
    bones, parents = tuple(network.bone_labels), tuple(int(p) for p in network.bone_parents)
    dense = _dense_weights(network, np.arange(total))
    eye_bones = [bones.index("eye.L"), bones.index("eye.R")]
    is_skin = label == int(np.argmax(size))
    is_eye = (dense[:, eye_bones].sum(axis=1) > 0.9) & (size[label] > 1) & ~is_skin
    kept = np.flatnonzero(is_skin | is_eye)
    renumber = np.full(total, -1)
    renumber[kept] = np.arange(len(kept))
    part_weight = _part_weights(bones, parents, dense[kept])
    reference = BodyRecipe()
    rest, head_points = _rest_of(network, reference)
    larger, _ = _rest_of(network, BodyRecipe(cupsize=0.95))
    smaller, _ = _rest_of(network, BodyRecipe(cupsize=0.05))
    cup_move = np.linalg.norm((larger - smaller)[kept], axis=1)
    marks = _find_marks(
        rest[kept], dict(zip(bones, head_points, strict=True)), is_skin[kept], part_weight, cup_move
    )
    return _Model(
        network=network,
        kept=kept,
        faces=renumber[faces[np.isin(faces, kept).all(axis=1)]],
        bones=bones,
        parents=parents,
        bone_weight=dense[kept],
        part_weight=part_weight,
        is_breast=cup_move > _BREAST_MOVE_MM,
        is_eye=is_eye[kept],
        marks=marks,
    )


@lru_cache(maxsize=4)
def _rest(key: str, recipe: BodyRecipe) -> tuple[Floats, Floats]:
    """Shape one woman; `key` stands for all of the recipe, the changes included."""
    model = _model()
    vertices, heads = _rest_of(model.network, recipe)
    return vertices[model.kept], heads


def _read_only(array: npt.NDArray[np.generic]) -> npt.NDArray[np.generic]:
    array.setflags(write=False)
    return array


def _joints(model: _Model, vertices: Floats, heads: Floats) -> dict[str, Floats]:
    joints = {"neck": heads[model.bones.index("neck01")]}
    for side, letter in (("left", "L"), ("right", "R")):
        for joint, bone in _JOINT_BONES.items():
            joints[f"{joint}_{side}"] = heads[model.bones.index(f"{bone}.{letter}")]
    joints |= {name: vertices[index] for name, index in model.marks.items()}
    return joints


def pose(recipe: BodyRecipe, kind: Pose, arm_deg: float = DEFAULT_ARM_DEG) -> PosedBody:
    """Shape a woman and pose her.

    Args:
        recipe: who she is.
        kind: `front` (arms straight, `arm_deg` away from the vertical, in the frontal plane),
            `side` and `tape` (arms hanging straight at the sides, clear of the hips, as seen from
            the side within the outline), `rest` (the body model's own, for clothes).
        arm_deg: angle of the arms in `front`, degrees; 50 to 60 is asked for in a photo.

    Returns:
        The body, standing on the floor, bare feet about hip-width apart; trunk, legs and feet are
        the same in every pose but `rest`.
    """
    model = _model()
    rest, rest_heads = _rest(repr(recipe), recipe)
    skeleton = Skeleton(model.bones, model.parents, rest_heads)
    turns = turn_bones(skeleton, rest, model.part_weight, recipe, kind, arm_deg)
    heads = skeleton.heads(turns)
    vertices = skin(rest, model.bone_weight, rest_heads, turns, heads)
    joints = _joints(model, vertices, heads)
    ankles = (joints["ankle_bone_left"] + joints["ankle_bone_right"]) / 2.0
    feet = (joints["ankle_left"] + joints["ankle_right"]) / 2.0
    origin = np.array([feet[0], vertices[:, 1].min(), ankles[2]])
    return PosedBody(
        vertices_mm=_read_only(vertices - origin),  # type: ignore[arg-type]
        faces=model.faces,
        joints_mm={name: point - origin for name, point in joints.items()},
        part=np.argmax(model.part_weight, axis=1).astype(np.int64),
        part_weight=model.part_weight,
        is_breast=model.is_breast,
        is_eye=model.is_eye,
    )
