"""Pictures drawn by area coverage: every edge is known to a fraction of a pixel.

A pixel collects the light of its whole area, so light is averaged first and encoded last, as a
camera does it. Pixels count from the centre of the first one.
"""

from collections.abc import Callable

import cv2
import numpy as np
from numpy.typing import NDArray

from ellwand.photo.reference import mapped

FloatArray = NDArray[np.float64]
# Light at points (n, 2) of a flat thing; NaN where what lies behind is seen.
Shade = Callable[[FloatArray], FloatArray]

# Points per pixel and direction: an edge along the rows is placed to 1/64 px at worst.
_POINTS = 32
# Pixels that are worked out at once, to keep memory small.
_AT_ONCE = 200


def paint(light: FloatArray, shade: Shade, corners: FloatArray, to_photo: FloatArray) -> None:
    """Paint a flat thing into a picture of light.

    Args:
        light: (height, width), changed in place.
        shade: what it looks like.
        corners: (n, 2) points around it, in its own frame.
        to_photo: (3, 3) homography from its frame to pixels.
    """
    seen = mapped(to_photo, np.asarray(corners, dtype=np.float64))
    height, width = light.shape
    left, top = np.maximum(np.floor(seen.min(axis=0)).astype(int) - 1, 0)
    right, bottom = np.minimum(np.ceil(seen.max(axis=0)).astype(int) + 2, [width, height])
    back = np.linalg.inv(to_photo)

    def shade_at(x: FloatArray, y: FloatArray) -> FloatArray:
        return shade(mapped(back, np.stack([x.ravel(), y.ravel()], axis=1))).reshape(x.shape)

    # Pixels whose corners see the same, and whose neighbours' do, hold no edge.
    y, x = np.mgrid[top : bottom + 1, left : right + 1] - 0.5
    ends = np.nan_to_num(shade_at(x, y), nan=-1.0)
    four = np.stack([ends[:-1, :-1], ends[:-1, 1:], ends[1:, :-1], ends[1:, 1:]])
    edge = (np.ptp(four, axis=0) > 0).astype(np.uint8)
    mixed = cv2.dilate(edge, np.ones((3, 3), np.uint8)) > 0
    box = light[top:bottom, left:right]
    box[~mixed & (four[0] >= 0)] = four[0][~mixed & (four[0] >= 0)]
    inside = (np.arange(_POINTS) + 0.5) / _POINTS - 0.5
    across, down = (grid.ravel() for grid in np.meshgrid(inside, inside))
    rows, columns = np.nonzero(mixed)
    for some in np.array_split(np.arange(len(rows)), len(rows) // _AT_ONCE + 1):
        row, column = rows[some, None], columns[some, None]
        here = shade_at(column + left + across, row + top + down)
        box[row, column] = np.where(np.isnan(here), box[row, column], here).mean(
            axis=1, keepdims=True
        )


def rounded_rectangle(width: float, height: float, radius: float, shade: float) -> Shade:
    """A rectangle with its upper left corner at (0, 0).

    Args:
        width: extent across.
        height: extent down.
        radius: of its corners.
        shade: its light.
    """
    half = np.array([width, height]) / 2

    def light(points: FloatArray) -> FloatArray:
        beyond = np.abs(points - half) - (half - radius)
        outside = np.hypot(*np.maximum(beyond, 0).T) > radius if radius else beyond.max(axis=1) > 0
        return np.where(outside, np.nan, shade)

    return light


def raster(values: FloatArray, origin: tuple[float, float]) -> Shade:
    """A drawing made of squares of one unit.

    Args:
        values: (rows, columns) their light.
        origin: upper left corner of the first square.
    """

    def light(points: FloatArray) -> FloatArray:
        column, row = np.floor(points - np.array(origin)).astype(int).T
        rows, columns = values.shape
        on = (row >= 0) & (row < rows) & (column >= 0) & (column < columns)
        return np.where(on, values[row.clip(0, rows - 1), column.clip(0, columns - 1)], np.nan)

    return light


def blurred(light: FloatArray, sigma_px: float) -> FloatArray:
    """The light behind a lens that spreads it."""
    if sigma_px == 0:
        return light
    return np.asarray(cv2.GaussianBlur(light, (0, 0), sigma_px), dtype=np.float64)


def encoded(light: FloatArray, noise: float = 0.0, seed: int = 1) -> NDArray[np.uint8]:
    """Light as the code values of a photo.

    Args:
        light: (height, width) or (height, width, 3), 0 to 1.
        noise: standard deviation in code values.
        seed: of the noise.

    Returns:
        (height, width, 3).

    Source: IEC 61966-2-1 (sRGB transfer curve).
    """
    light = np.clip(light, 0, 1)
    curve = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    colours = curve if light.ndim == 3 else np.repeat(curve[..., None], 3, axis=2)
    rng = np.random.default_rng(seed)
    noisy = 255 * colours + noise * rng.normal(size=colours.shape)
    return np.asarray(np.rint(np.clip(noisy, 0, 255)), dtype=np.uint8)


def turned(degrees: float, scale: float, x: float, y: float) -> FloatArray:
    """Homography: scaled, turned clockwise as seen, and moved so that (0, 0) comes to (x, y)."""
    c, s = scale * np.cos(np.radians(degrees)), scale * np.sin(np.radians(degrees))
    return np.array([[c, -s, x], [s, c, y], [0, 0, 1]])
