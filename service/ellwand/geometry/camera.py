"""A phone's camera as a pinhole, with any number of slightly different cameras at once.

Frames are drawn in DEVELOPERS.md: the wall frame has x to the right, y up and z out of the wall
towards the camera; pixels count from the centre of the first pixel, y down. A camera is given by
its position and three small angles: yaw (turned to its right), pitch (tilted up) and roll
(turned clockwise as seen from behind it); at zero it looks straight at the wall.
"""

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

# Diagonal of the 36 mm x 24 mm frame that "35 mm equivalent" refers to (CIPA DCG-001).
FULL_FRAME_DIAGONAL_MM = 43.2666


def focal_px(focal_35mm: float, width_px: int, height_px: int) -> float:
    """Focal length in pixels from the 35 mm equivalent, by equal diagonal angle of view.

    Args:
        focal_35mm: equivalent focal length, mm.
        width_px: width of the photo.
        height_px: height of the photo.

    Source: CIPA DCG-001 (equal diagonal angle of view).

    >>> round(focal_px(26, 3000, 4000), 1)
    3004.6
    """
    return float(focal_35mm * np.hypot(width_px, height_px) / FULL_FRAME_DIAGONAL_MM)


def principal_point(width_px: int, height_px: int) -> FloatArray:
    """Middle of the photo, (2,), where the optical axis is taken to be."""
    return np.array([(width_px - 1) / 2, (height_px - 1) / 2])


def rotation(angles: FloatArray) -> FloatArray:
    """Rotation from the wall frame to the camera's axes (x right, y down, z forward).

    Args:
        angles: (..., 3) yaw, pitch, roll in radians.

    Returns:
        (..., 3, 3) matrices.
    """
    yaw, pitch, roll = angles[..., 0], angles[..., 1], angles[..., 2]
    cy, sy = np.cos(yaw), np.sin(yaw)
    cp, sp = np.cos(pitch), np.sin(pitch)
    cr, sr = np.cos(roll), np.sin(roll)
    zero = np.zeros_like(yaw)
    # Axes of the camera after yaw and pitch: where it looks, its right, its down.
    forward = np.stack([sy * cp, sp, -cy * cp], axis=-1)
    right = np.stack([cy, zero, sy], axis=-1)
    down = np.cross(forward, right)
    turned_right = cr[..., None] * right + sr[..., None] * down
    turned_down = cr[..., None] * down - sr[..., None] * right
    return np.stack([turned_right, turned_down, forward], axis=-2)


def project(
    angles: FloatArray,
    position: FloatArray,
    focal: FloatArray,
    centre: FloatArray,
    points: FloatArray,
) -> FloatArray:
    """Pixels in which points of the wall frame are seen.

    Args:
        angles: (..., 3) radians.
        position: (..., 3) of the camera, mm.
        focal: (...) in pixels.
        centre: (2,) principal point, px.
        points: (..., n, 3) mm.

    Returns:
        (..., n, 2) pixels.
    """
    seen = np.einsum("...ij,...nj->...ni", rotation(angles), points - position[..., None, :])
    pixels: FloatArray = centre + np.asarray(focal)[..., None, None] * seen[..., :2] / seen[..., 2:]
    return pixels


def onto_plane(
    angles: FloatArray,
    position: FloatArray,
    focal: FloatArray,
    centre: FloatArray,
    pixels: FloatArray,
    z_mm: FloatArray,
) -> FloatArray:
    """Where the rays of pixels cross planes parallel to the wall.

    Args:
        angles: (..., 3) radians.
        position: (..., 3) mm.
        focal: (...) px.
        centre: (2,) px.
        pixels: (n, 2) or (..., n, 2).
        z_mm: (n) or (..., n) distance of each pixel's plane from the wall.

    Returns:
        (..., n, 2) x and y in the wall frame, mm.
    """
    flat = (pixels - centre) / np.asarray(focal)[..., None, None]
    directions = np.concatenate([flat, np.ones((*flat.shape[:-1], 1))], axis=-1)
    rays = np.einsum("...ji,...nj->...ni", rotation(angles), directions)
    reach = (z_mm - position[..., 2, None]) / rays[..., 2]
    crossed: FloatArray = position[..., None, :2] + reach[..., None] * rays[..., :2]
    return crossed
