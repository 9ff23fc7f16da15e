"""Exact sights as the package takes photos: what `photo.look.look_at` would give without an error.

The errors of a real look are added on purpose: `Errors` says how large they are, and rendered
photos say how large they must be (`calibration.behaviour`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from calibration.sightings import JOINTS, VIEWS, Seen, Sightings
from ellwand.girth.setup import SetUp
from ellwand.photo import sheets
from ellwand.photo.body import Body
from ellwand.photo.look import Look
from ellwand.photo.marker_sheets import BOARD_CORNER_U_PX
from ellwand.photo.outline import Silhouette, armpit_row, carried_up
from ellwand.photo.plain_rectangles import EDGE_CORNER_U_PX
from ellwand.photo.reference import ReferenceObject

Floats = npt.NDArray[np.float64]

WIDTH_PX, HEIGHT_PX = 1500, 2000


@dataclass(frozen=True)
class Landmark:
    """How the pose library sees a joint, in millimetres at the body.

    Args:
        ahead_mm: mean offset outward (from the front) or the way she faces (from the side).
        up_mm: mean offset upwards.
        sd_mm: spread, in each direction.
    """

    ahead_mm: float
    up_mm: float
    sd_mm: float


@dataclass(frozen=True)
class EdgeError:
    """How far a traced edge lies outside the true one.

    Args:
        bias_mm: mean, outward.
        common_sd_mm: of the whole edge.
        local_sd_mm: of places far apart.
        length_mm: over which the local error loses 1 - 1/e of its memory.
    """

    bias_mm: float
    common_sd_mm: float
    local_sd_mm: float
    length_mm: float


@dataclass(frozen=True)
class Errors:
    """How far a look is off.

    Args:
        landmarks: by view and name; means are always added, spreads when something is drawn.
        edges: by view.
        corner_sd_px: of a sheet's corner, by kind of sheet.
        corner_outward_px: mean, away from the middle of the sheet, by kind of sheet.
        foot_up_mm: mean offset of the lowest point of the feet.
        foot_sd_mm: its spread.
    """

    landmarks: dict[str, dict[str, Landmark]]
    edges: dict[str, EdgeError]
    corner_sd_px: dict[str, float]
    corner_outward_px: dict[str, float]
    foot_up_mm: dict[str, float]
    foot_sd_mm: dict[str, float]


def errors_of(kept: dict[str, Any]) -> tuple[Errors, dict[str, Any]]:
    """Errors as `fit` kept them, and the other figures beside them."""
    told = kept["errors"]
    errors = Errors(
        landmarks={
            view: {name: Landmark(**one) for name, one in group.items()}
            for view, group in told["landmarks"].items()
        },
        edges={view: EdgeError(**one) for view, one in told["edges"].items()},
        **{
            name: told[name]
            for name in ("corner_sd_px", "corner_outward_px", "foot_up_mm", "foot_sd_mm")
        },
    )
    return errors, {name: value for name, value in kept.items() if name != "errors"}


def looks_of(
    people: Sightings, number: int, errors: Errors, rng: np.random.Generator | None
) -> tuple[dict[str, Look], SetUp]:
    """Give both looks of a body and what she types.

    Args:
        people: exact sights.
        number: which body.
        errors: how far a look is off.
        rng: draws the errors; without it, looks are exact but for the landmarks' mean offsets, and
            what is typed is the truth.
    """
    numbers = {name: float(values[number]) for name, values in people.numbers.items()}
    kind = "marker-sheets" if numbers["marker_sheets"] else "plain-sheets"
    paper = "letter" if numbers["paper_is_letter"] else "a4"
    looks = {
        view: _look(people.seen[view], number, view, numbers, (kind, paper), errors, rng)
        for view in VIEWS
    }
    exact = rng is None
    stature = numbers["stature_mm" if exact else "typed_stature_mm"]
    standoffs = {
        view: (numbers[f"standoff_{view}_mm" if exact else f"typed_{view}_mm"], 20.0)
        for view in VIEWS
    }
    setup = SetUp(
        stature_mm=stature,
        reference=kind,
        paper=paper,
        check_bars_mm=(sheets.CHECK_BAR_ACROSS_MM, sheets.CHECK_BAR_UP_MM)
        if kind == "marker-sheets"
        else (None, None),
        standoffs_mm=standoffs,
    )
    return looks, setup


def _look(
    seen: Seen,
    number: int,
    view: str,
    numbers: dict[str, float],
    sheet: tuple[str, str],
    errors: Errors,
    rng: np.random.Generator | None,
) -> Look:
    joints = dict(zip(JOINTS, seen.joints_px[number], strict=True))
    px_per_mm = (
        float(seen.lowest_px[number, 1] - seen.highest_px[number, 1]) / numbers["stature_mm"]
    )
    facing = 1.0 if numbers["faces_right"] else -1.0
    body = _body(joints, view, facing, px_per_mm, errors, rng)
    edges = seen.edges_px[number].astype(float)
    foot = seen.lowest_px[number] - np.array([0.0, errors.foot_up_mm[view] * px_per_mm])
    if rng is not None:
        edges = edges + _edge_errors(len(edges), errors.edges[view], px_per_mm, rng)
        foot = foot + np.array([0.0, rng.normal(0.0, errors.foot_sd_mm[view] * px_per_mm)])
    focal = numbers["f35"]
    if rng is None:
        # Exact, so that nothing but the body's own variety is left.
        focal = float(seen.f_px[number]) * np.hypot(36.0, 24.0) / np.hypot(WIDTH_PX, HEIGHT_PX)
    return Look(
        width_px=WIDTH_PX,
        height_px=HEIGHT_PX,
        focal_35mm=focal,
        body=body,
        silhouette=_silhouette(edges, foot, body, view, px_per_mm),
        references=_references(seen.sheets_px[number], *sheet, errors, rng),
        problems=(),
    )


def _body(
    joints: dict[str, Floats],
    view: str,
    facing: float,
    px_per_mm: float,
    errors: Errors,
    rng: np.random.Generator | None,
) -> Body:
    marks = {}
    for name, at in joints.items():
        off = errors.landmarks[view].get(name.removeprefix("left_").removeprefix("right_"))
        moved = at
        if off is not None:
            # From the front her left is to the right in the picture.
            ahead = facing if view == "side" else (1.0 if name.startswith("left") else -1.0)
            step = np.array([ahead * off.ahead_mm, -off.up_mm])
            if rng is not None:
                step = step + rng.normal(0.0, off.sd_mm, 2)
            moved = at + step * px_per_mm
        marks[name] = (float(moved[0]), float(moved[1]))
    # In the side photo the eye that is nearer to the camera is the one that is seen.
    nearer = "right" if facing > 0 else "left"
    visibility = {
        name: 1.0 if view == "front" or name.startswith(nearer) else 0.3 for name in marks
    }
    return Body(marks, visibility, np.zeros((1, 1), np.float32), 0.0 if view == "front" else 90.0)


def _edge_errors(rows: int, error: EdgeError, px_per_mm: float, rng: np.random.Generator) -> Floats:
    """(rows, 2) errors of both edges in pixels, positive to the right."""
    memory = np.exp(-1.0 / (error.length_mm * px_per_mm))
    steps = rng.normal(0.0, error.local_sd_mm * np.sqrt(1.0 - memory**2), (rows, 2))
    steps[0] = rng.normal(0.0, error.local_sd_mm, 2)
    from scipy.signal import lfilter

    local = np.asarray(lfilter([1.0], [1.0, -memory], steps, axis=0))
    outward = error.bias_mm + rng.normal(0.0, error.common_sd_mm, 2) + local
    return np.asarray(outward * np.array([-1.0, 1.0]) * px_per_mm)


def _silhouette(edges: Floats, foot: Floats, body: Body, view: str, px_per_mm: float) -> Silhouette:
    first = int(body.middle_px("shoulder")[1])
    last = int(np.floor(foot[1]))
    rows = np.arange(first, last + 1)
    ends, clears, armpits = [], [], []
    for side in range(2):
        edge = edges[rows, side]
        clear = np.isfinite(edge)
        armpit = armpit_row(rows, edge, body.middle_px("hip")[1], px_per_mm)
        if view == "front" and armpit is not None:
            moved, clear = carried_up(edge, clear, armpit, px_per_mm)
            armpits.append([edge[armpit], rows[armpit]])
        else:
            moved = edge
        ends.append(moved)
        clears.append(clear)
    return Silhouette(
        rows_px=rows.astype(float),
        left_px=ends[0],
        right_px=ends[1],
        clear=np.stack(clears, axis=1),
        armpits_px=np.array(armpits, dtype=float).reshape(-1, 2),
        foot_px=foot,
        box_px=(float(np.nanmin(edges)), 0.0, float(np.nanmax(edges)), float(foot[1])),
        polygon_px=np.zeros((3, 2)),
    )


def _references(
    corners_px: Floats, kind: str, paper: str, errors: Errors, rng: np.random.Generator | None
) -> tuple[ReferenceObject, ...]:
    if kind == "marker-sheets":
        width, height, u = sheets.BOARD_WIDTH_MM, sheets.BOARD_HEIGHT_MM, BOARD_CORNER_U_PX
    else:
        size = sheets.PAPERS[paper]
        width, height, u = size.width_mm, size.height_mm, EDGE_CORNER_U_PX
    found = []
    for k, corners in enumerate(corners_px):
        seen = corners
        if rng is not None:
            away = corners - corners.mean(axis=0)
            outward = np.sign(away) * errors.corner_outward_px[kind]
            seen = corners + outward + rng.normal(0.0, errors.corner_sd_px[kind], corners.shape)
        found.append(ReferenceObject(f"sheet {k + 1}", width, height, seen, u))
    return tuple(found)
