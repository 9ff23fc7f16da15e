"""Where she stands, where the sheets hang and where the phone is, drawn by a fixed seed.

Drawn again until everything is in the picture with a margin and no sheet is covered.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from demo_images.camera import HEIGHT_PX, WIDTH_PX, Camera, Floats, View, camera_of, turn_y
from demo_images.people import Woman
from demo_images.sheets import Sheet, corners_mm

MARGIN_PX = 45.0
CLEARANCE_PX = 20.0
HAIR_ALLOWANCE_MM = 60.0
# A figure smaller than half the picture is a poor photo, and so is one far off its middle.
LEAST_HEIGHT_PX = 1000.0
OFF_MIDDLE_PX = 170.0
OFF_MIDDLE_UP_PX = 260.0
TYPED_STANDOFF_SD_MM = 8.0
TRIES = 3000
FACING_DEG = {"left": -90.0, "right": 90.0}


@dataclass(frozen=True, eq=False)
class Shot:
    """One photo: the camera, and where the body frame stands in the wall frame.

    Args:
        angle_deg: turn of the body about the vertical; 0 faces the phone.
        place_mm: (3,) the body frame's origin in the wall frame.
    """

    view: View
    camera: Camera
    angle_deg: float
    place_mm: Floats

    def to_wall(self, points_mm: Floats) -> Floats:
        """Turn (n, 3) points of the body frame into the wall frame."""
        return np.asarray(points_mm @ turn_y(self.angle_deg).T + self.place_mm)


@dataclass(frozen=True, eq=False)
class Layout:
    """Both photos of a sitting and the sheets they share."""

    sheets: tuple[Sheet, ...]
    front: Shot
    side: Shot


def lay_out(woman: Woman, front_mm: Floats, side_mm: Floats) -> Layout:
    """Draw a sitting's set-up.

    Args:
        woman: her set-up and seed.
        front_mm: (n, 3) vertices of the front pose in the body frame.
        side_mm: (n, 3) vertices of the side pose in the body frame.

    Raises:
        ValueError: nothing fits within the number of tries.
    """
    rng = np.random.default_rng(woman.seed)
    sheets = _hang(woman, rng)
    phones = woman.phones
    f35 = int(rng.choice(phones.f35))
    f_error = float(rng.uniform(-phones.f_error, phones.f_error))
    front = _shoot(woman, rng, sheets, front_mm, "front", f35, f_error)
    side = _shoot(woman, rng, sheets, side_mm, "side", f35, f_error)
    return Layout(sheets, front, side)


def _hang(woman: Woman, rng: np.random.Generator) -> tuple[Sheet, ...]:
    kind = {"marker-sheets": "marker", "plain-sheets": "blank", "id-card": "card"}
    size = woman.set_up.paper or "id-card"
    sheets = []
    for index, height in enumerate(woman.set_up.heights_mm):
        x = 0.0 if index == 0 else float(rng.uniform(-15.0, 15.0))
        y = height + float(rng.uniform(-30.0, 30.0))
        crooked = float(rng.uniform(-1.5, 1.5))
        sheets.append(Sheet(index + 1, kind[woman.set_up.kind], size, (x, y), crooked))
    return tuple(sheets)


def _shoot(
    woman: Woman,
    rng: np.random.Generator,
    sheets: tuple[Sheet, ...],
    body_mm: Floats,
    which: str,
    f35: int,
    f_error: float,
) -> Shot:
    typed = woman.standoff_front_cm if which == "front" else woman.standoff_side_cm
    standoff = 10.0 * typed + float(rng.normal(0.0, TYPED_STANDOFF_SD_MM))
    angle = 0.0 if which == "front" else FACING_DEG[woman.facing]
    turned = body_mm @ turn_y(angle).T
    back = float(turned[:, 2].min()) + standoff
    if not woman.set_up.own_plane and back < 4.0:
        raise ValueError(f"{woman.name}, {which}: {4.0 - back:.0f} mm too near the wall")
    tilt = woman.phones.tilt_deg
    for _ in range(TRIES):
        offset = float(rng.uniform(330.0, 800.0))
        place = np.array([-woman.set_up.side * offset, 0.0, standoff])
        view = View(
            f35_exif=f35,
            f_error=f_error,
            distance_mm=float(rng.uniform(2200.0, 3200.0)),
            height_mm=float(rng.uniform(900.0, 1400.0)),
            aim_x_mm=float(place[0] / 2 + rng.uniform(-250.0, 250.0)),
            pitch_deg=float(rng.uniform(-tilt, tilt)),
            roll_deg=float(rng.uniform(-tilt, tilt)),
            yaw_deg=float(rng.uniform(-tilt, tilt)),
        )
        shot = Shot(view, camera_of(view), angle, place)
        if fits(shot, sheets, shot.to_wall(body_mm)):
            return shot
    raise ValueError(f"{woman.name}, {which}: no place found")


def fits(shot: Shot, sheets: tuple[Sheet, ...], body_mm: Floats) -> bool:
    """Tell whether all is in the picture and no sheet is covered."""
    hair = body_mm[np.argmax(body_mm[:, 1])] + np.array([0.0, HAIR_ALLOWANCE_MM, 0.0])
    body_px = shot.camera.project(np.vstack([body_mm, hair]))
    sheet_px = [shot.camera.project(corners_mm(sheet)) for sheet in sheets]
    everything = np.vstack([body_px, *sheet_px])
    low, high = everything.min(axis=0), everything.max(axis=0)
    if low.min() < MARGIN_PX or (high > np.array([WIDTH_PX, HEIGHT_PX]) - MARGIN_PX).any():
        return False
    figure_px = float(np.ptp(body_px[:, 1]))
    off_middle = np.abs(low + high - np.array([WIDTH_PX, HEIGHT_PX])) / 2
    if figure_px < LEAST_HEIGHT_PX or (off_middle > [OFF_MIDDLE_PX, OFF_MIDDLE_UP_PX]).any():
        return False
    for corners in sheet_px:
        inside = (body_px > corners.min(axis=0) - CLEARANCE_PX) & (
            body_px < corners.max(axis=0) + CLEARANCE_PX
        )
        if inside.all(axis=1).any():
            return False
    return True
