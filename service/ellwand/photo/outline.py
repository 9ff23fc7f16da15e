"""The body's silhouette to a fraction of a pixel.

The pose library's mask says roughly where the body ends; along the trunk, the edge is then moved
to the strongest step of colour within reach, as one connected path, so that a stray edge of the
clothes or of the wall does not catch it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from ellwand.photo.body import Body
from ellwand.photo.problems import View
from ellwand.photo.reference import in_photo
from ellwand.photo.snap import REACH_MM, snap

FloatArray = NDArray[np.float64]

# From the front a run of the mask is taken where it is sure, so that a gap between arm and trunk
# stays open; its edge is placed where the mask is undecided (measured on renderings: 0.8 and 0.5).
# From the side there is no such gap, and the mask is unsure under a belly.
_SURE, _EDGE = 0.8, 0.5
# Where the run of the mask grows by this much from one row to the next, it has taken in an arm; the
# outline just below is already rounded into the armpit.
_ARM_JUMP_MM, _ROUNDED_MM = 25.0, 14.0
_SIDES = ("left", "right")
# How far from a foot's landmarks its outline may reach.
_FOOT_MM = 90.0


@dataclass(frozen=True, eq=False)
class Silhouette:
    """The outline of a body in a photo, in pixels of the photo.

    Args:
        rows_px: (n,) rows from the shoulders to the floor.
        left_px: (n,) left edge of the run that holds the spine, from the front farther down of the
            leg to the left.
        right_px: (n,) right edge, likewise.
        clear: (n, 2) whether the left and right edge were found as a step of colour.
        armpits_px: (0-2, 2) armpits seen from the front.
        foot_px: (2,) lowest point of the feet.
        box_px: left, top, right, bottom of the whole body.
        polygon_px: (m, 2) the whole silhouette.
    """

    rows_px: FloatArray
    left_px: FloatArray
    right_px: FloatArray
    clear: NDArray[np.bool_]
    armpits_px: FloatArray
    foot_px: FloatArray
    box_px: tuple[float, float, float, float]
    polygon_px: FloatArray


def trace(
    rgb: NDArray[np.uint8], body: Body, view: View, scale: float, px_per_mm: float
) -> Silhouette:
    """Trace the silhouette.

    Args:
        view: which photo it is; from the front, the arms are cut off at the armpits.
        rgb: the photo, (height, width, 3).
        body: what was found in the working copy.
        scale: size of the working copy as a fraction of the photo's.
        px_per_mm: rough scale in the working copy.

    Returns:
        The silhouette in pixels of the photo.
    """
    mask = _largest_part(body.mask)
    rows = np.nonzero((mask > _EDGE).any(axis=1))[0]
    columns = np.nonzero((mask > _EDGE).any(axis=0))[0]
    first = int(body.middle_px("shoulder")[1])
    trunk = np.arange(max(first, int(rows[0])), int(rows[-1]) + 1)
    sure = _SURE if view == "front" else _EDGE
    within = _lines(body, trunk, view)
    left, right = (
        _ends(mask, trunk, line, outward, sure)
        for line, outward in zip(within, (-1, 1), strict=True)
    )
    reach = REACH_MM * px_per_mm
    ends, clear, armpits = [], [], []
    for edge, outward in ((left, -1), (right, 1)):
        moved, found = snap(rgb, trunk, edge, scale, reach, outward)
        armpit = armpit_row(trunk, edge, body.middle_px("hip")[1], px_per_mm)
        if view == "front" and armpit is not None:
            moved, found = carried_up(moved, found, armpit, px_per_mm)
            armpits.append([edge[armpit], trunk[armpit]])
        ends.append(moved)
        clear.append(found)
    foot = _lowest_point(mask, body, max(int(_FOOT_MM * px_per_mm), 8))
    polygon = _polygon(mask, trunk, (left, right), ends, clear)
    box = in_photo(np.array([columns[0], rows[0], columns[-1], rows[-1]], dtype=float), scale)
    return Silhouette(
        rows_px=in_photo(trunk.astype(float), scale),
        left_px=in_photo(ends[0], scale),
        right_px=in_photo(ends[1], scale),
        clear=np.stack(clear, axis=1),
        armpits_px=in_photo(np.array(armpits, dtype=float).reshape(-1, 2), scale),
        foot_px=in_photo(foot, scale),
        box_px=(float(box[0]), float(box[1]), float(box[2]), float(box[3])),
        polygon_px=in_photo(polygon, scale),
    )


def _polygon(
    mask: NDArray[np.float32],
    rows: NDArray[np.int64],
    rough: Sequence[FloatArray],
    traced: Sequence[FloatArray],
    clear: Sequence[NDArray[np.bool_]],
) -> FloatArray:
    """The whole silhouette: the mask's contour, moved to the traced edges where they are clear.

    Args:
        mask: (height, width).
        rows: (n,) rows of the edges.
        rough: both edges (n,) as the mask has them.
        traced: both edges (n,) as traced.
        clear: whether each was found as a step of colour (n,).
    """
    contours, _ = cv2.findContours(
        (mask > _EDGE).astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE
    )
    points = np.asarray(max(contours, key=len), dtype=np.float64).reshape(-1, 2)
    at = points[:, 1].astype(int) - int(rows[0])
    inside = (at >= 0) & (at < len(rows))
    columns = points[:, 0].copy()
    for before, after, sure in zip(rough, traced, clear, strict=True):
        near = np.zeros(len(points), dtype=bool)
        near[inside] = sure[at[inside]] & (np.abs(points[inside, 0] - before[at[inside]]) < 2)
        columns[near] = after[at[near]]
    points[:, 0] = columns
    simpler = cv2.approxPolyDP(points.astype(np.float32), 0.5, True)
    return np.asarray(simpler, dtype=np.float64).reshape(-1, 2)


def _largest_part(mask: NDArray[np.float32]) -> NDArray[np.float32]:
    """The mask without what does not hang together with the body."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats((mask > 0.3).astype(np.uint8))
    if count <= 2:
        return mask
    largest = 1 + int(np.argmax(stats[1:, cv2.CC_STAT_AREA]))
    return np.where(labels == largest, mask, 0).astype(np.float32)


def _lines(body: Body, rows: NDArray[np.int64], view: View) -> tuple[FloatArray, FloatArray]:
    """Columns (n,) within her trunk and legs, from the landmarks: for her left and right outline.

    From the side both are her middle; from the front each goes down the leg on its side.
    """
    top = body.middle_px("shoulder")
    joints = ("hip", "knee", "ankle")
    if view == "side":
        legs = [[body.middle_px(name) for name in joints]]
    else:
        legs = [[body.landmarks_px[f"{side}_{name}"] for name in joints] for side in _SIDES]
    lines = []
    for leg in legs:
        points = np.array([top, *leg])
        order = np.argsort(points[:, 1])
        lines.append(np.interp(rows, points[order, 1], points[order, 0]))
    return np.min(lines, axis=0), np.max(lines, axis=0)


def _ends(
    mask: NDArray[np.float32],
    rows: NDArray[np.int64],
    within: FloatArray,
    outward: int,
    sure: float,
) -> FloatArray:
    """End (n,) of the run of the mask that holds a column, NaN where there is none.

    Args:
        mask: (height, width).
        rows: (n,) rows.
        within: (n,) columns.
        outward: -1 for the left end, 1 for the right.
        sure: how sure the mask must be all along the run.
    """
    ends = np.full(len(rows), np.nan)
    for i, (row, inner) in enumerate(zip(rows, within, strict=True)):
        line = mask[row]
        at = int(np.clip(round(inner), 0, len(line) - 1))
        if line[at] <= sure:
            continue
        beyond = np.nonzero(line[at::outward] <= sure)[0]
        run = int(beyond[0]) if len(beyond) else len(line[at::outward])
        ends[i] = _outward(line, at + outward * (run - 1), outward)
    return ends


def _outward(line: NDArray[np.float32], at: int, step: int) -> float:
    """Column at which the mask falls to undecided, going outward; the valley if it rises again."""
    while 0 <= at + step < len(line):
        following = at + step
        if line[following] <= _EDGE:
            above, below = float(line[at]), float(line[following])
            return at + step * (above - _EDGE) / max(above - below, 1e-6)
        if line[following] > line[at] and line[at] < _SURE:
            return float(at)
        at = following
    return float(at)


def armpit_row(
    rows: NDArray[np.int64], edge: FloatArray, hip_row: float, px_per_mm: float
) -> int | None:
    """Index of the highest row in which arm and trunk are apart; None when an arm is never met.

    Args:
        rows: (n,) working rows, downwards.
        edge: (n,) columns of one end of the mask's run.
        hip_row: row of the hips.
        px_per_mm: rough scale.
    """
    grows = ~(np.abs(edge[:-1] - edge[1:]) < _ARM_JUMP_MM * px_per_mm)
    above = np.nonzero(grows & (rows[:-1] < rows[0] + 0.7 * (hip_row - rows[0])))[0]
    return int(above[-1]) + 1 if len(above) else None


def carried_up(
    edge: FloatArray, clear: NDArray[np.bool_], armpit: int, px_per_mm: float
) -> tuple[FloatArray, NDArray[np.bool_]]:
    """Carry the trunk's edge straight up from the armpit, and say that it is not clear there."""
    last = min(armpit + round(_ROUNDED_MM * px_per_mm), len(edge) - 1)
    carried, seen = edge.copy(), clear.copy()
    carried[:last] = edge[last]
    seen[:last] = False
    return carried, seen


def _lowest_point(mask: NDArray[np.float32], body: Body, half: int) -> FloatArray:
    """Lowest point of the feet: of what the mask holds near their landmarks, nothing else.

    Args:
        mask: (height, width).
        body: landmarks in the pixels of the mask.
        half: how far from a foot's landmarks it may reach, px.
    """
    names = [f"{side}_{part}" for side in _SIDES for part in ("ankle", "heel", "toe")]
    feet = np.array([body.landmarks_px[name] for name in names])
    low, high = feet.min(axis=0) - half, feet.max(axis=0) + half
    near = np.zeros(mask.shape, dtype=bool)
    near[: max(int(high[1]), 0), max(int(low[0]), 0) : max(int(high[0]), 0)] = True
    inside = (mask > _EDGE) & near
    rows = np.nonzero(inside.any(axis=1))[0]
    last = int(rows[-1]) if len(rows) else mask.shape[0] - 1
    columns = np.nonzero(inside[last])[0]
    column = float(columns.mean()) if len(columns) else float(feet[:, 0].mean())
    return np.array([column, last + 0.5])
