"""What a faultless camera would see of posed bodies: exact outlines, joints and sheets in pixels.

Run in the environment that has the body model, from the top of the checkout:

    python -m calibration.sightings fitting --count 2400 --out FILE.npz

`--part 0/2` draws every second one, so that two runs can share the work; parts are joined where
they are read. Numbers below `FIRST` belong to the rendered sets.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from calibration.profiles import profiles
from calibration.sections import Section

if TYPE_CHECKING:
    from calibration.bodies import PosedBody
    from demo_images.camera import Camera
    from demo_images.figures import Figure
    from demo_images.layout import Layout, Shot
    from demo_images.people import Woman

Floats = npt.NDArray[np.float64]

FIRST = 1000
VIEWS = ("front", "side")
LEVEL_CODES = ("high_bust", "full_bust", "underbust", "waist", "high_hip", "full_hip")
SECTION_FIELDS = tuple(Section.__dataclass_fields__)
PARTS = ("eye", "shoulder", "elbow", "wrist", "hip", "knee", "ankle", "ear", "toe", "heel")
JOINTS = (*(f"{side}_{part}" for part in PARTS for side in ("left", "right")), "nose")
# Points that the body model has no joint for, from the eye or the ankle, in the body frame:
# outward, up, forward. They only tell which way she faces.
_FROM_EYE = {"nose": (-30.0, -40.0, 25.0), "ear": (40.0, -15.0, -80.0)}
_FROM_ANKLE = {"toe": (15.0, -60.0, 150.0), "heel": (0.0, -60.0, -55.0)}
NUMBERS = (
    "stature_mm", "mass_kg", "marker_sheets", "paper_is_letter", "f35",
    "faces_right", "typed_stature_mm", "standoff_front_mm", "standoff_side_mm",
    "typed_front_mm", "typed_side_mm",
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class Seen:
    """One view of n bodies, in upright pixels (centre of the first pixel = 0, 0).

    Args:
        edges_px: (n, rows, 2) left and right edge in every row of the picture, NaN where neither
            the run that holds the spine nor a leg is seen; arms that touch it belong to it.
        joints_px: (n, joints, 2) in the order of `JOINTS`.
        lowest_px: (n, 2) lowest point of the feet.
        highest_px: (n, 2) highest point of the head.
        sheets_px: (n, 2, 4, 2) corners of both sheets, the upper one first; upper left, upper
            right, lower right, lower left. Of a marker sheet, its board's own corners.
        f_px: (n) focal length.
        camera: (n, 3, 4) rotation and translation of the camera in the wall frame.
    """

    edges_px: Floats
    joints_px: Floats
    lowest_px: Floats
    highest_px: Floats
    sheets_px: Floats
    f_px: Floats
    camera: Floats


@dataclass(frozen=True, eq=False)
class Sightings:
    """Truth and exact sight of n bodies.

    Args:
        numbers: name of `NUMBERS` to (n).
        sections: level code to (n, 6) in the order of `SECTION_FIELDS`.
        lengths: name to (n), mm.
        seen: by view.
    """

    numbers: dict[str, Floats]
    sections: dict[str, Floats]
    lengths: dict[str, Floats]
    seen: dict[str, Seen]

    def __len__(self) -> int:
        return len(self.numbers["stature_mm"])

    def value(self, level: str, field: str) -> Floats:
        """One field of one level, (n)."""
        return self.sections[level][:, SECTION_FIELDS.index(field)]

    def girths_mm(self) -> Floats:
        """(n, 6) girths in the order of `LEVEL_CODES`."""
        return np.stack([self.value(code, "girth_mm") for code in LEVEL_CODES], axis=1)


def in_picture(body: PosedBody, shot: Shot) -> PosedBody:
    """Give a body as the camera sees it: x in pixels to the right, y in pixels up, z unused."""
    camera: Camera = shot.camera
    pixels = camera.project(shot.to_wall(body.vertices_mm))
    up = camera.height_px - 0.5 - pixels[:, 1]
    return replace(body, vertices_mm=np.stack([pixels[:, 0], up, np.zeros(len(up))], axis=1))


def edges_px(body: PosedBody, shot: Shot) -> Floats:
    """Left and right edge of the run that holds the spine or, below, both legs, in every row.

    Args:
        body: posed, in the body frame.
        shot: where it stands and the camera.

    Returns:
        (rows, 2), NaN where not seen.
    """
    seen = in_picture(body, shot)
    height = shot.camera.height_px
    outline = profiles(seen, "front", step_mm=1.0)
    edges = np.full((height, 2), np.nan)
    # Heights begin at half a pixel over the lower rim: the centres of the rows, from below.
    rows = height - 1 - np.arange(len(outline.heights_mm))
    inside = (rows >= 0) & (rows < height)
    edges[rows[inside], 0] = outline.left_mm[inside]
    edges[rows[inside], 1] = outline.right_mm[inside]
    edges[~np.isfinite(edges).all(axis=1)] = np.nan
    return edges


def joints_mm(body: PosedBody) -> Floats:
    """Points in the order of `JOINTS`, in the body frame: (joints, 3)."""
    points = []
    for name in JOINTS:
        if name == "nose":
            points.append(body.joints_mm["eye_left"] + np.array(_FROM_EYE["nose"]))
            continue
        side, part = name.split("_")
        outward = np.array([1.0 if side == "left" else -1.0, 1.0, 1.0])
        if part in _FROM_EYE:
            points.append(body.joints_mm[f"eye_{side}"] + outward * np.array(_FROM_EYE[part]))
        elif part in _FROM_ANKLE:
            points.append(body.joints_mm[f"ankle_{side}"] + outward * np.array(_FROM_ANKLE[part]))
        else:
            points.append(body.joints_mm[f"{part}_{side}"])
    return np.array(points)


def seen_of(figure: Figure, layout: Layout, view: str) -> dict[str, Floats]:
    """Give the fields of `Seen` for one body."""
    from demo_images.sheets import BOARD_SQUARES, SIZES_MM, SQUARE_MM, on_wall

    shot: Shot = getattr(layout, view)
    body = figure.posed[view]
    used = np.unique(body.faces)
    pixels = shot.camera.project(shot.to_wall(body.vertices_mm[used]))
    sheets = []
    for sheet in layout.sheets:
        sides = SIZES_MM[sheet.size]
        if sheet.kind == "marker":
            sides = (BOARD_SQUARES[0] * SQUARE_MM, BOARD_SQUARES[1] * SQUARE_MM)
        corners = np.array([[-1, 1], [1, 1], [1, -1], [-1, -1]]) * np.array(sides) / 2.0
        sheets.append(shot.camera.project(on_wall(sheet, corners)))
    return {
        "edges_px": edges_px(body, shot),
        "joints_px": shot.camera.project(shot.to_wall(joints_mm(body))),
        "lowest_px": pixels[np.argmax(pixels[:, 1])],
        "highest_px": pixels[np.argmin(pixels[:, 1])],
        "sheets_px": np.array(sheets),
        "f_px": np.array(shot.camera.f_px),
        "camera": np.column_stack([shot.camera.rotation, shot.camera.translation_mm]),
    }


def row_of(woman: Woman, figure: Figure, layout: Layout) -> dict[str, Floats]:
    """Give one body's entries under the names that the file has."""
    stature = float(figure.body["stature_mm"])
    numbers = (
        stature, figure.body["weight_kg"],
        woman.set_up.kind == "marker-sheets", woman.set_up.paper == "letter",
        layout.front.view.f35_exif, woman.facing == "right", round(stature / 10.0) * 10.0,
        layout.front.place_mm[2], layout.side.place_mm[2],
        10.0 * woman.standoff_front_cm, 10.0 * woman.standoff_side_cm,
    )  # fmt: skip
    row = {f"number/{n}": np.array(float(v)) for n, v in zip(NUMBERS, numbers, strict=True)}
    for code, level in figure.measured["levels"].items():
        names = ("height_mm", "girth_mm", "breadth_mm", "depth_mm", "mid_x_mm", "mid_z_mm")
        row[f"section/{code}"] = np.array([level[name] for name in names])
    row |= {f"length/{name}": np.array(v) for name, v in figure.measured["lengths"].items()}
    for view in VIEWS:
        row |= {f"{view}/{name}": v for name, v in seen_of(figure, layout, view).items()}
    return row


def draw(which: str, numbers: Sequence[int]) -> dict[str, Floats]:
    """Draw and see bodies.

    Args:
        which: generator of `calibration.rendered.make`.
        numbers: of the sittings; one for which no place is found is left out.

    Returns:
        Arrays with a row for each body.
    """
    from calibration.rendered.draw import drawn
    from calibration.rendered.make import GENERATORS
    from demo_images.make import sitting_layout

    rows = []
    for number in numbers:
        woman, figure = drawn(GENERATORS[which], number)
        try:
            layout = sitting_layout(woman, figure)
        except ValueError as error:
            print(error, flush=True)
            continue
        rows.append(row_of(woman, figure, layout))
        if len(rows) % 100 == 0:
            print(len(rows), flush=True)
    return {
        name: np.stack([row[name] for row in rows]).astype(
            np.float32 if "/edges" in name else float
        )
        for name in rows[0]
    }


def load(paths: Sequence[Path]) -> Sightings:
    """Read the parts of a set that `main` wrote."""
    parts = []
    for path in paths:
        with np.load(path) as stored:
            parts.append({name: stored[name] for name in stored.files})
    held = {name: np.concatenate([part[name] for part in parts]) for name in parts[0]}

    def group(prefix: str) -> dict[str, Floats]:
        return {
            name.removeprefix(prefix): values
            for name, values in held.items()
            if name.startswith(prefix)
        }

    return Sightings(
        numbers=group("number/"),
        sections=group("section/"),
        lengths=group("length/"),
        seen={view: Seen(**group(f"{view}/")) for view in VIEWS},
    )


def main() -> None:
    """Draw a set and keep it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("which", choices=("fitting", "held"))
    parser.add_argument("--count", type=int, required=True)
    parser.add_argument("--part", default="0/1")
    parser.add_argument("--first", type=int, default=FIRST)
    parser.add_argument("--out", type=Path, required=True)
    asked = parser.parse_args()
    part, parts = (int(number) for number in asked.part.split("/"))
    arrays = draw(asked.which, range(asked.first + part, asked.first + asked.count, parts))
    np.savez_compressed(asked.out, **arrays)  # type: ignore[arg-type]


if __name__ == "__main__":
    main()
