"""Turns the bones of the body model into a standing pose; numpy only."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calibration.recipe import BodyRecipe

Floats = npt.NDArray[np.float64]

# Half the distance between the ankles, mm: under the hip joints, at most 250 mm apart.
_HALF_STANCE_MM = (100.0, 125.0)
# Share of an arm movement that collar bone and shoulder take before the upper arm; judged.
_COLLAR_SHARE, _SHOULDER_SHARE = 0.12, 0.35
# Clearance of the hanging arm's axis from the trunk (half an arm); judged.
_ARM_CLEARANCE_MM = 40.0
_HANGING_DEG = (5.0, 25.0)


def about(axis: int, degrees: float) -> Floats:
    """Give the (3, 3) rotation about axis 0, 1 or 2 by an angle, right-handed."""
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    turn = np.eye(3)
    i, j = [(1, 2), (2, 0), (0, 1)][axis]
    turn[i, i] = turn[j, j] = c
    turn[i, j], turn[j, i] = -s, s
    return turn


def _align(a: Floats, b: Floats) -> Floats:
    """Give the smallest rotation that takes direction a to direction b."""
    a, b = a / np.linalg.norm(a), b / np.linalg.norm(b)
    v = np.cross(a, b)
    k = np.array([[0, -v[2], v[1]], [v[2], 0, -v[0]], [-v[1], v[0], 0]])
    return np.asarray(np.eye(3) + k + k @ k / (1.0 + a @ b))


@dataclass(frozen=True, eq=False)
class Skeleton:
    """Bones of the body model at rest.

    Args:
        bones: names, parents first.
        parents: index of each bone's parent (the root's own is not read).
        rest_heads: (B, 3) where each bone starts, mm.
    """

    bones: tuple[str, ...]
    parents: tuple[int, ...]
    rest_heads: Floats

    def below(self, root: str) -> list[int]:
        """Give the bones that hang on `root`, itself first."""
        found = [self.bones.index(root)]
        for number in range(found[0] + 1, len(self.bones)):
            if self.parents[number] in found:
                found.append(number)
        return found

    def heads(self, turns: Floats) -> Floats:
        """Give where the bones start after each was turned.

        Args:
            turns: (B, 3, 3) rotation of each bone from rest, in the body's axes.

        Returns:
            (B, 3) points, mm.
        """
        placed = self.rest_heads.copy()
        for number in range(1, len(self.bones)):
            parent = self.parents[number]
            placed[number] = placed[parent] + turns[parent] @ (
                self.rest_heads[number] - self.rest_heads[parent]
            )
        return placed

    def at(self, turns: Floats, bone: str) -> Floats:
        """Give where one bone starts after the turns."""
        return np.asarray(self.heads(turns)[self.bones.index(bone)])


def skin(rest: Floats, weight: Floats, rest_heads: Floats, turns: Floats, heads: Floats) -> Floats:
    """Move the skin with the bones (linear blend).

    Args:
        rest: (V, 3) points.
        weight: (V, B) share of each bone.
        rest_heads: (B, 3).
        turns: (B, 3, 3).
        heads: (B, 3) after the turns.

    Returns:
        (V, 3) points.
    """
    shift = heads - np.einsum("bij,bj->bi", turns, rest_heads)
    blend = np.einsum("vb,bij->vij", weight, turns, optimize=True)
    return np.einsum("vij,vj->vi", blend, rest) + weight @ shift


def _turn_spine(skeleton: Skeleton, turns: Floats, recipe: BodyRecipe) -> None:
    """Lean, tip the pelvis, round the upper back; feet stay flat, eyes level."""
    forward = {
        "root": recipe.tilt_deg,
        "spine05": 0.6 * recipe.tilt_deg,
        "spine04": 0.2 * recipe.tilt_deg,
        "spine03": -0.3 * recipe.slouch_deg,
        "spine02": 0.3 * recipe.slouch_deg,
        "spine01": 0.9 * recipe.slouch_deg,
        "neck01": 1.2 * recipe.slouch_deg,
        "head": 0.2 * recipe.slouch_deg,
    }
    for bone, degrees in forward.items():
        turns[skeleton.below(bone)] = about(0, degrees + recipe.lean_deg)
    for letter in "LR":
        turns[skeleton.below(f"upperleg01.{letter}")] = about(0, recipe.lean_deg)


def _turn_legs(skeleton: Skeleton, turns: Floats) -> None:
    """Bring the feet under the hips and keep the soles flat."""
    for letter, sign in (("L", 1.0), ("R", -1.0)):
        leg = skeleton.below(f"upperleg01.{letter}")
        hip = skeleton.at(turns, f"upperleg01.{letter}")
        ankle = skeleton.at(turns, f"foot.{letter}")
        half = sign * float(np.clip(abs(hip[0]) + 5.0, *_HALF_STANCE_MM))
        length = float(np.linalg.norm((ankle - hip)[:2]))
        drop = -np.sqrt(length**2 - (half - hip[0]) ** 2)
        target = np.array([half - hip[0], drop, (ankle - hip)[2]])
        turns[leg] = _align(ankle - hip, target) @ turns[leg]
        turns[skeleton.below(f"foot.{letter}")] = np.eye(3)


def _hanging_deg(skeleton: Skeleton, turns: Floats, vertices: Floats, part_weight: Floats) -> float:
    """Give the smallest angle at which hanging arms clear the trunk."""
    shoulder = skeleton.at(turns, "upperarm01.L")
    reach = (
        skeleton.rest_heads[skeleton.bones.index("lowerarm01.L")]
        - skeleton.rest_heads[skeleton.bones.index("upperarm01.L")]
    )
    arm = 2.0 * float(np.linalg.norm(reach))
    is_arm = part_weight[:, 2] + part_weight[:, 3] > 0.05
    below = shoulder[1] - vertices[:, 1]
    near = (vertices[:, 0] > 0) & (below > 0.4 * arm) & (below < 1.1 * arm) & ~is_arm
    out = vertices[near, 0] + _ARM_CLEARANCE_MM - shoulder[0]
    return float(np.clip(np.degrees(np.arctan2(out, below[near])).max(), *_HANGING_DEG))


def _turn_arms(skeleton: Skeleton, turns: Floats, arm_deg: float, to_hip: bool) -> None:
    """Straighten the arms and swing them to an angle from the vertical, in the frontal plane."""
    hip_z = skeleton.at(turns, "upperleg01.L")[2]
    for letter, sign in (("L", 1.0), ("R", -1.0)):
        upper, lower, wrist = f"upperarm01.{letter}", f"lowerarm01.{letter}", f"wrist.{letter}"
        along = skeleton.at(turns, lower) - skeleton.at(turns, upper)
        rest_deg = float(np.degrees(np.arctan2(sign * along[0], -along[1])))
        for bone, share in ((f"clavicle.{letter}", _COLLAR_SHARE),
                            (f"shoulder01.{letter}", _SHOULDER_SHARE - _COLLAR_SHARE)):  # fmt: skip
            part = skeleton.below(bone)
            turns[part] = about(2, sign * share * (arm_deg - rest_deg)) @ turns[part]
        swing = 0.0
        if to_hip:
            length = 2.0 * float(np.linalg.norm(along))
            swing = float(np.clip((hip_z - skeleton.at(turns, upper)[2]) / length, -0.12, 0.12))
        angle = np.radians(arm_deg)
        target = np.array([sign * np.sin(angle), -np.cos(angle), swing])
        for start, end in ((upper, lower), (lower, wrist), (wrist, f"finger3-1.{letter}")):
            part = skeleton.below(start)
            here = skeleton.at(turns, end) - skeleton.at(turns, start)
            turns[part] = _align(here, target) @ turns[part]


def turn_bones(
    skeleton: Skeleton,
    rest: Floats,
    part_weight: Floats,
    recipe: BodyRecipe,
    kind: str,
    arm_deg: float,
) -> Floats:
    """Give the turn of every bone for a pose.

    Args:
        skeleton: the bones at rest.
        rest: (V, 3) skin at rest, mm.
        part_weight: (V, 6) share of the parts, arms in columns 2 and 3.
        recipe: posture.
        kind: `rest`, `front`, `side` or `tape`.
        arm_deg: angle of the arms in `front`.

    Returns:
        (B, 3, 3) rotations from rest in the body's axes.

    Raises:
        ValueError: an unknown pose.
    """
    turns = np.repeat(np.eye(3)[None], len(skeleton.bones), axis=0)
    if kind == "rest":
        return turns
    if kind not in ("front", "side", "tape"):
        raise ValueError(f"unknown pose: {kind}")
    _turn_spine(skeleton, turns, recipe)
    for letter, sign in (("L", 1.0), ("R", -1.0)):
        girdle = skeleton.below(f"clavicle.{letter}")
        inward = about(1, -sign * 0.6 * recipe.slouch_deg)
        turns[girdle] = about(2, -sign * recipe.shoulder_drop_deg) @ inward @ turns[girdle]
    _turn_legs(skeleton, turns)
    if kind == "front":
        _turn_arms(skeleton, turns, arm_deg, to_hip=False)
    else:
        hanging = _hanging_deg(skeleton, turns, rest, part_weight)
        _turn_arms(skeleton, turns, hanging, to_hip=True)
    return turns
