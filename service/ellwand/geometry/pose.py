"""Where a camera stood, from one flat object alone."""

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from ellwand.photo.reference import ReferenceObject

FloatArray = NDArray[np.float64]


def flat_poses(
    reference: ReferenceObject, focal: float, centre: FloatArray
) -> list[tuple[FloatArray, FloatArray]]:
    """Both cameras that a flat object allows, best first.

    Args:
        reference: the object; its middle is the origin of the wall frame here.
        focal: focal length, px.
        centre: (2,) principal point, px.

    Returns:
        Angles (3,) in radians and position (3,) in mm of each.

    Source: infinitesimal plane-based pose estimation (IPPE) as in OpenCV.
    """
    w, h = reference.width_mm / 2, reference.height_mm / 2
    # With y down and z away, as the camera counts, the turn is small; half a turn, which the wall
    # frame would make of it, is where a rotation vector loses its digits.
    flat = np.array([[-w, -h, 0], [w, -h, 0], [w, h, 0], [-w, h, 0]])
    to_wall = np.diag([1.0, -1.0, -1.0])
    matrix = np.array([[focal, 0, centre[0]], [0, focal, centre[1]], [0, 0, 1.0]])
    _, turns, moves, _ = cv2.solvePnPGeneric(
        flat, reference.corners_px, matrix, None, flags=cv2.SOLVEPNP_IPPE
    )
    poses = []
    for turn, move in zip(turns, moves, strict=True):
        rotation = np.asarray(cv2.Rodrigues(turn)[0], dtype=np.float64)
        poses.append((_angles(rotation @ to_wall), to_wall @ (-rotation.T @ move).ravel()))
    return poses


def least_oblique_deg(
    references: Sequence[ReferenceObject], focal: float, centre: FloatArray
) -> float:
    """How far from straight ahead the camera looks at the wall, by the object that says least.

    Args:
        references: objects on the wall; without one, nothing is known and the answer is 0.
        focal: focal length, px.
        centre: (2,) principal point, px.
    """
    angles = [
        float(np.hypot(*flat_poses(reference, focal, centre)[0][0][:2])) for reference in references
    ]
    return float(np.degrees(min(angles, default=0.0)))


def _angles(matrix: FloatArray) -> FloatArray:
    """Yaw, pitch and roll of a rotation from the wall frame to the camera's axes."""
    forward, right = matrix[2], matrix[0]
    yaw = np.arctan2(forward[0], -forward[2])
    level_right = np.array([np.cos(yaw), 0.0, np.sin(yaw)])
    down = np.cross(forward, level_right)
    pitch = np.arcsin(np.clip(forward[1], -1, 1))
    return np.array([yaw, pitch, np.arctan2(right @ down, right @ level_right)])
