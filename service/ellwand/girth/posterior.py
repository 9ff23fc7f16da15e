"""From two looked-at photos to estimates with bounds: the whole chain in one function.

Inputs that can be off, each with its distribution, go through cameras, outline, levels and girth
model at once (JCGM 101); the budget comes from moving them one at a time.
"""

from collections.abc import Callable, Mapping

import numpy as np
from numpy.typing import NDArray

from ellwand.errors import PhotoProblem
from ellwand.geometry.levels import Level, find_levels
from ellwand.geometry.scene import Scene, reconstruct
from ellwand.geometry.wall import VIEWS, View
from ellwand.girth.budget import Input, Propagated, propagate
from ellwand.girth.lengths import Lengths
from ellwand.girth.model import GirthModel, load_model
from ellwand.girth.result import Findings, Scale, ViewFindings
from ellwand.girth.scale import compare, widened
from ellwand.girth.setup import SetUp
from ellwand.girth.widths import Widths, cut_levels
from ellwand.measurements import LEVELS, Estimate, LevelCode
from ellwand.photo.look import Look
from ellwand.photo.problems import PhotosRefused, Problem, problem

FloatArray = NDArray[np.float64]

# Quiet breathing and posture move the trunk's girths (judged; full breaths: 40-48 mm at the chest,
# sources.md, section 3), and close underwear adds to them (judged, rectangular 0 to 4 mm round).
BREATHING_U_MM: dict[LevelCode, float] = {
    "high_bust": 5.0, "full_bust": 5.0, "underbust": 5.0,
    "waist": 6.0, "high_hip": 4.0, "full_hip": 3.0,
}  # fmt: skip
CLOTHING_U_MM = 2.0
BREATHING, CLOTHING, MODEL = "breathing and posture", "clothing", "girth from breadth and depth"

# Farthest from straight ahead that the phone may look at the wall.
_MOST_OBLIQUE_DEG = 15.0


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
    widths = cut_levels(scene, dict(looks), levels)
    _require(widths)
    progress("estimating girths and their bounds")
    model = load_model()
    girths = _Girths(widths, model)
    found = propagate(girths, girths.inputs)
    lengths = Lengths(scene, dict(looks), levels, model)
    extra = lengths.estimates()
    estimates = {code: _estimate(code, i, found, girths, levels) for i, code in enumerate(LEVELS)}
    remarks = _remarks(scale, setup, written, girths, found)
    return Findings(
        estimates={**estimates, **extra},
        front=_view("front", looks["front"], widths, remarks),
        side=_view("side", looks["side"], widths, remarks),
        scale=scale,
    )


class _Girths:
    """Girths (n, 6) and the widths below them, as one function of all inputs."""

    def __init__(self, widths: Widths, model: GirthModel) -> None:
        self.widths = widths
        self.model = model
        self._root = np.linalg.cholesky(model.correlation)
        self.unusual = 1.0

    @property
    def inputs(self) -> list[Input]:
        inputs = self.widths.inputs
        inputs += [Input(BREATHING, 0.0, BREATHING_U_MM[code]) for code in LEVELS]
        inputs += [Input(CLOTHING, 0.0, CLOTHING_U_MM)]
        inputs += [Input(MODEL, 0.0, 1.0) for _ in LEVELS]
        return inputs

    def __call__(self, inputs: FloatArray) -> FloatArray:
        n = len(inputs)
        own = inputs[:, -(2 * len(LEVELS) + 1) :]
        breathing, clothing = own[:, : len(LEVELS)], own[:, len(LEVELS)]
        residual = own[:, len(LEVELS) + 1 :] @ self._root.T
        widths = self.widths(inputs[:, : inputs.shape[1] - own.shape[1]])
        features = self.features(inputs, widths)
        columns = []
        for i, code in enumerate(LEVELS):
            girth = self.model.girth(code, features)
            girth = girth + self.model.sd_mm(code) * residual[:, i] + breathing[:, i] + clothing
            columns.append(girth)
        return np.stack([*columns, *widths.T], axis=1).reshape(n, -1)

    def features(self, inputs: FloatArray, widths: FloatArray) -> dict[str, FloatArray]:
        """What the girth model takes: widths by level, and the stature."""
        solution = self.widths.scene.solution
        theta = solution.draws(inputs[:, : len(solution.causes)])
        features = {"stature": solution.value("stature", theta)}
        for column, cut in enumerate(self.widths.cuts):
            kind = "breadth" if cut.view == "front" else "depth"
            features[f"{cut.code}.{kind}"] = widths[:, column]
        return features


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
    scale: Scale, setup: SetUp, written: float | None, girths: _Girths, found: Propagated
) -> tuple[Problem, ...]:
    remarks = []
    if not scale.agree:
        remarks.append(problem("scale-disagreement", "warned"))
    if setup.focal_35mm is None and written is None:
        remarks.append(problem("focal-unknown", "warned"))
    return tuple(remarks)


def _estimate(
    code: LevelCode,
    i: int,
    found: Propagated,
    girths: _Girths,
    levels: Mapping[LevelCode, Level],
) -> Estimate:
    def width(kind: str) -> float | None:
        column = girths.widths.column(code, kind)  # type: ignore[arg-type]
        return None if column is None else float(found.value[len(LEVELS) + column])

    return Estimate(
        code=code,
        value_mm=float(found.value[i]),
        u_mm=float(found.u[i]),
        low_mm=float(found.low[i]),
        high_mm=float(found.high[i]),
        budget=found.budget(i),
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
