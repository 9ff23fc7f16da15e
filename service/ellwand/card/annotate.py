"""What was found, drawn over the photo: for the demo and for looking into a doubtful estimate."""

import cv2
import numpy as np
from numpy.typing import NDArray

from ellwand.girth.result import ViewFindings
from ellwand.measurements import KINDS

_OUTLINE, _LEVEL, _LANDMARK, _REFERENCE = (20, 120, 90), (190, 40, 60), (60, 70, 190), (210, 120, 0)
_LETTERING = cv2.FONT_HERSHEY_SIMPLEX
# Distance between lines of lettering as a fraction of the photo's height.
_LETTERING_STEP = 0.013
# Fractions of a pixel, in bits, that OpenCV's drawing takes.
_SHIFT = 4


def annotated(rgb: NDArray[np.uint8], found: ViewFindings) -> bytes:
    """Draw outline, levels, landmarks and reference corners over a photo.

    Args:
        rgb: the photo, (height, width, 3).
        found: what was found in it.

    Returns:
        A JPEG without metadata.
    """
    picture = rgb.copy()
    width = max(round(found.height_px / 900), 1)
    _polygon(picture, found.outline_px, _OUTLINE, width)
    for corners in found.references_px:
        _polygon(picture, corners, _REFERENCE, width)
        for x, y in corners:
            _spot(picture, x, y, 3 * width, _REFERENCE, width)
    for x, y, visibility in found.landmarks_px.values():
        if visibility > 0.5:
            _spot(picture, x, y, 2 * width, _LANDMARK, -1)
    lowest = -np.inf
    for code, (left, right) in sorted(found.levels_px.items(), key=lambda item: item[1][1][1]):
        cv2.line(picture, _fixed(*left), _fixed(*right), _LEVEL, width, cv2.LINE_AA, _SHIFT)
        # Names of levels that lie close together are moved apart.
        lowest = max(right[1], lowest + _LETTERING_STEP * found.height_px)
        place = (round(right[0]) + 6 * width, round(lowest) + 3 * width)
        size = found.height_px / 2600
        cv2.putText(picture, KINDS[code].name, place, _LETTERING, size, (255, 255, 255),
                    4 * width, cv2.LINE_AA)  # fmt: skip
        cv2.putText(picture, KINDS[code].name, place, _LETTERING, size, _LEVEL, width, cv2.LINE_AA)
    done, data = cv2.imencode(
        ".jpg", cv2.cvtColor(picture, cv2.COLOR_RGB2BGR), [cv2.IMWRITE_JPEG_QUALITY, 90]
    )
    if not done:
        raise ValueError("the picture could not be written as a JPEG")
    return data.tobytes()


def _fixed(x: float, y: float) -> tuple[int, int]:
    return round(x * 2**_SHIFT), round(y * 2**_SHIFT)


def _polygon(
    picture: NDArray[np.uint8],
    points: tuple[tuple[float, float], ...],
    colour: tuple[int, int, int],
    width: int,
) -> None:
    fixed = np.array([_fixed(*point) for point in points], dtype=np.int32)
    cv2.polylines(picture, [fixed], True, colour, width, cv2.LINE_AA, _SHIFT)


def _spot(
    picture: NDArray[np.uint8],
    x: float,
    y: float,
    radius: int,
    colour: tuple[int, int, int],
    width: int,
) -> None:
    cv2.circle(picture, _fixed(x, y), radius << _SHIFT, colour, width, cv2.LINE_AA, _SHIFT)
