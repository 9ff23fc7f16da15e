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

# The board is drawn in this many sizes per doubling: drawing and photo are smoothed alike in
# pixels, so they must be alike in millimetres, or edges shift. Its white margin stays clear of the
# paper's own edge, which smoothing must not reach.
_SIZES_PER_DOUBLING = 4
_DRAWN_PX_PER_MM = 4
_MARGIN_MM = sheets.QUIET_ZONE_MM / 2
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
            found.append(_as_it_hangs(f"sheet {number}", aligned))
    return Search(tuple(found), hidden)


def _as_it_hangs(name: str, corners: FloatArray) -> ReferenceObject:
    """A sheet with its corners from the upper left on, whichever way up it hangs."""
    upper_edges = np.roll(corners, -1, axis=0) - corners
    first = int(np.argmax(upper_edges[:, 0] / np.hypot(*upper_edges.T)))
    sides = sheets.BOARD_WIDTH_MM, sheets.BOARD_HEIGHT_MM
    width, height = sides[::-1] if first % 2 else sides
    return ReferenceObject(name, width, height, np.roll(corners, -first, axis=0), BOARD_CORNER_U_PX)


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
    # A cut-out around the sheet: aligning costs by the pixel.
    size = sheets.BOARD_WIDTH_MM, sheets.BOARD_HEIGHT_MM
    rough = mapped(start, rectangle(*size))
    px_per_mm = float(np.sqrt(cv2.contourArea(rough.astype(np.float32)) / np.prod(size)))
    template, to_board = _template(number, round(np.log2(px_per_mm) * _SIZES_PER_DOUBLING))
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
        template, to_board, patch, np.asarray(aligned, dtype=np.float32)
    ):
        return None
    turned = np.asarray(aligned, dtype=np.float64)
    final = np.linalg.inv(shift) @ turned @ np.linalg.inv(to_board)
    return mapped(final, rectangle(*size))


def _whole(template: LightImage, to_board: FloatArray, patch: LightImage, warp: FloatArray) -> bool:
    """Whether every square of the board looks as drawn: nothing covers a part of it."""
    flat = cv2.warpPerspective(
        patch, warp, template.shape[::-1], flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    )
    # Each square with what is around it, so that a black one has an edge to compare.
    to_template = np.asarray(np.linalg.inv(to_board), dtype=np.float64)
    reach = _MARGIN_MM
    for row in range(sheets.SQUARES_UP):
        for column in range(sheets.SQUARES_ACROSS):
            corner = np.array([column, row]) * sheets.SQUARE_MM
            ends = np.array([corner - reach, corner + sheets.SQUARE_MM + reach], dtype=np.float64)
            (left, top), (right, bottom) = mapped(to_template, ends).round().astype(int)
            place = np.s_[max(top, 0) : bottom + 1, max(left, 0) : right + 1]
            drawn, seen = template[place].ravel(), flat[place].ravel()
            if (
                np.std(seen) < _LEAST_CONTRAST
                or np.corrcoef(drawn, seen)[0, 1] < _LEAST_SQUARE_ALIGNMENT
            ):
                return False
    return True


@lru_cache(maxsize=8)
def _template(number: int, size: int) -> tuple[LightImage, FloatArray]:
    """Drawing of a board with a white margin, and the map from its pixels to millimetres.

    Args:
        number: of the sheet.
        size: logarithm of the pixels per millimetre, in steps of a doubling.
    """
    margin = round(_MARGIN_MM * _DRAWN_PX_PER_MM)
    drawn_size = tuple(
        round(mm * _DRAWN_PX_PER_MM) + 2 * margin
        for mm in (sheets.BOARD_WIDTH_MM, sheets.BOARD_HEIGHT_MM)
    )
    drawn = board(number).generateImage(drawn_size, marginSize=margin)
    px_per_mm = min(2 ** (size / _SIZES_PER_DOUBLING), _DRAWN_PX_PER_MM)
    wanted = [round(px * px_per_mm / _DRAWN_PX_PER_MM) for px in drawn_size]
    smaller = cv2.resize(np.asarray(drawn / 255, np.float32), wanted, interpolation=cv2.INTER_AREA)
    across, down = (
        whole / px / _DRAWN_PX_PER_MM for whole, px in zip(drawn_size, wanted, strict=True)
    )
    to_board = np.array(
        [
            [across, 0, 0.5 * across - _MARGIN_MM],
            [0, down, 0.5 * down - _MARGIN_MM],
            [0, 0, 1],
        ]
    )
    return np.asarray(smaller, dtype=np.float32), to_board
