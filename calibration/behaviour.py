"""How far looks at rendered photos are off from exact sights of the same bodies.

`measured` gives the `Errors` that simulated looks are drawn with, and the figures that the report
prints.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from calibration.looks import EdgeError, Errors, Landmark, looks_of
from calibration.sightings import JOINTS, VIEWS, Sightings
from ellwand.photo.intake import read_photo
from ellwand.photo.look import Look, look_at

Floats = npt.NDArray[np.float64]

# An edge this far off has taken in an arm or the wall; it is counted apart.
GROSS_MM = 12.5
# Rows that the levels lie in, from below the armpits to the seat, as fractions of stature.
_TRUNK = (0.47, 0.76)
NOTHING = Errors(
    landmarks={view: {} for view in VIEWS},
    edges={view: EdgeError(0.0, 0.0, 0.0, 1.0) for view in VIEWS},
    corner_sd_px={"marker-sheets": 0.0, "plain-sheets": 0.0},
    corner_outward_px={"marker-sheets": 0.0, "plain-sheets": 0.0},
    foot_up_mm=dict.fromkeys(VIEWS, 0.0),
    foot_sd_mm=dict.fromkeys(VIEWS, 0.0),
)


@dataclass(frozen=True, eq=False)
class Compared:
    """One photo beside the exact sight.

    Args:
        view: which photo.
        kind: of the sheets.
        outward_mm: (rows, 2) how far the traced edges lie outside the exact ones, NaN elsewhere.
        row_mm: height of a row.
        ahead_up_mm: (joints, 2) offsets of the landmarks.
        foot_up_mm: offset of the lowest point.
        corners_px: (sheets, 4, 2) offsets away from each sheet's middle.
    """

    view: str
    kind: str
    outward_mm: Floats
    row_mm: float
    ahead_up_mm: Floats
    foot_up_mm: float
    corners_px: Floats


def photo_looks(folder: Path) -> dict[str, Look]:
    """Look at both photos of a rendered sitting; a view that is not traced is absent.

    Args:
        folder: with front.jpg, side.jpg and truth.json.
    """
    typed = json.loads((folder / "truth.json").read_text(encoding="utf-8"))["typed"]
    stature = 10.0 * float(typed["stature"].split()[0])
    found = {}
    for view in VIEWS:
        photo = read_photo((folder / f"{view}.jpg").read_bytes())
        look = look_at(photo, view, typed["reference"], typed["paper"], stature)
        if isinstance(look, Look):
            found[view] = look
    return found


def compare(people: Sightings, number: int, looks: dict[str, Look]) -> list[Compared]:
    """Put the looks at a body's photos beside its exact sight."""
    exact, setup = looks_of(people, number, NOTHING, None)
    stature = float(people.numbers["stature_mm"][number])
    facing = 1.0 if people.numbers["faces_right"][number] else -1.0
    compared = []
    for view, look in looks.items():
        seen, true = people.seen[view], exact[view]
        foot, head = seen.lowest_px[number, 1], seen.highest_px[number, 1]
        px_per_mm = float(foot - head) / stature
        rows = np.arange(look.height_px)
        low, high = (foot - share * stature * px_per_mm for share in _TRUNK)
        outward = np.full((len(rows), 2), np.nan)
        for side, sign in enumerate((-1.0, 1.0)):
            edges = []
            for one in (look.silhouette, true.silhouette):
                edge = (one.left_px, one.right_px)[side]
                good = np.isfinite(edge) & one.clear[:, side]
                edges.append(
                    np.interp(rows, one.rows_px[good], edge[good], left=np.nan, right=np.nan)
                )
            outward[:, side] = sign * (edges[0] - edges[1]) / px_per_mm
        outward[(rows < high) | (rows > low)] = np.nan
        marks = []
        for name in JOINTS:
            step = np.array(look.body.landmarks_px[name]) - np.array(true.body.landmarks_px[name])
            ahead = facing if view == "side" else (1.0 if name.startswith("left") else -1.0)
            marks.append([ahead * step[0] / px_per_mm, -step[1] / px_per_mm])
        corners = [
            np.sign(t.corners_px - t.corners_px.mean(axis=0)) * (r.corners_px - t.corners_px)
            for r, t in zip(look.references, true.references, strict=False)
        ]
        compared.append(
            Compared(
                view=view,
                kind=setup.reference,
                outward_mm=outward,
                row_mm=1.0 / px_per_mm,
                ahead_up_mm=np.array(marks),
                foot_up_mm=float(foot - look.silhouette.foot_px[1]) / px_per_mm,
                corners_px=np.array(corners).reshape(-1, 4, 2),
            )
        )
    return compared


def _edges(compared: list[Compared]) -> EdgeError:
    """Mean, spread of whole edges, spread and length of what is local."""
    every = [one.outward_mm[:, side] for one in compared for side in range(2)]
    kept = [np.where(np.abs(edge) < GROSS_MM, edge, np.nan) for edge in every]
    kept = [edge for edge in kept if np.isfinite(edge).sum() > 50]
    means = np.array([np.nanmean(edge) for edge in kept])
    local = [edge - mean for edge, mean in zip(kept, means, strict=True)]
    spread = float(np.sqrt(np.nanmean(np.concatenate(local) ** 2)))
    row_mm = float(np.mean([one.row_mm for one in compared]))
    # Memory: the lag at which the products fall to 1/e.
    for lag in range(1, 200):
        products = np.concatenate([edge[lag:] * edge[:-lag] for edge in local])
        if np.nanmean(products) < spread**2 / np.e:
            break
    return EdgeError(float(means.mean()), float(means.std()), spread, lag * row_mm)


def measured(compared: list[Compared]) -> tuple[Errors, dict[str, object]]:
    """Give the errors of looks, and how many edges were grossly wrong.

    Args:
        compared: of all photos of the fitting set.
    """
    by_view = {view: [one for one in compared if one.view == view] for view in VIEWS}
    landmarks: dict[str, dict[str, Landmark]] = {}
    for view, group in by_view.items():
        landmarks[view] = {}
        for part in dict.fromkeys(n.split("_")[-1] for n in JOINTS):
            which = [k for k, name in enumerate(JOINTS) if name.endswith(part)]
            off = np.concatenate([one.ahead_up_mm[which] for one in group])
            ahead, up = np.median(off, axis=0)
            low, high = np.percentile(off, [16, 84], axis=0)
            landmarks[view][part] = Landmark(
                float(ahead), float(up), float(np.mean(high - low) / 2.0)
            )
    corners = {
        kind: np.concatenate([one.corners_px for one in compared if one.kind == kind])
        for kind in ("marker-sheets", "plain-sheets")
    }
    feet = {view: np.array([one.foot_up_mm for one in group]) for view, group in by_view.items()}
    errors = Errors(
        landmarks=landmarks,
        edges={view: _edges(group) for view, group in by_view.items()},
        corner_sd_px={kind: float((v - v.mean()).std()) for kind, v in corners.items()},
        corner_outward_px={kind: float(v.mean()) for kind, v in corners.items()},
        foot_up_mm={view: float(v.mean()) for view, v in feet.items()},
        foot_sd_mm={view: float(v.std()) for view, v in feet.items()},
    )
    gross = {}
    for view, group in by_view.items():
        outward = np.concatenate([one.outward_mm for one in group])
        gross[view] = float((np.abs(outward[np.isfinite(outward)]) > GROSS_MM).mean())
    return errors, {"photos": len(compared), "gross_share": gross}
