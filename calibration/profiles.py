"""Exact outlines of a posed body as seen from far away, without drawing a picture."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
import numpy.typing as npt

from calibration.slicing import Cut, cut, loop_extent, loop_majority

if TYPE_CHECKING:
    from calibration.bodies import PosedBody

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

# Order of `bodies.PARTS`, which this module may not import to stay free of the body model.
TRUNK, HEAD, LEFT_ARM, RIGHT_ARM, LEFT_LEG, RIGHT_LEG = range(6)
PART_COUNT = 6
STEP_MM = 2.0


@dataclass(frozen=True, eq=False)
class Profile:
    """The two edges of the body's outline, row by row.

    Args:
        heights_mm: (H,) ascending.
        left_mm: (H,) the edge at the left in the picture: lowest x from the front; the back
            (lowest z) from the side, where she faces to the right.
        right_mm: (H,) the other edge.
        joined: (H,) whether an arm is part of the run of the outline that holds the spine.
    """

    heights_mm: Floats
    left_mm: Floats
    right_mm: Floats
    joined: npt.NDArray[np.bool_]

    def extent_mm(self) -> Floats:
        """Give the distance between the edges, (H,)."""
        return self.right_mm - self.left_mm


def skin_cut(body: PosedBody, heights_mm: Floats) -> Cut:
    """Cut the skin of a body without its eyeballs.

    Args:
        body: the body.
        heights_mm: (H,) ascending heights.
    """
    faces = body.faces[~body.is_eye[body.faces[:, 0]]]
    return cut(body.vertices_mm, faces, heights_mm)


def is_arm_loop(cut_: Cut, part: Ints) -> npt.NDArray[np.bool_]:
    """Tell which loops are arms or hands: (loops,)."""
    owner = loop_majority(cut_, part, PART_COUNT)
    return (owner == LEFT_ARM) | (owner == RIGHT_ARM)


def armpit_heights_mm(cut_: Cut, part: Ints) -> tuple[float, float]:
    """Give the heights up to which the left and the right arm are apart from the trunk.

    Args:
        cut_: a cut with planes through the armpits.
        part: (V,) part of each vertex.

    Raises:
        ValueError: no plane meets an arm apart from the trunk.
    """
    owner = loop_majority(cut_, part, PART_COUNT)
    level = np.zeros(cut_.loop_count, dtype=int)
    level[cut_.loop] = cut_.level
    tops = []
    for arm in (LEFT_ARM, RIGHT_ARM):
        rows = np.unique(level[owner == arm])
        if not len(rows):
            raise ValueError("no plane meets an arm apart from the trunk")
        # Folds of the shoulder can make a loop of their own above: only the first run is the arm.
        gaps = np.flatnonzero(np.diff(rows) > 1)
        tops.append(float(cut_.heights_mm[rows[gaps[0]] if len(gaps) else rows[-1]]))
    return tops[0], tops[1]


def _grow(low: Floats, high: Floats, arm_low: Floats, arm_high: Floats) -> tuple[Floats, Floats]:
    """Take an arm's interval into the run where the two overlap."""
    meets = (arm_low <= high) & (arm_high >= low)
    return np.where(meets, np.minimum(low, arm_low), low), np.where(
        meets, np.maximum(high, arm_high), high
    )


def _by_level(cut_: Cut, axis: int, chosen: npt.NDArray[np.bool_]) -> tuple[Floats, Floats]:
    low, high = loop_extent(cut_, axis)
    level = np.zeros(cut_.loop_count, dtype=int)
    level[cut_.loop] = cut_.level
    lowest = np.full(len(cut_.heights_mm), np.inf)
    highest = np.full(len(cut_.heights_mm), -np.inf)
    np.minimum.at(lowest, level[chosen], low[chosen])
    np.maximum.at(highest, level[chosen], high[chosen])
    return lowest, highest


def _joined_rows(cut_: Cut, part: Ints, own: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
    """Tell in which rows a loop of the trunk has become one with an arm."""
    armpit = min(armpit_heights_mm(cut_, part))
    owner = part[cut_.vertex]
    arm_point = ((owner == LEFT_ARM) | (owner == RIGHT_ARM)) & own[cut_.loop]
    has_arm = np.bincount(cut_.level[arm_point], minlength=len(cut_.heights_mm)) > 0
    return np.asarray(has_arm & (cut_.heights_mm > armpit))


def profiles(
    body: PosedBody, view: Literal["front", "side"], *, arms: bool = True, step_mm: float = STEP_MM
) -> Profile:
    """Give the outline of a body, exactly, by parallel projection.

    Args:
        body: the body, in the pose of the view.
        view: `front` gives extents in x, `side` in z.
        arms: whether an arm that overlaps the trunk in the picture belongs to the run, as in a
            photo; without, arms are cut away below the armpits.
        step_mm: distance of the rows.

    Returns:
        One row for every step from floor to crown. Below the crotch the run goes from the outer
        edge of one leg to the outer edge of the other.
    """
    top = float(body.vertices_mm[:, 1].max())
    heights = np.arange(step_mm / 2.0, top, step_mm)
    cut_ = skin_cut(body, heights)
    axis = 0 if view == "front" else 1
    arm = is_arm_loop(cut_, body.part)
    left, right = _by_level(cut_, axis, ~arm)
    joined = _joined_rows(cut_, body.part, ~arm)
    if arms:
        owner = loop_majority(cut_, body.part, PART_COUNT)
        for number in (LEFT_ARM, RIGHT_ARM):
            arm_left, arm_right = _by_level(cut_, axis, owner == number)
            grown = _grow(left, right, arm_left, arm_right)
            joined = joined | (grown[0] != left) | (grown[1] != right)
            left, right = grown
    return Profile(heights, left, right, joined)
