"""Reference objects of the demo photos: printed marker sheets, blank paper, a plain card."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import cv2
import numpy as np

from demo_images.camera import Floats, turn_z

PX_PER_MM = 4
BOARD_SQUARES = (3, 4)
SQUARE_MM = 62.0
MARKER_MM = 48.0
MARKERS_ON_A_SHEET = 6
# Sizes: ISO 216 (A4), ANSI/ASME Y14.1 (Letter), ISO/IEC 7810 (ID-1).
SIZES_MM = {
    "a4": (210.0, 297.0),
    "letter": (215.9, 279.4),
    "id-card": (85.6, 53.98),
    "backing": (210.0, 148.5),
}
CARD_CORNER_MM = 3.18
PAPER_WHITE = 244
BACKING_RGB = (38, 44, 60)
BACKING_GAP_MM = 0.1


@dataclass(frozen=True)
class Sheet:
    """One flat reference object in the plane z = 0 of the wall frame.

    Args:
        id: 1 for the first, 2 for the second.
        kind: `marker`, `blank`, `card` or `backing` (dark paper behind a card).
        size: key of SIZES_MM.
        centre_mm: x and y of its middle.
        rotation_deg: how crooked it hangs, positive anticlockwise.
    """

    id: int
    kind: str
    size: str
    centre_mm: tuple[float, float]
    rotation_deg: float


def corners_mm(sheet: Sheet) -> Floats:
    """Give the corners in the wall frame: top left, top right, bottom right, bottom left.

    Returns:
        (4, 3) points in mm.
    """
    width, height = SIZES_MM[sheet.size]
    flat = np.array([[-1.0, 1.0], [1.0, 1.0], [1.0, -1.0], [-1.0, -1.0]]) / 2
    return on_wall(sheet, flat * np.array([width, height]))


def on_wall(sheet: Sheet, points_mm: Floats) -> Floats:
    """Place points of a sheet (origin in its middle, y up) in the wall frame.

    Args:
        sheet: where it hangs.
        points_mm: (n, 2) points.

    Returns:
        (n, 3) points.
    """
    flat = np.column_stack([points_mm, np.zeros(len(points_mm))])
    middle = np.array([*sheet.centre_mm, 0.0])
    return np.asarray(flat @ turn_z(sheet.rotation_deg).T + middle)


def board(sheet_id: int) -> cv2.aruco.CharucoBoard:
    """Give the ChArUco board of a marker sheet: 3 x 4 squares, ids 0-5 or 6-11."""
    first = (sheet_id - 1) * MARKERS_ON_A_SHEET
    return cv2.aruco.CharucoBoard(
        BOARD_SQUARES,
        SQUARE_MM,
        MARKER_MM,
        cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50),
        np.arange(first, first + MARKERS_ON_A_SHEET, dtype=np.int32),
    )


def board_corners_mm(sheet: Sheet) -> Floats:
    """Give the inner corners of a marker sheet in the wall frame, in the board's own order.

    Returns:
        (6, 3) points in mm.
    """
    found = np.asarray(board(sheet.id).getChessboardCorners(), dtype=np.float64)[:, :2]
    across, down = (count * SQUARE_MM for count in BOARD_SQUARES)
    return on_wall(sheet, np.column_stack([found[:, 0] - across / 2, down / 2 - found[:, 1]]))


def write_texture(sheet: Sheet, path: Path) -> None:
    """Draw the face of a sheet as a PNG at 4 pixels per millimetre."""
    width, height = (round(side * PX_PER_MM) for side in SIZES_MM[sheet.size])
    if sheet.kind == "marker":
        picture = np.full((height, width), PAPER_WHITE, np.uint8)
        across, down = (round(count * SQUARE_MM * PX_PER_MM) for count in BOARD_SQUARES)
        drawn = board(sheet.id).generateImage((across, down), marginSize=0, borderBits=1)
        left, top = (width - across) // 2, (height - down) // 2
        ink = np.where(drawn > 127, PAPER_WHITE, 22).astype(np.uint8)
        picture[top : top + down, left : left + across] = ink
        cv2.imwrite(str(path), picture)
    elif sheet.kind == "card":
        cv2.imwrite(str(path), _card_face(width, height))
    else:
        rgb = BACKING_RGB if sheet.kind == "backing" else (PAPER_WHITE,) * 3
        cv2.imwrite(str(path), np.full((height, width, 3), rgb[::-1], np.uint8))


def backing_of(card: Sheet) -> Sheet:
    """Give the half sheet of dark paper, taped to the wall behind a card."""
    return replace(card, kind="backing", size="backing", rotation_deg=card.rotation_deg / 2.0)


def _card_face(width: int, height: int) -> cv2.typing.MatLike:
    """A plain white card with rounded, transparent corners."""
    radius = round(CARD_CORNER_MM * PX_PER_MM)
    alpha = np.zeros((height, width), np.uint8)
    cv2.rectangle(alpha, (radius, 0), (width - 1 - radius, height - 1), 255, -1)
    cv2.rectangle(alpha, (0, radius), (width - 1, height - 1 - radius), 255, -1)
    for x in (radius, width - 1 - radius):
        for y in (radius, height - 1 - radius):
            cv2.circle(alpha, (x, y), radius, 255, -1)
    face = np.full((height, width, 3), PAPER_WHITE, np.uint8)
    return np.dstack([face, alpha])
