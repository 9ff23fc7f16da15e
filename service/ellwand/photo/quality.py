"""Checks of a photo before anything is measured in it.

Limits are judged on the demo photos unless a source is named.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from ellwand.language import gettext_noop
from ellwand.photo.body import Body
from ellwand.photo.outline import Silhouette
from ellwand.photo.problems import Problem, View, problem

# Mean brightness (8 bit) of what is brightest in the picture, below which it is dark.
_DARK = 60.0
# Width of a sharp edge is 1.5-3 px in the working copy; four times that hides the sheets.
_BLURRED_PX = 7.0
# Least height of the body in the working copy.
_LEAST_BODY_PX = 700.0
_TURNED_FRONT_DEG, _TURNED_SIDE_DEG = 24.0, 32.0
# So near to the pose of the other photo it is that one (judged).
_OTHER_VIEW_DEG = 30.0
# By view, what is said of one who is turned otherwise than she should be.
TURNED_CODES = frozenset({"turned", "not-sideways"})
_LEANING_DEG = 5.5
_ARMS_REFUSED_DEG, _ARMS_LOW_DEG = 30.0, 42.0
_SECOND_LEAST_VISIBILITY = 0.6
_SECOND_LEAST_SIZE = 0.3


def too_dark(rgb: NDArray[np.uint8]) -> bool:
    """Whether even the brightest twentieth of the picture is dark."""
    gray = cv2.cvtColor(rgb[::4, ::4], cv2.COLOR_RGB2GRAY)
    return bool(np.percentile(gray, 95) < _DARK)


def upside_down(body: Body) -> bool:
    """Whether the head is not above the hips, or the hips not above the feet."""
    head, hips, feet = (body.middle_px(name)[1] for name in ("eye", "hip", "ankle"))
    return not head < hips < feet


def blurred(rgb: NDArray[np.uint8], silhouette: Silhouette) -> bool:
    """Whether the clearest edges along the body are wide.

    Args:
        rgb: the working copy.
        silhouette: in pixels of the working copy.
    """
    widths = []
    gray = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY).astype(np.float32)
    reach = np.arange(-12, 13, 0.5, dtype=np.float32)
    for edge in (silhouette.left_px, silhouette.right_px):
        have = np.isfinite(edge)
        x = edge[have, None].astype(np.float32) + reach
        y = np.broadcast_to(silhouette.rows_px[have, None], x.shape).astype(np.float32)
        profiles = cv2.remap(gray, x, y, cv2.INTER_LINEAR).astype(np.float64)
        step = np.ptp(profiles, axis=1)
        steepest = np.abs(np.gradient(profiles, 0.5, axis=1)).max(axis=1)
        clear = step > 25
        widths.append(step[clear] / np.maximum(steepest[clear], 1e-6))
    width = np.concatenate(widths)
    return bool(len(width) >= 20 and np.percentile(width, 20) > _BLURRED_PX)


def body_problems(
    view: View, body: Body, silhouette: Silhouette, size: tuple[int, int]
) -> tuple[Problem, ...]:
    """Problems of how she stands in the picture.

    Args:
        view: which photo it is meant to be.
        body: found in the working copy.
        silhouette: in pixels of the working copy.
        size: width and height of the working copy.
    """
    cut_off = _cut_off(body, silhouette, size)
    refused = {
        "too-small": silhouette.box_px[3] - silhouette.box_px[1] < _LEAST_BODY_PX,
        "turned": view == "front" and abs(body.turned_deg) >= _TURNED_FRONT_DEG,
        "not-sideways": view == "side" and abs(abs(body.turned_deg) - 90) >= _TURNED_SIDE_DEG,
        "leaning": abs(_lean_deg(body)) > _LEANING_DEG,
    }
    found = [problem("body-cropped", cue=_step_back(cut_off))] if cut_off else []
    found += [problem(code) for code, holds in refused.items() if holds]
    if _shows_other(view, body):
        # How she is turned and holds her arms follows from it.
        shown = problem("shows-side" if view == "front" else "shows-front")
        return (shown, *(one for one in found if one.code not in TURNED_CODES))
    return (*found, *(_front_arms(body) if view == "front" else _side_arms(body, silhouette)))


def _front_arms(body: Body) -> tuple[Problem, ...]:
    lowest = min(_arm_deg(body, side) for side in ("left", "right"))
    if lowest < _ARMS_REFUSED_DEG:
        return (problem("arms-against-torso"),)
    return (problem("arms-low", "warned"),) if lowest < _ARMS_LOW_DEG else ()


def _side_arms(body: Body, silhouette: Silhouette) -> tuple[Problem, ...]:
    return (problem("hand-outside-outline"),) if _hand_outside(body, silhouette) else ()


def exchanged(front: Body, side: Body) -> bool:
    """Whether the front photo shows a side and the side photo a front."""
    return _shows_other("front", front) and _shows_other("side", side)


def _shows_other(view: View, body: Body) -> bool:
    """Whether a photo meant for one view shows her as the other one does."""
    turned = abs(body.turned_deg)
    off = abs(turned - 90) if view == "front" else min(turned, 180 - turned)
    return off < _OTHER_VIEW_DEG


def is_another_person(first: Body, second: Body) -> bool:
    """Whether what was found beside her is a person and not a pattern of the wall."""
    seen = [second.visibility[name] for name in ("nose", "left_shoulder", "right_shoulder",
                                                 "left_hip", "right_hip")]  # fmt: skip
    # Both are measured as fractions of their own picture.
    size = _torso(second) / second.mask.shape[0] / (_torso(first) / first.mask.shape[0])
    return min(seen) > _SECOND_LEAST_VISIBILITY and size > _SECOND_LEAST_SIZE


def _torso(body: Body) -> float:
    return abs(body.middle_px("hip")[1] - body.middle_px("shoulder")[1])


def _cut_off(body: Body, silhouette: Silhouette, size: tuple[int, int]) -> tuple[str, ...]:
    """What of her is outside the picture: head, feet, or something at its left or right."""
    left, top, right, bottom = silhouette.box_px
    outside = any(
        not (0 <= x < size[0] and 0 <= y < size[1])
        for x, y in (body.landmarks_px[f"{side}_{part}"] for side in ("left", "right")
                     for part in ("ankle", "heel", "toe"))
    )  # fmt: skip
    parts = {
        "head": top < 2,
        "feet": bottom > size[1] - 3 or outside,
        "side": left < 2 or right > size[0] - 3,
    }
    return tuple(part for part, holds in parts.items() if holds)


def _step_back(cut_off: tuple[str, ...]) -> str:
    """What to do about it, in a few words."""
    if cut_off == ("side",):
        return gettext_noop(
            "Move to the middle of the picture, or step back: you are cut off at one side."
        )
    if "head" not in cut_off:
        return gettext_noop("Step back: your feet are cut off.")
    if "feet" not in cut_off:
        return gettext_noop("Step back: your head is cut off.")
    return gettext_noop("Step back: your head and your feet are cut off.")


def _lean_deg(body: Body) -> float:
    upper, lower = body.middle_px("shoulder"), body.middle_px("ankle")
    return float(np.degrees(np.arctan2(upper[0] - lower[0], lower[1] - upper[1])))


def _arm_deg(body: Body, side: str) -> float:
    """Angle of the upper arm away from hanging straight down."""
    shoulder, elbow = body.landmarks_px[f"{side}_shoulder"], body.landmarks_px[f"{side}_elbow"]
    return float(np.degrees(np.arctan2(abs(elbow[0] - shoulder[0]), elbow[1] - shoulder[1])))


def _hand_outside(body: Body, silhouette: Silhouette) -> bool:
    """Whether a wrist or a finger lies outside the trunk's own outline in the side photo."""
    upper, lower = body.middle_px("hip"), body.middle_px("knee")
    rows = silhouette.rows_px
    trunk = (rows > upper[1]) & (rows < upper[1] + 0.4 * (lower[1] - upper[1]))
    if not trunk.any():
        return False
    left = float(np.nanmedian(silhouette.left_px[trunk]))
    right = float(np.nanmedian(silhouette.right_px[trunk]))
    slack = 0.25 * (right - left)
    # The near arm is the one that is seen.
    near = max(("left", "right"), key=lambda side: body.visibility[f"{side}_wrist"])
    points = [body.landmarks_px[f"{near}_{part}"][0] for part in ("wrist", "index", "elbow")]
    return any(x < left - slack or x > right + slack for x in points)
