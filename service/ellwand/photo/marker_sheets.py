"""The printed marker sheets, found by their markers and placed by all that is printed on them.

The board's outer corners come from aligning a drawn board with the photo, which uses every edge on
the sheet; the markers only say where to begin.
"""

from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from ellwand.photo import sheets
from ellwand.photo.edges import linear_light
from ellwand.photo.reference import (
    FloatArray,
    ReferenceObject,
    Search,
    in_photo,
    mapped,
    rectangle,
    resized,
)

LightImage = NDArray[np.float32]

# Standard uncertainty of a corner in pixels of the photo. On the demo photos corners are off by
# 0.05-0.15 px (DEVELOPERS.md); real paper bulges, so no less than this is claimed.
BOARD_CORNER_U_PX = 0.12

_TEMPLATE_PX_PER_MM = 1
# Fewest markers that place a sheet; below, and where a square does not look as drawn (correlation
# with the drawing, judged on the demo photos), the sheet counts as partly hidden.
_LEAST_MARKERS = 3
_LEAST_ALIGNMENT = 0.75
_LEAST_SQUARE_ALIGNMENT = 0.5
_LEAST_CONTRAST = 0.005


@lru_cache(maxsize=2)
def board(sheet: int) -> cv2.aruco.CharucoBoard:
    """OpenCV's description of a marker sheet's board.

    Args:
        sheet: 1 or 2.
    """
    return cv2.aruco.CharucoBoard(
        (sheets.SQUARES_ACROSS, sheets.SQUARES_UP),
        sheets.SQUARE_MM,
        sheets.MARKER_MM,
        cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50),
        np.array(sheets.marker_ids(sheet)),
    )


def find_marker_sheets(rgb: NDArray[np.uint8], scale: float) -> Search:
    """Find the printed marker sheets.

    Args:
        rgb: the photo, (height, width, 3).
        scale: size of the copy to search in, as a fraction of the photo's (1 = the photo itself).

    Returns:
        The sheets that are seen whole, and how many others were seen in part.
    """
    small = cv2.cvtColor(resized(rgb, scale), cv2.COLOR_RGB2GRAY)
    parameters = cv2.aruco.DetectorParameters()
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    # More thresholds than by default: small markers in poor light are read by one of them.
    parameters.adaptiveThreshWinSizeStep = 4
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    corners, ids, _ = cv2.aruco.ArucoDetector(dictionary, parameters).detectMarkers(small)
    seen = {
        int(i): in_photo(np.asarray(c, dtype=np.float64).reshape(4, 2), scale)
        for i, c in zip(np.ravel([] if ids is None else ids), corners, strict=True)
    }
    found: list[ReferenceObject] = []
    hidden = 0
    for number in sheets.SHEET_NUMBERS:
        marks = [i for i in sheets.marker_ids(number) if i in seen]
        if not marks:
            continue
        aligned = (
            _align_board(rgb, number, {i: seen[i] for i in marks})
            if len(marks) >= _LEAST_MARKERS
            else None
        )
        if aligned is None:
            hidden += 1
        else:
            found.append(
                ReferenceObject(
                    f"sheet {number}",
                    sheets.BOARD_WIDTH_MM,
                    sheets.BOARD_HEIGHT_MM,
                    aligned,
                    BOARD_CORNER_U_PX,
                )
            )
    return Search(tuple(found), hidden)


def _align_board(
    rgb: NDArray[np.uint8], number: int, seen: dict[int, FloatArray]
) -> FloatArray | None:
    """Outer corners of the board by aligning its drawing with the photo (ECC); None if it fails."""
    layout = board(number)
    printed = np.asarray(layout.getObjPoints(), dtype=np.float64)[..., :2]
    wanted = dict(zip(np.ravel(layout.getIds()).tolist(), printed, strict=True))
    on_board = np.concatenate([wanted[i] for i in seen])
    found, _ = cv2.findHomography(on_board, np.concatenate([seen[i] for i in seen]))
    if found is None:
        return None
    start = np.asarray(found, dtype=np.float64)
    template, to_board = _template(number)
    # A cut-out around the sheet: aligning costs by the pixel.
    size = sheets.BOARD_WIDTH_MM, sheets.BOARD_HEIGHT_MM
    rough = mapped(start, rectangle(*size))
    low = np.maximum(np.floor(rough.min(axis=0)) - 20, 0).astype(int)
    high = np.ceil(rough.max(axis=0)).astype(int) + 21
    patch = linear_light(rgb[low[1] : high[1], low[0] : high[0]])
    shift = np.array([[1, 0, -low[0]], [0, 1, -low[1]], [0, 0, 1]], dtype=np.float64)
    warp = shift @ start @ to_board
    criteria = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 60, 1e-6)
    try:
        quality, aligned = cv2.findTransformECC(
            template,
            patch,
            (warp / warp[2, 2]).astype(np.float32),
            cv2.MOTION_HOMOGRAPHY,
            criteria,
            np.full(patch.shape, 255, dtype=np.uint8),
            5,
        )
    except cv2.error:
        return None
    if quality < _LEAST_ALIGNMENT or not _whole(
        template, patch, np.asarray(aligned, dtype=np.float32)
    ):
        return None
    turned = np.asarray(aligned, dtype=np.float64)
    final = np.linalg.inv(shift) @ turned @ np.linalg.inv(to_board)
    return mapped(final, rectangle(*size))


def _whole(template: LightImage, patch: LightImage, warp: FloatArray) -> bool:
    """Whether every square of the board looks as drawn: nothing covers a part of it."""
    flat = cv2.warpPerspective(
        patch, warp, template.shape[::-1], flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    )
    side = int(sheets.SQUARE_MM * _TEMPLATE_PX_PER_MM)
    margin = int(sheets.QUIET_ZONE_MM * _TEMPLATE_PX_PER_MM)
    # Each square with what is around it, so that a black one has an edge to compare.
    reach = margin // 2
    for row in range(sheets.SQUARES_UP):
        for column in range(sheets.SQUARES_ACROSS):
            y, x = margin + row * side - reach, margin + column * side - reach
            place = np.s_[y : y + side + 2 * reach, x : x + side + 2 * reach]
            drawn, seen = template[place].ravel(), flat[place].ravel()
            if (
                np.std(seen) < _LEAST_CONTRAST
                or np.corrcoef(drawn, seen)[0, 1] < _LEAST_SQUARE_ALIGNMENT
            ):
                return False
    return True


@lru_cache(maxsize=2)
def _template(number: int) -> tuple[LightImage, FloatArray]:
    """Drawing of a board with its white margin, and the map from its pixels to millimetres."""
    k = _TEMPLATE_PX_PER_MM
    margin = int(sheets.QUIET_ZONE_MM * k)
    width, height = int(sheets.BOARD_WIDTH_MM * k), int(sheets.BOARD_HEIGHT_MM * k)
    drawing = board(number).generateImage(
        (width + 2 * margin, height + 2 * margin), marginSize=margin
    )
    offset = (0.5 - margin) / k
    to_board = np.array([[1 / k, 0, offset], [0, 1 / k, offset], [0, 0, 1]])
    return np.asarray(np.asarray(drawing) / 255, dtype=np.float32), to_board
