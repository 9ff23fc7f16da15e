"""Edges of straight-sided objects to a fraction of a pixel."""

import cv2
import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

_REACH_PX = 6.0
_STEP_PX = 0.25
_LEAST_PROFILES = 10
# An edge whose points scatter more than this about their line is not a straight paper edge.
_MOST_SCATTER_PX = 0.8


def linear_light(rgb: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Brightness proportional to light, (height, width), 0 to 1.

    A pixel on an edge mixes light, not code values; measuring in code values makes white things
    too large by up to a third of a pixel.

    Source: IEC 61966-2-1 (sRGB transfer curve) and ITU-R BT.709 weights.
    """
    code = np.arange(256) / 255
    curve = np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)
    weights = (0.2126, 0.7152, 0.0722)
    planes = [
        cv2.LUT(np.ascontiguousarray(rgb[:, :, i]), (w * curve).astype(np.float32))
        for i, w in enumerate(weights)
    ]
    return np.asarray(planes[0] + planes[1] + planes[2], dtype=np.float32)


def refine_quad(
    light: NDArray[np.float32], quad: FloatArray, rounded_px: float
) -> tuple[FloatArray, float] | None:
    """Fit a line to each side of a rough four-cornered outline and cross neighbouring lines.

    Args:
        light: brightness, (height, width).
        quad: (4, 2) rough corners in order around the outline.
        rounded_px: radius of the corners, left out of the fit.

    Returns:
        The (4, 2) corners and the rms distance of edge points from their lines in pixels; None
        when a side has no straight edge.
    """
    lines = []
    scatter = []
    for i in range(4):
        fitted = _fit_side(light, quad[i], quad[(i + 1) % 4], rounded_px)
        if fitted is None:
            return None
        lines.append(fitted[0])
        scatter.append(fitted[1])
    corners = np.array([_cross(lines[i - 1], lines[i]) for i in range(4)])
    return corners, float(np.sqrt(np.mean(np.square(scatter))))


def _fit_side(
    light: NDArray[np.float32], start: FloatArray, end: FloatArray, rounded_px: float
) -> tuple[FloatArray, float] | None:
    """Line (a, b, c) with a x + b y = c through the edge points near a rough side, and scatter."""
    along = end - start
    length = float(np.hypot(*along))
    along = along / length
    normal = np.array([-along[1], along[0]])
    margin = max(0.08 * length, rounded_px + 1)
    places = np.arange(margin, length - margin, 1.0)
    if len(places) < _LEAST_PROFILES:
        return None
    offsets = np.arange(-_REACH_PX, _REACH_PX + _STEP_PX / 2, _STEP_PX)
    grid = start + places[:, None, None] * along + offsets[None, :, None] * normal
    profiles = cv2.remap(
        light,
        grid[..., 0].astype(np.float32),
        grid[..., 1].astype(np.float32),
        cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    ).astype(np.float64)
    at = _edge_offsets(profiles, offsets)
    keep = np.isfinite(at)
    if keep.sum() < 0.6 * len(places):
        return None
    slope, intercept = 0.0, 0.0
    for _ in range(5):
        slope, intercept = np.polyfit(places[keep], at[keep], 1)
        residual = np.where(np.isfinite(at), at - (slope * places + intercept), np.inf)
        spread = 1.4826 * float(np.median(np.abs(residual[keep])))
        keep = np.abs(residual) < max(2.5 * spread, 0.15)
    rms = float(np.sqrt(np.mean(residual[keep] ** 2)))
    if keep.sum() < 0.6 * len(places) or rms > _MOST_SCATTER_PX:
        return None
    one = start + intercept * normal
    direction = along + slope * normal
    a, b = -direction[1], direction[0]
    return np.array([a, b, a * one[0] + b * one[1]]), rms


def _edge_offsets(profiles: FloatArray, offsets: FloatArray) -> FloatArray:
    """Where each profile steps: centre of gravity of its slope around the steepest place."""
    slope = np.abs(np.gradient(profiles, offsets, axis=1))
    steepest = np.argmax(slope, axis=1)
    near = np.abs(offsets[None, :] - offsets[steepest][:, None]) <= 2.0
    weight = np.where(near, slope, 0.0)
    total = weight.sum(axis=1)
    # A step of less than 2 % of full light is texture.
    clear = (total * _STEP_PX > 0.02) & (np.abs(offsets[steepest]) < _REACH_PX - 1.5)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(clear, (weight * offsets).sum(axis=1) / total, np.nan)


def _cross(one: FloatArray, other: FloatArray) -> FloatArray:
    matrix = np.array([one[:2], other[:2]])
    return np.asarray(np.linalg.solve(matrix, np.array([one[2], other[2]])), dtype=np.float64)
