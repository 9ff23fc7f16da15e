"""Photos of marker sheets on a wall, drawn by known homographies."""

import numpy as np
from numpy.typing import NDArray

from ellwand.photo import sheets
from ellwand.photo.marker_sheets import board
from ellwand.photo.reference import mapped, rectangle
from tests.photo.drawing import FloatArray, Shade, blurred, encoded, paint, raster, turned

# Light of paper and ink in the same room.
PAPER, INK = 0.85, 0.04
BOARD = rectangle(sheets.BOARD_WIDTH_MM, sheets.BOARD_HEIGHT_MM)
# A4, with the board where it is printed; millimetres from the board's upper left corner.
SHEET = rectangle(210, 297) - [sheets.BOARD_LEFT_MM, sheets.BOARD_TOP_MM]


def printed(sheet: int) -> Shade:
    """A marker sheet in millimetres from its board's upper left corner."""
    left, top = int(sheets.BOARD_LEFT_MM), int(sheets.BOARD_TOP_MM)
    width, height = int(sheets.BOARD_WIDTH_MM), int(sheets.BOARD_HEIGHT_MM)
    ink = board(sheet).generateImage((width, height), marginSize=0) < 128
    light = np.full((297, 210), PAPER)
    light[top : top + height, left : left + width][ink] = INK
    return raster(light, (-left, -top))


def seen(px_per_mm: float, degrees: float, corner: tuple[float, float], tilt: float) -> FloatArray:
    """Homography of a sheet that is seen a little from the side and from above.

    Args:
        px_per_mm: scale at the board's upper left corner.
        degrees: how it hangs, clockwise.
        corner: pixel of that corner.
        tilt: how much the scale changes over a metre of wall.
    """
    away = np.array([[1, 0, 0], [0, 1, 0], [tilt / 1000, -0.6 * tilt / 1000, 1]])
    return np.array([[1, 0, corner[0]], [0, 1, corner[1]], [0, 0, 1]]) @ (
        turned(degrees, px_per_mm, 0, 0) @ away
    )


def photo(
    hung: list[tuple[int, FloatArray]],
    size: tuple[int, int],
    wall: float = 0.45,
    blur: float = 0.6,
    noise: float = 1.5,
    exposure: float = 1.0,
    seed: int = 1,
) -> NDArray[np.uint8]:
    """A photo of marker sheets.

    Args:
        hung: sheets and their homographies.
        size: height and width of the photo.
        wall: light of the wall.
        blur: of the lens, px.
        noise: in code values.
        exposure: 1 = paper is white, less = darker.
        seed: of the noise.
    """
    light = np.full(size, wall)
    for sheet, to_photo in hung:
        paint(light, printed(sheet), SHEET, to_photo)
    return encoded(blurred(light, blur) * exposure, noise, seed)


def corners(to_photo: FloatArray) -> FloatArray:
    """Where the board's outer corners are in the photo."""
    return mapped(to_photo, BOARD)
