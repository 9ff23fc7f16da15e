"""Made-up sights that a reader can work out: straight edges, joints on a grid, sheets on a wall."""

import numpy as np

from calibration.looks import HEIGHT_PX, EdgeError, Errors, Landmark
from calibration.sightings import (
    JOINTS,
    LEVEL_CODES,
    NUMBERS,
    SECTION_FIELDS,
    VIEWS,
    Seen,
    Sightings,
)

# A woman of 1600 mm is 1600 pixels high, so a pixel is a millimetre at her.
STATURE_MM = 1600.0
CROWN_ROW, FLOOR_ROW = 200.0, 1800.0
MIDDLE_COLUMN = 750.0
HALF_PX, ARM_PX, ARMPIT_ROW = 150.0, 90.0, 560
F_PX = 1400.0
_SHEET = np.array([[0.0, 0.0], [190.0, 0.0], [190.0, 250.0], [0.0, 250.0]])
# Share of the stature at which joints lie, from the floor.
_UP = {
    "eye": 0.94, "nose": 0.92, "ear": 0.93, "shoulder": 0.82, "elbow": 0.63, "wrist": 0.48,
    "hip": 0.52, "knee": 0.28, "ankle": 0.05, "toe": 0.01, "heel": 0.01,
}  # fmt: skip


def joints_px():
    """(joints, 2): her left is to the right in the picture."""
    marks = []
    for name in JOINTS:
        across = {"left": 60.0, "right": -60.0}.get(name.split("_")[0], 0.0)
        part = name.split("_")[-1]
        marks.append([MIDDLE_COLUMN + across, FLOOR_ROW - _UP[part] * STATURE_MM])
    return np.array(marks)


def edges_px():
    """(rows, 2): a trunk of even breadth, with arms over the armpits, from crown to floor."""
    rows = np.arange(HEIGHT_PX)
    half = np.where(rows < ARMPIT_ROW, HALF_PX + ARM_PX, HALF_PX)
    edges = np.stack([MIDDLE_COLUMN - half, MIDDLE_COLUMN + half], axis=1)
    edges[(rows < CROWN_ROW) | (rows > FLOOR_ROW)] = np.nan
    return edges


def seen(count):
    """One view of as many alike bodies."""

    def alike(value):
        return np.repeat(np.asarray(value, dtype=float)[None], count, axis=0)

    return Seen(
        edges_px=alike(edges_px()).astype(np.float32),
        joints_px=alike(joints_px()),
        lowest_px=alike([MIDDLE_COLUMN, FLOOR_ROW]),
        highest_px=alike([MIDDLE_COLUMN, CROWN_ROW]),
        sheets_px=alike(_SHEET + np.array([[[1100.0, 500.0]], [[1100.0, 1300.0]]])),
        f_px=alike(F_PX),
        camera=alike(np.eye(3, 4)),
    )


def sightings(count=2, **numbers):
    """Alike women; every second one has blank sheets.

    Args:
        count: of women.
        numbers: in place of the usual ones.
    """
    usual = {
        "stature_mm": STATURE_MM, "mass_kg": 65.0, "paper_is_letter": 0.0,
        "f35": 26.0, "faces_right": 1.0, "typed_stature_mm": STATURE_MM, "standoff_front_mm": 213.0,
        "standoff_side_mm": 187.0, "typed_front_mm": 210.0, "typed_side_mm": 190.0,
    }  # fmt: skip
    held = {name: np.full(count, numbers.get(name, value)) for name, value in usual.items()}
    held["marker_sheets"] = np.arange(count) % 2 == 0
    sections = {
        code: np.tile(np.arange(len(SECTION_FIELDS), dtype=float) + 100.0 * k, (count, 1))
        for k, code in enumerate(LEVEL_CODES)
    }
    return Sightings(
        numbers={name: held[name].astype(float) for name in NUMBERS},
        sections=sections,
        lengths={"shoulder": np.full(count, 380.0)},
        seen={view: seen(count) for view in VIEWS},
    )


def errors(**changes):
    """Some errors of looks; `changes` are fields of `Errors`."""
    told = {
        "landmarks": {
            view: {part: Landmark(4.0, -6.0, 3.0) for part in ("hip", "shoulder", "eye")}
            for view in VIEWS
        },
        "edges": {"front": EdgeError(0.4, 0.5, 1.5, 8.0), "side": EdgeError(-0.3, 0.2, 0.8, 8.0)},
        "corner_sd_px": {"marker-sheets": 0.1, "plain-sheets": 0.3},
        "corner_outward_px": {"marker-sheets": -0.2, "plain-sheets": 0.4},
        "foot_up_mm": {"front": -3.0, "side": 2.0},
        "foot_sd_mm": {"front": 2.0, "side": 1.0},
    }
    return Errors(**{**told, **changes})
