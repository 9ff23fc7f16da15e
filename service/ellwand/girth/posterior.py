"""From two looked-at photos to estimates with bounds: the whole chain in one function.

Inputs that can be off, each with its distribution, go through cameras, outline, levels and girth
model at once (JCGM 101); the budget comes from moving them one at a time.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ellwand.errors import PhotoProblem
from ellwand.geometry.camera import focal_px, principal_point
from ellwand.geometry.levels import Level, find_levels
from ellwand.geometry.pose import least_oblique_deg
from ellwand.geometry.scene import Scene, reconstruct
from ellwand.geometry.sighting import VIEWS, View
from ellwand.girth.budget import Input, Propagated, propagate
from ellwand.girth.joint import joint_of
from ellwand.girth.lengths import estimate_lengths
from ellwand.girth.model import GirthModel, load_model
from ellwand.girth.result import Findings, Scale, ViewFindings
from ellwand.girth.scale import compare, widened
from ellwand.girth.setup import SetUp
from ellwand.girth.widths import Widths, cut_levels
from ellwand.measurements import KINDS, LEVELS, Estimate, LevelCode
from ellwand.photo.look import Look
from ellwand.photo.problems import PhotosRefused, Problem, problem

FloatArray = NDArray[np.float64]

# Quiet breathing and posture move the trunk's girths (judged; full breaths: 40-48 mm at the chest,
# Derasse et al. 2021, Respir Care 66:661), and close underwear adds to them (judged).
BREATHING_U_MM: dict[LevelCode, float] = {
    "high_bust": 5.0, "full_bust": 5.0, "underbust": 5.0,
    "waist": 6.0, "high_hip": 4.0, "full_hip": 3.0,
}  # fmt: skip
CLOTHING_U_MM = 2.0
BREATHING, CLOTHING, MODEL = "breathing and posture", "clothing", "girth from breadth and depth"

# Farthest from straight ahead that the phone may look at the wall, in the joint solution and by one
# flat object alone, which says it less surely (judged).
_MOST_OBLIQUE_DEG, _MOST_OBLIQUE_ALONE_DEG = 15.0, 22.0


def estimate(
    looks: Mapping[View, Look],
    setup: SetUp,
    progress: Callable[[str], None] = lambda _: None,
) -> Findings:
    """Estimate girths and lengths.

    Args:
        looks: both photos, neither refused.
        setup: what the customer typed beside them.
        progress: is told each step, in words.

    Returns:
        Estimates with bounds and budgets, what each photo holds, and the sources of scale.

    Raises:
        PhotosRefused: the phone looked at the wall too obliquely.
        PhotoProblem: an outline is not seen at a level.
    """
    written = looks["front"].focal_35mm or looks["side"].focal_35mm
    progress("solving where the phone stood")
    standoffs: dict[View, tuple[float, float]] = {view: setup.standoff(view) for view in VIEWS}
    scene = reconstruct(looks, standoffs, setup.known(written))
    _refuse_oblique(scene, looks)
    scale = compare(scene)
    scene = widened(scene, scale)
    stature = float(scene.solution.value("stature"))
    levels = find_levels(scene.front, scene.side, stature, scene.armpit_mm)
    model = load_model()
    widths = cut_levels(scene, looks, levels, model.obliquity)
    _require(widths)
    progress("estimating girths and their bounds")
    girths = _Girths(widths, model)
    found = propagate(girths, girths.inputs)
    six = len(LEVELS)
    estimates: dict[str, Estimate] = {
        code: _estimate(code, i, found, girths, widths.levels) for i, code in enumerate(LEVELS)
    }
    remarks = _remarks(scale, setup, written, bool(girths.outside))
    return Findings(
        estimates={**estimates, **estimate_lengths(scene, looks, widths.levels)},
        front=_view("front", looks["front"], widths, remarks),
        side=_view("side", looks["side"], widths, remarks),
        scale=scale,
        joint=joint_of(LEVELS, found.value[:six], found.covariance[:six, :six]),
        outside=tuple(dict.fromkeys(KINDS[name.split(".")[0]].name for name in girths.outside)),
    )


def looks_oblique(look: Look, setup: SetUp) -> bool:
    """Whether a photo on its own shows that the phone looked at the wall from far aside.

    Args:
        look: the photo.
        setup: what the customer typed beside it.
    """
    size = look.width_px, look.height_px
    focal = focal_px(setup.known(look.focal_35mm).focal_35mm, *size)
    least = least_oblique_deg(look.references, focal, principal_point(*size))
    return least > _MOST_OBLIQUE_ALONE_DEG


class _Girths:
    """Girths and the widths below them (n, 6 + cuts), as one function of all inputs."""

    def __init__(self, widths: Widths, model: GirthModel) -> None:
        self.widths = widths
        self.model = model
        self._root = np.linalg.cholesky(model.correlation)
        # Outside what the model stands for, its residual is taken to be half as large again
        # (judged).
        best = self._features(np.array([[i.value for i in widths.inputs]]))
        self.outside = model.outside({name: float(value[0]) for name, value in best.items()})
        self._wider = 1.5 if self.outside else 1.0

    @property
    def inputs(self) -> list[Input]:
        inputs = self.widths.inputs
        inputs += [Input(BREATHING, 0.0, BREATHING_U_MM[code]) for code in LEVELS]
        inputs += [Input(CLOTHING, 0.0, CLOTHING_U_MM)]
        inputs += [Input(MODEL, 0.0, 1.0) for _ in LEVELS]
        return inputs

    def __call__(self, inputs: FloatArray) -> FloatArray:
        levels = len(LEVELS)
        seen, breathing, clothing, residual = np.split(
            inputs, np.cumsum([inputs.shape[1] - 2 * levels - 1, levels, 1]), axis=1
        )
        features = self._features(seen)
        residual = residual @ self._root.T * self._wider
        girths = [
            self.model.girth(code, features)
            + self.model.relations[code].sd_mm * residual[:, i]
            + breathing[:, i]
            + clothing[:, 0]
            for i, code in enumerate(LEVELS)
        ]
        widths = [features[self._name(column)] for column in range(len(self.widths.cuts))]
        return np.stack([*girths, *widths], axis=1)

    def _features(self, seen: FloatArray) -> dict[str, FloatArray]:
        """What the girth model takes: breadths and depths by level, and the stature."""
        solution = self.widths.scene.solution
        theta = solution.draws(seen[:, : len(solution.causes)])
        widths = self.widths(seen)
        features = {self._name(column): width for column, width in enumerate(widths.T)}
        return {"stature": solution.value("stature", theta), **features}

    def _name(self, column: int) -> str:
        cut = self.widths.cuts[column]
        return f"{cut.code}.{'breadth' if cut.view == 'front' else 'depth'}"


def _require(widths: Widths) -> None:
    """Every level must be seen in both photos, the high bust from the side."""
    for code in LEVELS:
        missing_front = code != "high_bust" and widths.column(code, "breadth") is None
        if missing_front or widths.column(code, "depth") is None:
            raise PhotoProblem(
                "outline-not-seen",
                "Your outline is not seen at every level.",
                "Wear something close to the body in another colour than the wall, put your arms "
                "as on the sheet, and take both photos again.",
            )


def _refuse_oblique(scene: Scene, looks: Mapping[View, Look]) -> None:
    model, theta = scene.solution.model, scene.solution.theta
    found: dict[View, tuple[Problem, ...]] = {}
    for view in VIEWS:
        yaw, pitch = model.pick(theta, f"{view}.yaw", f"{view}.pitch")
        oblique = np.degrees(np.hypot(yaw, pitch)) > _MOST_OBLIQUE_DEG
        found[view] = looks[view].problems + ((problem("too-oblique"),) if oblique else ())
    if any(p.severity == "refused" for problems in found.values() for p in problems):
        raise PhotosRefused(found)


def _remarks(
    scale: Scale, setup: SetUp, written: float | None, unusual: bool
) -> tuple[Problem, ...]:
    told = {
        "scale-disagreement": not scale.agree,
        "focal-unknown": setup.focal_35mm is None and written is None,
        "unusual-body": unusual,
    }
    return tuple(problem(code, "warned") for code, holds in told.items() if holds)


def _estimate(
    code: LevelCode,
    i: int,
    found: Propagated,
    girths: _Girths,
    levels: Mapping[LevelCode, Level],
) -> Estimate:
    def width(kind: Literal["breadth", "depth"]) -> float | None:
        column = girths.widths.column(code, kind)
        return None if column is None else float(found.value[len(LEVELS) + column])

    return replace(
        found.estimate(i, code),
        breadth_mm=width("breadth"),
        depth_mm=width("depth"),
        height_mm=levels[code].height_mm,
    )


def _view(view: View, look: Look, widths: Widths, remarks: tuple[Problem, ...]) -> ViewFindings:
    return ViewFindings(
        width_px=look.width_px,
        height_px=look.height_px,
        outline_px=_points(look.silhouette.polygon_px),
        landmarks_px={
            name: (x, y, look.body.visibility[name])
            for name, (x, y) in look.body.landmarks_px.items()
        },
        references_px=tuple(_points(reference.corners_px) for reference in look.references),
        levels_px={
            cut.code: (_point(cut.pixels[0]), _point(cut.pixels[1]))
            for cut in widths.cuts
            if cut.view == view
        },
        problems=look.problems + remarks,
    )


def _point(xy: FloatArray) -> tuple[float, float]:
    return float(xy[0]), float(xy[1])


def _points(array: FloatArray) -> tuple[tuple[float, float], ...]:
    return tuple(_point(xy) for xy in array)
