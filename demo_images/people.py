"""What describes a demo sitting: the woman, her clothes, her room, her reference set-up."""

from __future__ import annotations

from dataclasses import dataclass

from calibration.recipe import BodyRecipe
from demo_images.clothes import Outfit

Rgb = tuple[float, float, float]


@dataclass(frozen=True)
class Room:
    """A room: colours in linear RGB, the light, how rough wall and floor are.

    Args:
        light: key of LIGHTS in rooms.py.
        boards_mm: width of floor boards, 0 for a plain floor.
        wall_grain: 0 for smooth, about 0.3 for plaster.
    """

    wall_rgb: Rgb
    floor_rgb: Rgb
    light: str
    boards_mm: float = 0.0
    wall_grain: float = 0.15
    skirting: bool = True


@dataclass(frozen=True)
class SetUp:
    """What of known size is in the picture.

    Args:
        kind: `marker-sheets`, `plain-sheets` or `id-card`.
        paper: `a4`, `letter` or None for a card.
        heights_mm: height of the middle of each sheet above the floor.
        side: 1 when the sheets are to the right of her in the photo, -1 to the left.
        own_plane: the sheet stands beside her instead of hanging on the wall.
    """

    kind: str
    paper: str | None
    heights_mm: tuple[float, ...]
    side: int
    own_plane: bool = False


@dataclass(frozen=True)
class Phones:
    """Which phones take the photos and how they are propped; drawn evenly within these limits.

    Args:
        f35: equivalent focal lengths that phones write, mm.
        f_error: true focal length may differ from it by this share.
        tilt_deg: pitch, roll and yaw to either side.
    """

    f35: tuple[int, ...] = (24, 25, 26, 27, 28)
    f_error: float = 0.015
    tilt_deg: float = 3.0


@dataclass(frozen=True)
class Woman:
    """One demo sitting.

    Args:
        arm_deg: angle of the arms from the vertical in the front photo.
        standoff_front_cm, standoff_side_cm: what she types; 0 beside her sheet.
        facing: `left` or `right` in the side photo.
        stature_unit: `cm` or `in`, as she types it.
        orientations: how the phone stored front and side: EXIF orientation 1, 6 or 8.
    """

    name: str
    seed: int
    description: str
    recipe: BodyRecipe
    outfit: Outfit
    room: Room
    set_up: SetUp
    standoff_front_cm: int
    standoff_side_cm: int
    facing: str
    arm_deg: float = 55.0
    stature_unit: str = "cm"
    orientations: tuple[int, int] = (1, 1)
    phones: Phones = Phones()
