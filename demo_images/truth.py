"""The truth file of a sitting: what was put into the scene, and what the mesh measures."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import numpy as np

from demo_images.camera import Floats
from demo_images.layout import Layout, Shot
from demo_images.people import Woman
from demo_images.sheets import board_corners_mm, corners_mm

INCH_MM = 25.4


def truth_of(
    woman: Woman,
    layout: Layout,
    body: dict[str, Any],
    measured: dict[str, Any],
    hair_top_mm: dict[str, float],
    joints_mm: dict[str, dict[str, Floats]],
) -> dict[str, Any]:
    """Put together everything known about a sitting.

    Args:
        woman: who is in the photos.
        layout: her place, the sheets and the cameras.
        body: recipe, stature and weight.
        measured: levels and lengths from sections of the mesh, in the body frame.
        hair_top_mm: highest point of the hair by view.
        joints_mm: joints by view, in the body frame.
    """
    shots = {"front": layout.front, "side": layout.side}
    return {
        "name": woman.name,
        "description": woman.description,
        **body,
        "hair_top_mm": rounded(hair_top_mm),
        "camera": {view: camera_of_view(shot) for view, shot in shots.items()},
        "body": {
            view: {
                "turn_deg": shot.angle_deg,
                "place_mm": rounded(shot.place_mm),
                "joints_mm": rounded(
                    {name: shot.to_wall(at[None])[0] for name, at in joints_mm[view].items()}
                ),
            }
            for view, shot in shots.items()
        },
        "orientation": dict(zip(shots, woman.orientations, strict=True)),
        "reference": reference(woman, layout),
        "standoff_front_mm": rounded(float(layout.front.place_mm[2])),
        "standoff_side_mm": rounded(float(layout.side.place_mm[2])),
        "facing": woman.facing,
        "typed": typed(woman, body["stature_mm"]),
        **measured,
    }


def camera_of_view(shot: Shot) -> dict[str, Any]:
    """Give the camera of one photo as plain numbers."""
    view, camera = shot.view, shot.camera
    return {
        "f_px": round(camera.f_px, 4),
        "f35_exif": view.f35_exif,
        "width": camera.width_px,
        "height": camera.height_px,
        "R": [[round(float(value), 9) for value in row] for row in camera.rotation],
        "t_mm": rounded(camera.translation_mm, 4),
        "distance_mm": rounded(view.distance_mm),
        "height_mm": rounded(view.height_mm),
        "pitch_deg": rounded(view.pitch_deg),
        "roll_deg": rounded(view.roll_deg),
        "yaw_deg": rounded(view.yaw_deg),
    }


def reference(woman: Woman, layout: Layout) -> dict[str, Any]:
    """Give the reference object: kind, paper, and where each sheet is in frame and pictures."""
    shots = {"front": layout.front, "side": layout.side}
    sheets = []
    for sheet in layout.sheets:
        corners = corners_mm(sheet)
        entry: dict[str, Any] = {
            "id": sheet.id,
            "centre_mm": rounded([*sheet.centre_mm, 0.0]),
            "rotation_deg": rounded(sheet.rotation_deg),
            "corners_mm": rounded(corners),
            "corners_px": {k: rounded(s.camera.project(corners)) for k, s in shots.items()},
        }
        if sheet.kind == "marker":
            inner = board_corners_mm(sheet)
            entry["marker_corners_px"] = {
                k: rounded(s.camera.project(inner)) for k, s in shots.items()
            }
        sheets.append(entry)
    return {
        "kind": woman.set_up.kind,
        "paper": woman.set_up.paper,
        "own_plane": woman.set_up.own_plane,
        "sheets": sheets,
    }


def typed(woman: Woman, stature_mm: float) -> dict[str, Any]:
    """Give what the customer would type."""
    if woman.stature_unit == "in":
        stature = f"{stature_mm / INCH_MM:.0f} in"
    else:
        stature = f"{stature_mm / 10.0:.0f} cm"
    return {
        "stature": stature,
        "standoff_front": f"{woman.standoff_front_cm} cm",
        "standoff_side": f"{woman.standoff_side_cm} cm",
        "reference": woman.set_up.kind,
        "paper": woman.set_up.paper,
    }


def rounded(value: Any, digits: int = 3) -> Any:
    """Turn arrays, dataclasses and numbers into rounded plain values for JSON."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return rounded(dataclasses.asdict(value), digits)
    if isinstance(value, dict):
        return {str(key): rounded(each, digits) for key, each in value.items()}
    if isinstance(value, np.ndarray):
        return rounded(value.tolist(), digits)
    if isinstance(value, list | tuple):
        return [rounded(each, digits) for each in value]
    if isinstance(value, float | np.floating):
        return None if math.isnan(float(value)) else round(float(value), digits)
    return value
