"""The camera of a demo photo: a pinhole in the wall frame, with OpenCV axes.

The frame (origin, axes, pixel convention) is the one of DEVELOPERS.md: origin on the floor below
the reference object, x right, y up, z out of the wall; the centre of the first pixel is (0, 0).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

WIDTH_PX = 1500
HEIGHT_PX = 2000
# Diagonal of the 36 x 24 mm frame that "35 mm equivalent" refers to (CIPA DCG-001).
FULL_FRAME_DIAGONAL_MM = math.hypot(36.0, 24.0)
# A camera that looks straight at the wall: x stays, y down, z into the wall.
STRAIGHT = np.diag([1.0, -1.0, -1.0])


@dataclass(frozen=True)
class View:
    """How the phone stands for one photo.

    Args:
        f35_exif: focal length that the phone writes, 35 mm equivalent, in mm.
        f_error: true focal length divided by the written one, minus 1.
        distance_mm: horizontal distance from the phone to the reference plane.
        height_mm: height of the phone above the floor.
        aim_x_mm: x in the wall frame of the phone.
        pitch_deg: turn about the x axis, positive looks up.
        roll_deg: turn about the viewing axis, positive tips the phone clockwise.
        yaw_deg: turn about the vertical, positive looks to the right.
        orbit_deg: turn of the phone's place around its aim, positive to the right.
        orbit_z_mm: z of the point that it goes round.
    """

    f35_exif: int
    f_error: float
    distance_mm: float
    height_mm: float
    aim_x_mm: float
    pitch_deg: float = 0.0
    roll_deg: float = 0.0
    yaw_deg: float = 0.0
    orbit_deg: float = 0.0
    orbit_z_mm: float = 0.0


@dataclass(frozen=True, eq=False)
class Camera:
    """A pinhole: pixel = K (rotation @ point + translation_mm)."""

    f_px: float
    rotation: Floats
    translation_mm: Floats
    width_px: int = WIDTH_PX
    height_px: int = HEIGHT_PX

    def project(self, points_mm: Floats) -> Floats:
        """Give the pixels of points.

        Args:
            points_mm: (n, 3) points in the wall frame.

        Returns:
            (n, 2) pixels, centre of the first pixel = (0, 0).
        """
        seen = points_mm @ self.rotation.T + self.translation_mm
        middle = np.array([(self.width_px - 1) / 2, (self.height_px - 1) / 2])
        return np.asarray(self.f_px * seen[:, :2] / seen[:, 2:] + middle)


def focal_px(f35_mm: float, width_px: int = WIDTH_PX, height_px: int = HEIGHT_PX) -> float:
    """Turn a 35 mm equivalent focal length into pixels by the diagonals (CIPA DCG-001)."""
    return f35_mm * math.hypot(width_px, height_px) / FULL_FRAME_DIAGONAL_MM


def turn_x(angle_deg: float) -> Floats:
    """Rotation matrix about x."""
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    return np.array([[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]])


def turn_y(angle_deg: float) -> Floats:
    """Rotation matrix about y."""
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    return np.array([[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]])


def turn_z(angle_deg: float) -> Floats:
    """Rotation matrix about z."""
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])


def camera_of(view: View) -> Camera:
    """Give the pinhole of a view in the wall frame."""
    orbit = turn_y(view.orbit_deg)
    pivot = np.array([view.aim_x_mm, 0.0, view.orbit_z_mm])
    straight_centre = np.array([view.aim_x_mm, view.height_mm, view.distance_mm])
    centre = pivot + orbit @ (straight_centre - pivot)
    own_turn = turn_z(-view.roll_deg) @ turn_x(-view.pitch_deg) @ turn_y(-view.yaw_deg)
    rotation = own_turn @ STRAIGHT @ orbit.T
    return Camera(
        f_px=focal_px(view.f35_exif) * (1.0 + view.f_error),
        rotation=rotation,
        translation_mm=-rotation @ centre,
    )
