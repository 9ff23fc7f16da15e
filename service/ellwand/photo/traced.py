"""What must be kept of a look at a photo so that it can be measured again without the photo.

Numbers are rounded once, and the first estimate is made from the rounded ones, so that measuring
again gives the same numbers.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ellwand.photo.body import Body
from ellwand.photo.look import Look
from ellwand.photo.outline import Silhouette
from ellwand.photo.problems import Problem
from ellwand.photo.reference import ReferenceObject

FloatArray = NDArray[np.float64]
Point = tuple[float, float]

# A hundredth of a pixel is far below what an edge is off. Rows are even, told by first and step.
PX_PLACES, ROW_PLACES, SEEN_PLACES = 2, 6, 4


@dataclass(frozen=True)
class TracedReference:
    """A reference object, but for its corners.

    Args:
        name, width_mm, height_mm, u_px: see `ReferenceObject`.
    """

    name: str
    width_mm: float
    height_mm: float
    u_px: float


@dataclass(frozen=True)
class Traced:
    """Edges of the trunk and what else places them, in pixels of the photo.

    Args:
        focal_35mm: as the camera wrote it, or None.
        first_row_px: of the edges.
        row_step_px: from row to row, downwards.
        left_px: left edge by row, None where it is not seen.
        right_px: right edge likewise.
        unclear_left: numbers of the rows in which the left edge is no step of colour.
        unclear_right: likewise.
        armpits_px: armpits seen from the front.
        foot_px: lowest point of the feet.
        references: each reference object, in the order of their corners.
    """

    focal_35mm: float | None
    first_row_px: float
    row_step_px: float
    left_px: tuple[float | None, ...]
    right_px: tuple[float | None, ...]
    unclear_left: tuple[int, ...]
    unclear_right: tuple[int, ...]
    armpits_px: tuple[Point, ...]
    foot_px: Point
    references: tuple[TracedReference, ...]


def traced(look: Look) -> Traced:
    """What is kept of a look besides outline, landmarks and corners."""
    silhouette = look.silhouette
    rows = silhouette.rows_px
    return Traced(
        focal_35mm=look.focal_35mm,
        first_row_px=round(float(rows[0]), ROW_PLACES),
        row_step_px=round(float(rows[-1] - rows[0]) / max(len(rows) - 1, 1), ROW_PLACES),
        left_px=_edge(silhouette.left_px),
        right_px=_edge(silhouette.right_px),
        unclear_left=_unclear(silhouette.clear[:, 0]),
        unclear_right=_unclear(silhouette.clear[:, 1]),
        armpits_px=tuple(rounded_px(point) for point in silhouette.armpits_px),
        foot_px=rounded_px(silhouette.foot_px),
        references=tuple(
            TracedReference(one.name, one.width_mm, one.height_mm, one.u_px)
            for one in look.references
        ),
    )


def look_again(
    size: tuple[int, int],
    kept: Traced,
    landmarks_px: Mapping[str, tuple[float, float, float]],
    references_px: Sequence[Sequence[Point]],
    outline_px: Sequence[Point],
    problems: tuple[Problem, ...],
) -> Look:
    """A look made of what was kept; it has no mask, which only finding the outline needs.

    Args:
        size: width and height of the photo, px.
        kept: edges and what else was kept.
        landmarks_px: x, y and visibility by name.
        references_px: four corners of each reference object.
        outline_px: the whole silhouette.
        problems: what was said against the photo.
    """
    polygon = np.array(outline_px, dtype=np.float64)
    (left, top), (right, bottom) = polygon.min(axis=0), polygon.max(axis=0)
    unclear = np.zeros((len(kept.left_px), 2), dtype=bool)
    unclear[list(kept.unclear_left), 0] = True
    unclear[list(kept.unclear_right), 1] = True
    silhouette = Silhouette(
        rows_px=kept.first_row_px
        + kept.row_step_px * np.arange(len(kept.left_px), dtype=np.float64),
        left_px=_array(kept.left_px),
        right_px=_array(kept.right_px),
        clear=~unclear,
        armpits_px=np.array(kept.armpits_px, dtype=np.float64).reshape(-1, 2),
        foot_px=np.array(kept.foot_px, dtype=np.float64),
        box_px=(float(left), float(top), float(right), float(bottom)),
        polygon_px=polygon,
    )
    body = Body(
        landmarks_px={name: (x, y) for name, (x, y, _) in landmarks_px.items()},
        visibility={name: seen for name, (_, _, seen) in landmarks_px.items()},
        mask=np.zeros((0, 0), dtype=np.float32),
        # Judged with the photo; nothing that is measured depends on it.
        turned_deg=0.0,
    )
    references = tuple(
        ReferenceObject(one.name, one.width_mm, one.height_mm, np.array(corners), one.u_px)
        for one, corners in zip(kept.references, references_px, strict=True)
    )
    return Look(*size, kept.focal_35mm, body, silhouette, references, problems)


def as_kept(look: Look) -> Look:
    """The look as it will be when it is made of what is kept of it."""
    return look_again(
        (look.width_px, look.height_px),
        traced(look),
        {
            name: (*rounded_px((x, y)), round(float(look.body.visibility[name]), SEEN_PLACES))
            for name, (x, y) in look.body.landmarks_px.items()
        },
        [[rounded_px(corner) for corner in one.corners_px] for one in look.references],
        [rounded_px(point) for point in look.silhouette.polygon_px],
        look.problems,
    )


def rounded_px(point: Sequence[float] | FloatArray) -> Point:
    """A point as it is kept: plain floats, whatever number type it came in."""
    return round(float(point[0]), PX_PLACES), round(float(point[1]), PX_PLACES)


def _edge(columns: FloatArray) -> tuple[float | None, ...]:
    return tuple(round(float(x), PX_PLACES) if np.isfinite(x) else None for x in columns)


def _array(columns: Sequence[float | None]) -> FloatArray:
    return np.array([np.nan if x is None else x for x in columns], dtype=np.float64)


def _unclear(clear: NDArray[np.bool_]) -> tuple[int, ...]:
    return tuple(int(row) for row in np.nonzero(~clear)[0])
