"""The body in a photo: landmarks and a coarse silhouette.

The only module that imports the pose library (mediapipe, `solutions.pose`). Its model lies in the
package, it opens no connection, and one detector must not be shared by threads.
"""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import lru_cache
from types import ModuleType
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

# The pose library's 33 landmarks that are used here, by its numbers.
LANDMARKS = {
    "nose": 0,
    "left_eye": 2,
    "right_eye": 5,
    "left_ear": 7,
    "right_ear": 8,
    "left_shoulder": 11,
    "right_shoulder": 12,
    "left_elbow": 13,
    "right_elbow": 14,
    "left_wrist": 15,
    "right_wrist": 16,
    "left_index": 19,
    "right_index": 20,
    "left_hip": 23,
    "right_hip": 24,
    "left_knee": 25,
    "right_knee": 26,
    "left_ankle": 27,
    "right_ankle": 28,
    "left_heel": 29,
    "right_heel": 30,
    "left_toe": 31,
    "right_toe": 32,
}
_ONLY_FOR_DRAWINGS = ("matplotlib", "matplotlib.pyplot")


@dataclass(frozen=True, eq=False)
class Body:
    """One person found in a picture.

    Args:
        landmarks_px: x and y by landmark name; they may lie outside the picture.
        visibility: 0 to 1 by landmark name.
        mask: how surely each pixel belongs to her, (height, width), float32, 0 to 1.
        turned_deg: how far her shoulders and hips are turned, roughly: 0 = she faces the camera,
            90 = her left side is nearer, 180 = her back, -90 = her right side is nearer.
    """

    landmarks_px: dict[str, tuple[float, float]]
    visibility: dict[str, float]
    mask: NDArray[np.float32]
    turned_deg: float

    def middle_px(self, name: str) -> tuple[float, float]:
        """Middle between the left and the right landmark of a name, as ("hip")."""
        left, right = self.landmarks_px[f"left_{name}"], self.landmarks_px[f"right_{name}"]
        return (left[0] + right[0]) / 2, (left[1] + right[1]) / 2


def find_body(rgb: NDArray[np.uint8]) -> Body | None:
    """Find the person in a picture.

    Args:
        rgb: (height, width, 3), uint8.

    Returns:
        Landmarks and mask in the pixels of the picture; None when nobody is found.
    """
    found = _process(rgb)
    if found is None:
        return None
    height, width = rgb.shape[:2]
    points = found.pose_landmarks.landmark
    return Body(
        # The library counts from the first pixel's corner, we from its centre.
        landmarks_px={
            name: (points[i].x * width - 0.5, points[i].y * height - 0.5)
            for name, i in LANDMARKS.items()
        },
        visibility={name: float(points[i].visibility) for name, i in LANDMARKS.items()},
        mask=np.asarray(found.segmentation_mask, dtype=np.float32),
        turned_deg=_turned_deg(found.pose_world_landmarks.landmark),
    )


def steadied(rgb: NDArray[np.uint8], body: Body) -> Body:
    """The same body with a mask in which no single look decides.

    Now and then the mask of one look has a hole as large as a belly. A look at the mirrored
    picture and one by the library's other model fail elsewhere, so the middle of the three holds.

    Args:
        rgb: the picture in which the body was found.
        body: what was found.
    """
    mirrored = _process(np.ascontiguousarray(rgb[:, ::-1]))
    masks = [body.mask, _segmented(rgb, body.mask)]
    if mirrored is not None:
        masks.append(np.asarray(mirrored.segmentation_mask, dtype=np.float32)[:, ::-1])
    return replace(body, mask=np.median(masks, axis=0).astype(np.float32))


def _segmented(rgb: NDArray[np.uint8], mask: NDArray[np.float32]) -> NDArray[np.float32]:
    """Mask by the library's model for silhouettes, in a square cut-out around the body."""
    rows, columns = (np.nonzero((mask > 0.5).any(axis=axis))[0] for axis in (1, 0))
    if len(rows) == 0:
        return mask
    half = round(0.56 * (rows[-1] - rows[0]))
    middle = (rows[0] + rows[-1]) // 2, (columns[0] + columns[-1]) // 2
    top, left = max(middle[0] - half, 0), max(middle[1] - half, 0)
    cutout = np.s_[top : middle[0] + half, left : middle[1] + half]
    with _without_native_log():
        found = _segmenter().process(np.ascontiguousarray(rgb[cutout]))
    whole = np.zeros_like(mask)
    whole[cutout] = found.segmentation_mask
    return whole


def _process(rgb: NDArray[np.uint8]) -> Any:
    with _without_native_log():
        found = _detector().process(rgb)
    complete = found.pose_landmarks is not None and found.segmentation_mask is not None
    return found if complete else None


def _turned_deg(world: Any) -> float:
    """Direction of the line from right to left shoulder and hip, seen from above."""
    parts = [
        np.array([world[LANDMARKS[f"left_{part}"]].x - world[LANDMARKS[f"right_{part}"]].x,
                  world[LANDMARKS[f"right_{part}"]].z - world[LANDMARKS[f"left_{part}"]].z])
        for part in ("shoulder", "hip")
    ]  # fmt: skip
    across = np.sum(parts, axis=0)
    return float(np.degrees(np.arctan2(across[1], across[0])))


def find_second_body(rgb: NDArray[np.uint8], first: Body) -> Body | None:
    """Look for another person: the first one is painted over with the wall beside her.

    Args:
        rgb: the picture in which `first` was found.
        first: the person that was found.

    Returns:
        The second person, or None.
    """
    small = 640 / max(rgb.shape[:2])
    picture = cv2.resize(rgb, None, fx=small, fy=small, interpolation=cv2.INTER_AREA)
    mask = cv2.resize(first.mask, (picture.shape[1], picture.shape[0]))
    hide = cv2.dilate((mask > 0.1).astype(np.uint8), np.ones((25, 25), np.uint8)) > 0
    # Row by row the wall's own colour, so that no silhouette is left to be found again.
    kept = ~hide[..., None]
    wall = (picture * kept).sum(axis=1) / np.maximum(kept.sum(axis=1), 1)
    covered = np.where(kept, picture, wall[:, None].astype(np.uint8))
    return find_body(covered)


def load_pose_library() -> None:
    """Import the pose library, but not what it would draw with.

    Nothing is drawn here, and that other library looks for fonts, starts a program and writes into
    the home folder, none of which a confined process can.
    """
    empty = {name: ModuleType(name) for name in _ONLY_FOR_DRAWINGS if name not in sys.modules}
    sys.modules.update(empty)
    try:
        import mediapipe.python.solutions  # noqa: F401
    finally:
        for name in empty:
            del sys.modules[name]


@lru_cache(maxsize=1)
def _detector() -> Any:
    load_pose_library()
    from mediapipe.python.solutions import pose

    return pose.Pose(static_image_mode=True, model_complexity=1, enable_segmentation=True)


@lru_cache(maxsize=1)
def _segmenter() -> Any:
    load_pose_library()
    from mediapipe.python.solutions import selfie_segmentation

    return selfie_segmentation.SelfieSegmentation(model_selection=0)


@contextmanager
def _without_native_log() -> Iterator[None]:
    """Keep the native library's log off the screen; Python's own errors still get through."""
    sys.stderr.flush()
    kept = os.dup(2)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(nowhere)
        os.close(kept)
