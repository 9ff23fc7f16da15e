"""Walls, floors, lamps and stands around a demo figure, as the renderer wants them."""

from __future__ import annotations

from typing import Any

from demo_images.people import Room
from demo_images.sheets import SIZES_MM, Sheet

PAPER_GAP_MM = 0.2
ROOM_HALF_WIDTH_MM = 5000.0
ROOM_DEPTH_MM = 6000.0
ROOM_HEIGHT_MM = 5000.0
SKIRTING_MM = (70.0, 10.0)
# Lamps relative to her place on the floor: place, size, watt, colour; and the strength of the
# light from all around. Chosen by eye for bright, soft pictures.
LIGHTS: dict[str, tuple[float, list[dict[str, Any]]]] = {
    "ceiling": (
        0.85,
        [{"at": (0, 2700, 1700), "size": 2200, "watt": 150, "rgb": (1.0, 0.94, 0.86)}],
    ),
    "window-left": (
        0.80,
        [{"at": (-2600, 1900, 2200), "size": 1900, "watt": 230, "rgb": (0.93, 0.97, 1.0)}],
    ),
    "window-right": (
        0.80,
        [{"at": (2600, 1900, 2200), "size": 1900, "watt": 230, "rgb": (0.93, 0.97, 1.0)}],
    ),
    "behind-phone": (
        0.85,
        [{"at": (300, 2300, 3600), "size": 2600, "watt": 210, "rgb": (1.0, 0.98, 0.95)}],
    ),
    "two-lamps": (
        0.70,
        [
            {"at": (-1900, 2300, 2200), "size": 1200, "watt": 110, "rgb": (1.0, 0.90, 0.78)},
            {"at": (1900, 2300, 2400), "size": 1200, "watt": 110, "rgb": (1.0, 0.93, 0.84)},
        ],
    ),
}


def boxes(room: Room, wall_z_mm: float) -> list[dict[str, Any]]:
    """Give wall, floor and skirting board as boxes."""
    half = ROOM_HALF_WIDTH_MM
    wall = {"rgb": room.wall_rgb, "bump": room.wall_grain, "rough": 0.85, "amount": 0.02}
    floor = {"rgb": room.floor_rgb, "boards_mm": room.boards_mm, "rough": 0.5, "amount": 0.06}
    built = [
        _box((-half, 0, wall_z_mm - 200), (half, ROOM_HEIGHT_MM, wall_z_mm), wall),
        _box((-half, -100, wall_z_mm - 200), (half, 0, ROOM_DEPTH_MM), floor),
    ]
    if room.skirting:
        height, thick = SKIRTING_MM
        white = {"rgb": (0.62, 0.61, 0.58), "rough": 0.4}
        built.append(_box((-half, 0, wall_z_mm), (half, height, wall_z_mm + thick), white))
    return built


def stand(sheet: Sheet) -> list[dict[str, Any]]:
    """Give a thin stand whose board carries a sheet just in front of it."""
    width, height = SIZES_MM[sheet.size]
    x, y = sheet.centre_mm
    dark = {"rgb": (0.05, 0.05, 0.055), "rough": 0.5}
    back = -PAPER_GAP_MM
    return [
        _box((x - 12, 0, back - 16), (x + 12, y, back - 4), dark),
        _box((x - 130, 0, back - 130), (x + 130, 14, back + 110), dark),
        _box(
            (x - width / 2 - 12, y - height / 2 - 12, back - 4),
            (x + width / 2 + 12, y + height / 2 + 12, back),
            dark,
        ),
    ]


def lights(room: Room, body_x_mm: float) -> tuple[float, list[dict[str, Any]]]:
    """Give the strength of the light from all around, and the lamps, in the wall frame."""
    strength, lamps = LIGHTS[room.light]
    return strength, [
        {
            "at_mm": [body_x_mm + lamp["at"][0], lamp["at"][1], lamp["at"][2]],
            "target_mm": [body_x_mm, 1000.0, 0.0],
            "size_mm": lamp["size"],
            "watt": lamp["watt"],
            "rgb": lamp["rgb"],
        }
        for lamp in lamps
    ]


def _box(
    low_mm: tuple[float, float, float], high_mm: tuple[float, float, float], look: dict[str, Any]
) -> dict[str, Any]:
    return {"low_mm": list(low_mm), "high_mm": list(high_mm), "look": look}
