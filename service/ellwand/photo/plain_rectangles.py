"""Blank sheets of paper and cards: rectangles that stand out from what is around them.

Corners are the crossings of lines fitted to the four edges, so rounded or curled corners don't
matter.
"""

from collections.abc import Sequence
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from ellwand.photo import sheets
from ellwand.photo.edges import linear_light, refine_quad
from ellwand.photo.reference import FloatArray, ReferenceObject, Search, in_photo, resized

# Standard uncertainty of a corner, in pixels of the photo (measured on the demo photos:
# DEVELOPERS.md).
EDGE_CORNER_U_PX = 0.35


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
        quad = in_photo(outline, scale)
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


def _candidates(rgb: NDArray[np.uint8], kind: str) -> Sequence[FloatArray]:
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
    quads: list[FloatArray] = []
    for mask in masks:
        contours, _ = cv2.findContours(mask, cv2.RETR_LIST, cv2.CHAIN_APPROX_NONE)
        for contour in contours:
            if len(contour) < 80:
                continue
            corners = cv2.approxPolyDP(contour, 0.03 * cv2.arcLength(contour, True), True)
            if len(corners) == 4 and cv2.isContourConvex(corners):
                quads.append(np.asarray(corners, dtype=np.float64).reshape(4, 2))
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
