"""Ways to stand wrongly, made from a body that stands well."""

from __future__ import annotations

import numpy as np

from calibration.bodies import PARTS, PosedBody
from demo_images.camera import Floats, turn_x, turn_z

# Half the length over which a bend is spread along the limb; by eye.
SOFT_BEND_MM = 40.0
LEAN_OVER_MM = 160.0


def eased(share: Floats) -> Floats:
    """Ease from 0 to 1."""
    held = np.clip(share, 0.0, 1.0)
    return np.asarray(held * held * (3.0 - 2.0 * held))


def leaning(body: PosedBody, angle_deg: float) -> Floats:
    """Lean the whole body sideways about the ankles, feet on the floor.

    Args:
        body: who stands upright.
        angle_deg: positive to her right.

    Returns:
        (n, 3) vertices in the body frame.
    """
    points = body.vertices_mm
    ankle = float(body.joints_mm["ankle_left"][1])
    pivot = np.array([0.0, ankle, 0.0])
    leant = (points - pivot) @ turn_z(angle_deg).T + pivot
    share = eased((points[:, 1] - 0.5 * ankle) / LEAN_OVER_MM)[:, None]
    return np.asarray(points + share * (leant - points))


def forearm_forward(body: PosedBody, side: str, angle_deg: float) -> Floats:
    """Bend an elbow so that the forearm points forward.

    Args:
        body: who lets her arms hang.
        side: `left` or `right`.
        angle_deg: turn of the forearm.

    Returns:
        (n, 3) vertices in the body frame.
    """
    points = body.vertices_mm
    elbow, wrist = (body.joints_mm[f"{joint}_{side}"] for joint in ("elbow", "wrist"))
    axis = (wrist - elbow) / np.linalg.norm(wrist - elbow)
    along = (points - elbow) @ axis
    on_arm = body.part_weight[:, PARTS.index(f"{side}_arm")] > 0.5
    share = eased((along + SOFT_BEND_MM) / (2.0 * SOFT_BEND_MM)) * on_arm
    bent = (points - elbow) @ turn_x(-angle_deg).T + elbow
    return np.asarray(points + share[:, None] * (bent - points))
