"""Lengths of the body from landmarks and levels.

Landmarks of the pose library lie one to three centimetres from the points that a tape starts from;
the ratios below join the two and carry that as doubt. They come from the body model (1,500 bodies)
and from ANSUR II women where that has the point; see calibration/README.md.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ellwand.geometry.scene import Scene
from ellwand.geometry.sighting import View
from ellwand.girth.budget import Input, propagate
from ellwand.language import gettext_noop
from ellwand.measurements import Estimate, LevelCode
from ellwand.photo.look import Look

FloatArray = NDArray[np.float64]

LENGTHS = ("shoulder_width", "back_waist_length", "arm_length", "waist_to_hip", "inside_leg")


@dataclass(frozen=True)
class Ratio:
    """A length over what the photo shows of it.

    Args:
        mean: mean ratio.
        sd: its standard deviation, landmark noise included.
    """

    mean: float
    sd: float


# Shoulder points over shoulder landmarks; shoulder point to wrist over landmarks of the arm.
_SHOULDERS, _ARM = Ratio(1.112, 0.035), Ratio(1.075, 0.032)
# Crotch height over the height of the hip landmarks.
_LEG = Ratio(0.9025, 0.014)
# Nape height over stature: body model 0.868, ANSUR II women 0.857.
_NAPE = Ratio(0.862, 0.008)
# Along the curve of the back over straight up from the waist to the nape.
_BACK = Ratio(1.050, 0.034)
_LANDMARK = gettext_noop("landmarks")
_SHAPE = gettext_noop("body proportions")
_LEVEL = gettext_noop("level height")


def estimate_lengths(
    scene: Scene,
    looks: Mapping[View, Look],
    heights: Mapping[LevelCode, tuple[float, float]],
) -> dict[str, Estimate]:
    """Estimate the lengths that two photos show.

    Args:
        scene: cameras and profiles.
        looks: what the photos hold.
        heights: of the levels, with their standard uncertainty, mm.

    Returns:
        Estimates by code of `LENGTHS`.
    """
    solution = scene.solution
    body = looks["front"].body
    names = [f"{side}_{part}" for part in ("shoulder", "elbow", "wrist", "hip")
             for side in ("left", "right")]  # fmt: skip
    pixels = np.array([body.landmarks_px[name] for name in names])
    observations = len(solution.causes)
    inputs = [Input(cause, 0.0, 1.0) for cause in solution.causes]
    inputs += [
        Input(_LANDMARK, _SHOULDERS.mean, _SHOULDERS.sd),
        Input(_LANDMARK, _ARM.mean, _ARM.sd),
        Input(_LANDMARK, _LEG.mean, _LEG.sd),
        Input(_SHAPE, _NAPE.mean, _NAPE.sd),
        Input(_SHAPE, _BACK.mean, _BACK.sd),
        Input(_LEVEL, *heights["waist"]),
        Input(_LEVEL, *heights["full_hip"]),
    ]

    def lengths(given: FloatArray) -> FloatArray:
        theta = solution.draws(given[:, :observations])
        shoulder, arm, leg, nape, back, waist, hip = given[:, observations:].T
        points = solution.on_body(theta, "front", pixels, np.zeros((len(given), len(names))))
        at = dict(zip(names, np.moveaxis(points, 1, 0), strict=True))
        across = _apart(at["left_shoulder"], at["right_shoulder"])
        along = sum(
            _apart(at[f"{side}_shoulder"], at[f"{side}_elbow"])
            + _apart(at[f"{side}_elbow"], at[f"{side}_wrist"])
            for side in ("left", "right")
        )
        hips = (at["left_hip"][:, 1] + at["right_hip"][:, 1]) / 2
        stature = solution.value("stature", theta)
        columns = {
            "shoulder_width": shoulder * across,
            "back_waist_length": back * (nape * stature - waist),
            "arm_length": arm * along / 2,
            "waist_to_hip": waist - hip,
            "inside_leg": leg * hips,
        }
        return np.stack([columns[code] for code in LENGTHS], axis=1)

    found = propagate(lengths, inputs)
    return {code: found.estimate(i, code) for i, code in enumerate(LENGTHS)}


def _apart(one: FloatArray, other: FloatArray) -> FloatArray:
    return np.asarray(np.linalg.norm(one - other, axis=-1), dtype=np.float64)
