"""Sources of scale side by side: the object of known size, and her height.

The object alone tells how tall she is in the photos; held against the height that she typed, that
says what scale her height would set. Both are used together, and where they differ by more than
their doubts allow the customer is asked and the doubt of everything grows with it.
"""

from dataclasses import replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ellwand.geometry.scene import Scene
from ellwand.geometry.sighting import VIEWS, View, without_stature
from ellwand.geometry.wall import FIGURE, HEIGHT, UPRIGHT, Solution, solve
from ellwand.girth.result import Scale, ScaleSource

FloatArray = NDArray[np.float64]

# Two sources further apart than this many standard uncertainties do not agree.
_MOST_Z = 3.0
# Where the scale is told: the waist, as a fraction of the stature and of the eyes' height.
_WAIST, _WAIST_OVER_EYES = 0.63, 0.675


def compare(scene: Scene) -> Scale:
    """Work out every source of scale on its own.

    Args:
        scene: the solved sitting.

    Returns:
        Sources per photo and their agreement.
    """
    whole = scene.solution
    sources = [_source(scene, whole, view, "combined") for view in VIEWS]
    if not all(whole.sightings[view].references for view in VIEWS):
        sources += [replace(one, source="stature") for one in sources]
        return Scale(tuple(sources), None, True)
    alone = solve(whole.sightings, without_stature(whole.known), whole.theta)
    by_reference = [_source(scene, alone, view, "reference") for view in VIEWS]
    # Her height as the reference object measures it, and what of its doubt is about her: these
    # stay when the typed height sets the scale instead.
    measured = float(alone.value("stature"))
    moves = alone.gain[alone.names.index("stature")]
    about_her = np.array([cause in (FIGURE, UPRIGHT) for cause in alone.causes])
    typed, typed_u = whole.known.stature_mm, whole.known.stature_u_mm
    own_u = float(np.hypot(np.sqrt(np.sum(moves[about_her] ** 2)), typed_u)) / typed
    by_stature = [
        ScaleSource(
            one.view,
            "stature",
            one.mm_per_px * typed / measured,
            one.mm_per_px * typed / measured * own_u,
        )
        for one in by_reference
    ]
    known = np.array([cause != HEIGHT for cause in alone.causes])
    doubt = float(np.hypot(np.sqrt(np.sum(moves[known] ** 2)), typed_u))
    z = abs(measured - typed) / doubt
    return Scale((*sources, *by_reference, *by_stature), z, z <= _MOST_Z)


def widened(scene: Scene, scale: Scale) -> Scene:
    """The scene with all its doubts grown until the sources agree (Birge ratio).

    Args:
        scene: the solved sitting.
        scale: its sources.
    """
    if scale.agree or scale.disagreement_z is None:
        return scene
    factor = scale.disagreement_z / np.sqrt(2)
    return replace(scene, solution=replace(scene.solution, gain=scene.solution.gain * factor))


def _source(
    scene: Scene, solution: Solution, view: View, name: Literal["reference", "combined"]
) -> ScaleSource:
    """Size of a pixel at the body, at waist height, and its standard uncertainty."""
    look = solution.sightings[view]
    row = look.foot_px[1] + _WAIST_OVER_EYES * (look.eye_px[1] - look.foot_px[1])
    column = look.foot_px[0]
    pixels = np.array([[column - 0.5, row], [column + 0.5, row]])
    height = _WAIST * float(scene.solution.value("stature"))
    reach = np.repeat(scene.reach_mm(view, np.array([height])), 2)
    moved = np.concatenate(
        [solution.theta[None], solution.draws(np.eye(solution.gain.shape[1])),
         solution.draws(-np.eye(solution.gain.shape[1]))]
    )  # fmt: skip
    ends = solution.on_body(moved, view, pixels, np.broadcast_to(reach, (len(moved), 2)))
    size = ends[:, 1, 0] - ends[:, 0, 0]
    n = solution.gain.shape[1]
    half = (size[1 : n + 1] - size[n + 1 :]) / 2
    return ScaleSource(view, name, float(size[0]), float(np.sqrt(np.sum(half**2))))
