"""A woman of the body model as the photos need her: at rest, posed, and measured."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from calibration.bodies import PARTS, BodyRecipe, PosedBody, pose
from calibration.sections import Section, measure
from demo_images.camera import Floats
from demo_images.meshes import RestFigure
from demo_images.truth import rounded

JOINTS = (
    *(
        f"{name}_{side}"
        for name in ("shoulder", "elbow", "wrist", "hip", "knee", "ankle", "ankle_bone", "eye")
        for side in ("left", "right")
    ),
    "neck",
    "crown",
)


@dataclass(frozen=True, eq=False)
class Figure:
    """One woman.

    Args:
        rest: at rest, for clothes and hair.
        posed: by view, in the body frame.
        body: recipe, stature and weight for the truth file.
        measured: levels and lengths for the truth file.
    """

    rest: RestFigure
    posed: dict[str, PosedBody]
    body: dict[str, Any]
    measured: dict[str, Any]

    @property
    def joints_mm(self) -> dict[str, dict[str, Floats]]:
        """Joints by view, in the body frame."""
        return {
            view: {name: body.joints_mm[name] for name in JOINTS}
            for view, body in self.posed.items()
        }


def rest_figure(body: PosedBody) -> RestFigure:
    """Turn a body at rest into what clothes and hair are cut on."""
    share = {part: body.part_weight[:, number] for number, part in enumerate(PARTS)}
    left = body.vertices_mm[:, 0] > 0.0
    return RestFigure(
        vertices_mm=body.vertices_mm,
        faces=body.faces,
        arm_weight=share["left_arm"] + share["right_arm"],
        head_weight=share["head"],
        joints_mm=body.joints_mm,
        eyeballs=(np.flatnonzero(body.is_eye & left), np.flatnonzero(body.is_eye & ~left)),
    )


def figure_of(recipe: BodyRecipe, arm_deg: float) -> Figure:
    """Shape, pose and measure a woman.

    Args:
        recipe: who she is.
        arm_deg: angle of the arms in the front photo.
    """
    truth = measure(recipe)
    return Figure(
        rest=rest_figure(pose(recipe, "rest")),
        posed={"front": pose(recipe, "front", arm_deg), "side": pose(recipe, "side")},
        body={
            "recipe": rounded(recipe),
            "stature_mm": rounded(truth.stature_mm, 2),
            "weight_kg": rounded(truth.mass_kg, 1),
        },
        measured={
            "levels": {code: _level(each) for code, each in truth.levels.items()},
            "lengths": rounded(truth.lengths_mm, 2),
        },
    )


def _level(found: Section) -> dict[str, float]:
    """Give one level for the truth file; the middle is in the body frame."""
    return {
        "girth_mm": round(found.girth_mm, 2),
        "breadth_mm": round(found.breadth_mm, 2),
        "depth_mm": round(found.depth_mm, 2),
        "height_mm": round(found.height_mm, 2),
        "mid_x_mm": round(found.middle_x_mm, 2),
        "mid_z_mm": round(found.middle_z_mm, 2),
    }
