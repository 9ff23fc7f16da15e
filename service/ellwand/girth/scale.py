"""Sources of scale side by side: the object of known size, and her height.

Each is worked out as if the other were not there; both are used together, and where they differ by
more than their doubts allow the customer is asked and the doubt of everything grows with it.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ellwand.geometry.scene import Scene
from ellwand.geometry.sighting import VIEWS, View, without_references, without_stature
from ellwand.geometry.wall import Solution, solve
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
    solutions = {"combined": whole}
    if all(whole.sightings[view].references for view in VIEWS):
        solutions["reference"] = solve(whole.sightings, without_stature(whole.known), whole.theta)
        solutions["stature"] = solve(without_references(whole.sightings), whole.known)
    sources = []
    worst = None
    for view in VIEWS:
        values = {}
        for name, solution in solutions.items():
            value, u = _mm_per_px(scene, solution, view)
            values[name] = value, u
            sources.append(ScaleSource(view, name, value, u))  # type: ignore[arg-type]
        if len(values) > 1:
            (one, u_one), (other, u_other) = values["reference"], values["stature"]
            z = float(abs(one - other) / np.hypot(u_one, u_other))
            worst = z if worst is None else max(worst, z)
    return Scale(tuple(sources), worst, worst is None or worst <= _MOST_Z)


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


def _mm_per_px(scene: Scene, solution: Solution, view: View) -> tuple[float, float]:
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
    return float(size[0]), float(np.sqrt(np.sum(half**2)))
