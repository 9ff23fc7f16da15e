"""The object of known size in a photo, found to a fraction of a pixel.

Every kind comes out the same: a rectangle of known size and its four corners in the photo. Corners
of a marker sheet are the board's outer corners, placed by aligning a drawn board with the photo;
corners of a blank sheet or a card are the crossings of lines fitted to the four edges.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from ellwand.photo import sheets
from ellwand.photo.edges import linear_light, refine_quad

ReferenceKind = Literal["marker-sheets", "plain-sheets", "id-card", "stature"]

FloatArray = NDArray[np.float64]
LightImage = NDArray[np.float32]

# Standard uncertainty of a corner in pixels of the photo, before the paper's own tolerance.
# Measured on the demo photos (DEVELOPERS.md); real paper bulges, so no less than this is claimed.
BOARD_CORNER_U_PX = 0.12
EDGE_CORNER_U_PX = 0.35

_TEMPLATE_PX_PER_MM = 1
# Fewest markers that place a sheet; below, and where a square does not look as drawn (correlation
# with the drawing, judged on the demo photos), the sheet counts as partly hidden.
_LEAST_MARKERS = 3
_LEAST_ALIGNMENT = 0.75
_LEAST_SQUARE_ALIGNMENT = 0.5
_LEAST_CONTRAST = 0.005


@dataclass(frozen=True, eq=False)
class ReferenceObject:
    """A rectangle of known size seen in a photo.

    Args:
        name: "sheet 1", "sheet 2", "sheet" or "card".
        width_mm: extent across, as it hangs.
        height_mm: extent up, as it hangs.
        corners_px: (4, 2) upper left, upper right, lower right, lower left.
        u_px: standard uncertainty of a corner coordinate.
    """

    name: str
    width_mm: float
    height_mm: float
    corners_px: FloatArray
    u_px: float


@dataclass(frozen=True)
class Search:
    """What a search for reference objects brought.

    Args:
        objects: those found whole, from the top down.
        hidden: how many were seen in part only.
    """

    objects: tuple[ReferenceObject, ...]
    hidden: int


def resized(rgb: NDArray[np.uint8], scale: float) -> NDArray[np.uint8]:
    """The working copy of a photo.

    Args:
        rgb: (height, width, 3).
        scale: its size as a fraction of the photo's.
    """
    if scale == 1:
        return rgb
    return np.asarray(
        cv2.resize(rgb, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA), np.uint8
    )


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
    seen = {} if ids is None else {
        int(i): (c.reshape(4, 2) + 0.5) / scale - 0.5 for i, c in zip(ids.ravel(), corners, strict=True)
    }  # fmt: skip
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
    wanted = dict(zip(layout.getIds().ravel().tolist(), layout.getObjPoints(), strict=True))
    on_board = np.concatenate([wanted[i][:, :2] for i in seen]).astype(np.float64)
    start, _ = cv2.findHomography(on_board, np.concatenate([seen[i] for i in seen]))
    if start is None:
        return None
    template, to_board = _template(number)
    # A cut-out around the sheet: aligning costs by the pixel.
    size = sheets.BOARD_WIDTH_MM, sheets.BOARD_HEIGHT_MM
    rough = _apply(start, _rectangle(*size))
    low = np.maximum(np.floor(rough.min(axis=0)) - 20, 0).astype(int)
    high = np.ceil(rough.max(axis=0)).astype(int) + 21
    patch = linear_light(rgb[low[1] : high[1], low[0] : high[0]])
    shift = np.array([[1, 0, -low[0]], [0, 1, -low[1]], [0, 0, 1]], dtype=np.float64)
    warp = shift @ start @ to_board
    criteria = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 60, 1e-6)
    try:
        quality, aligned = cv2.findTransformECC(
            template, patch, (warp / warp[2, 2]).astype(np.float32),
            cv2.MOTION_HOMOGRAPHY, criteria, None, 5,
        )  # fmt: skip
    except cv2.error:
        return None
    if quality < _LEAST_ALIGNMENT or not _whole(template, patch, aligned):
        return None
    final = np.linalg.inv(shift) @ aligned.astype(np.float64) @ np.linalg.inv(to_board)
    return _apply(final, _rectangle(*size))


def _whole(template: LightImage, patch: LightImage, warp: NDArray[np.float32]) -> bool:
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
    return drawing.astype(np.float32) / 255, np.array(
        [[1 / k, 0, offset], [0, 1 / k, offset], [0, 0, 1]]
    )


def find_plain_rectangles(
    rgb: NDArray[np.uint8],
    scale: float,
    sides_mm: tuple[float, float],
    body_box_px: tuple[float, float, float, float],
    stature_mm: float,
    kind: Literal["sheet", "card"],
) -> Search:
    """Find blank sheets of paper, or a card, beside her.

    Args:
        rgb: the photo, (height, width, 3).
        scale: size of the copy to search in, as a fraction of the photo's.
        sides_mm: shorter and longer side.
        body_box_px: left, top, right, bottom of the body in the photo, for the size to expect.
        stature_mm: her height, for the same.
        kind: what is looked for; at most two sheets or one card are returned.

    Returns:
        The rectangles that fit in size and shape, best first by straightness of their edges.
    """
    small = resized(rgb, scale)
    px_per_mm = (body_box_px[3] - body_box_px[1]) / stature_mm
    light = linear_light(rgb)
    rounded = sheets.CARD_CORNER_RADIUS_MM * px_per_mm if kind == "card" else 0.0
    found: list[tuple[float, ReferenceObject]] = []
    hidden = 0
    for outline in _candidates(small, kind):
        quad = (outline.astype(np.float64) + 0.5) / scale - 0.5
        fits = _upright_sides(quad, sides_mm, px_per_mm)
        if fits is None:
            continue
        refined = refine_quad(light, _ordered(quad), rounded)
        if refined is None:
            hidden += 1
            continue
        corners, straightness_px = refined
        fits = _upright_sides(corners, sides_mm, px_per_mm, tolerance=0.04)
        if fits is None or any(_overlap(corners, other.corners_px) for _, other in found):
            continue
        found.append((straightness_px, ReferenceObject(kind, *fits, corners, EDGE_CORNER_U_PX)))
    found.sort(key=lambda item: item[0])
    most = 2 if kind == "sheet" else 1
    best = sorted(
        (item[1] for item in found[:most]), key=lambda o: float(o.corners_px[:, 1].mean())
    )
    return Search(tuple(best), hidden if not best else 0)


def _candidates(rgb: NDArray[np.uint8], kind: str) -> Sequence[NDArray[np.int32]]:
    """Four-sided convex outlines that stand out from what is around them."""
    lab = cv2.cvtColor(rgb, cv2.COLOR_RGB2LAB)
    smooth = cv2.bilateralFilter(lab, 5, 20, 3)
    masks: list[NDArray[np.uint8]] = []
    for channel in (0,) if kind == "sheet" else (0, 1, 2):
        plane = smooth[:, :, channel]
        low, high = int(np.percentile(plane, 2)), int(np.percentile(plane, 98))
        step = max((high - low) // 16, 4)
        for level in range(low + step, 250, step):
            masks.append((plane > level).astype(np.uint8))
            if kind == "card":
                masks.append((plane <= level).astype(np.uint8))
    quads: list[NDArray[np.int32]] = []
    for mask in masks:
        contours, _ = cv2.findContours(mask, cv2.RETR_LIST, cv2.CHAIN_APPROX_NONE)
        for contour in contours:
            if len(contour) < 80:
                continue
            corners = cv2.approxPolyDP(contour, 0.03 * cv2.arcLength(contour, True), True)
            if len(corners) == 4 and cv2.isContourConvex(corners):
                quads.append(corners.reshape(4, 2))
    return quads


def _upright_sides(
    quad: FloatArray, sides_mm: tuple[float, float], px_per_mm: float, tolerance: float = 0.12
) -> tuple[float, float] | None:
    """Width and height in millimetres that the rectangle has as it hangs; None if it can't be."""
    upper_left, upper_right, lower_right, lower_left = _ordered(quad)
    across = np.hypot(*(upper_right - upper_left)) + np.hypot(*(lower_right - lower_left))
    up = np.hypot(*(lower_left - upper_left)) + np.hypot(*(lower_right - upper_right))
    ratio = sides_mm[1] / sides_mm[0]
    if abs(up / across / ratio - 1) < tolerance:
        fits = sides_mm
    elif abs(across / up / ratio - 1) < tolerance:
        fits = sides_mm[1], sides_mm[0]
    else:
        return None
    # The wall is a little farther away than she is; a third either way is no reference object.
    seen = (across + up) / 2 / (fits[0] + fits[1])
    return fits if 0.67 < seen / px_per_mm < 1.33 else None


def _ordered(quad: FloatArray) -> FloatArray:
    """Corners as upper left, upper right, lower right, lower left."""
    by_height = quad[np.argsort(quad[:, 1])]
    upper = by_height[:2][np.argsort(by_height[:2, 0])]
    lower = by_height[2:][np.argsort(by_height[2:, 0])]
    return np.array([upper[0], upper[1], lower[1], lower[0]], dtype=np.float64)


def _overlap(one: FloatArray, other: FloatArray) -> bool:
    return bool(np.all(np.abs(one.mean(axis=0) - other.mean(axis=0)) < np.ptp(other, axis=0) / 2))


def _rectangle(width: float, height: float) -> FloatArray:
    return np.array([[0, 0], [width, 0], [width, height], [0, height]], dtype=np.float64)


def _apply(homography: FloatArray, points: FloatArray) -> FloatArray:
    return np.asarray(cv2.perspectiveTransform(points[None], homography)[0], dtype=np.float64)
