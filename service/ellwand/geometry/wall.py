"""Where the two cameras stood: one least-squares solution for both photos of a sitting.

Unknown are, for both photos together, the focal length, the true size of the paper and her height;
for each photo the camera, the floor, the standoff and how the sheets hang. Known are the sheets'
corners, what was typed, and how such photos are taken (priors, each with its basis). All of them
are observations with a standard uncertainty; the gain matrix says how each moves the solution, so
the uncertainty of anything computed from it splits exactly by cause (JCGM 102, linear case).
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from ellwand.geometry.camera import focal_px, onto_plane, principal_point, project
from ellwand.geometry.pose import flat_poses
from ellwand.geometry.sighting import LOOSE_MM, VIEWS, Known, Sighting, View
from ellwand.language import gettext_noop

FloatArray = NDArray[np.float64]

# How a phone is propped by hand in front of a wall (judged), degrees.
_YAW_SD_DEG, _PITCH_SD_DEG, _ROLL_SD_DEG = 5.0, 5.0, 3.0
# How level a sheet is taped up by eye (judged).
_HUNG_SD_DEG = 1.2
# How upright the middle line of a standing body is, seen from the front (judged).
_UPRIGHT_SD_DEG = 1.2
# The eyes lie this far below the top of the head: ANSUR II women, sitting height less eye height,
# 108.8 mm (sd 8.1) at 1628 mm; the body model has 0.065 of the stature. Hair does not matter so.
_EYES_OVER_STATURE, _EYES_SD_MM = 0.066, 8.0
# Sole and outline error where a foot meets the floor (judged).
_FLOOR_SD_MM = 7.0

# Where a search among starts may stop, and where the solution may.
_ROUGH, _FINE = 1e-4, 1e-9
# A start this many times worse than the best is the mirrored pose, and not worth a search.
_HOPEFUL = 10.0

CORNERS = gettext_noop("reference corner position")
FOCAL = gettext_noop("focal length")
PAPER = gettext_noop("paper or print size")
HUNG = gettext_noop("reference hung crooked")
PHONE = gettext_noop("direction of the phone")
STANDOFF = gettext_noop("standoff")
HEIGHT = gettext_noop("height as typed")
FIGURE = gettext_noop("head and feet in the photo")
UPRIGHT = gettext_noop("posture")


@dataclass(frozen=True, eq=False)
class Solution:
    """The solved sitting.

    Args:
        sightings: what went in, by view.
        known: what went in for both.
        names: names of the unknowns.
        theta: (p,) their values.
        gain: (p, r) how much each observation's unit normal error moves each unknown.
        causes: (r) which cause each observation belongs to.
        cost: half the sum of squared residuals.
    """

    sightings: Mapping[View, Sighting]
    known: Known
    names: tuple[str, ...]
    theta: FloatArray
    gain: FloatArray
    causes: tuple[str, ...]
    cost: float

    @cached_property
    def model(self) -> "_Model":
        """Equations of this solution."""
        return _Model(self.sightings, self.known)

    def draws(self, errors: FloatArray) -> FloatArray:
        """Unknowns for given unit normal errors of the observations.

        Args:
            errors: (..., r).

        Returns:
            (..., p).
        """
        drawn: FloatArray = self.theta + errors @ self.gain.T
        return drawn

    def on_body(
        self, theta: FloatArray, view: View, pixels: FloatArray, reach_mm: FloatArray
    ) -> FloatArray:
        """Points of the body seen in pixels.

        Args:
            theta: (..., p) unknowns.
            view: which photo.
            pixels: (n, 2) or (..., n, 2).
            reach_mm: (n) or (..., n) how far in front of the standoff plane each point lies.

        Returns:
            (..., n, 2): x in the wall frame and height over the floor, mm.
        """
        return self.model.on_body(theta, view, pixels, reach_mm)

    def value(self, name: str, theta: FloatArray | None = None) -> FloatArray:
        """Value of an unknown, or its values in draws (..., p)."""
        source = self.theta if theta is None else theta
        picked: FloatArray = source[..., self.names.index(name)]
        return picked

    def distance_mm(self, theta: FloatArray, view: View) -> FloatArray:
        """Distance from the camera to the standoff plane, along the wall's normal, (...)."""
        return self.value(f"{view}.z", theta) - self.value(f"{view}.standoff", theta)


class _Model:
    """Equations: unknowns to residuals in units of their standard uncertainty."""

    def __init__(self, sightings: Mapping[View, Sighting], known: Known) -> None:
        self.sightings = sightings
        self.known = known
        names = ["log_focal", "log_across", "log_up", "stature", "eyes"]
        for view in VIEWS:
            camera = ("yaw", "pitch", "roll", "x", "y", "z", "floor", "standoff")
            names += [f"{view}.{name}" for name in camera]
            for k in range(len(sightings[view].references)):
                names += [f"{view}.hung{k}"]
                names += [f"{view}.across{k}", f"{view}.up{k}"] if k else []
        self.names = tuple(names)
        self._at = {name: i for i, name in enumerate(names)}

    def pick(self, theta: FloatArray, *names: str) -> FloatArray:
        """(..., len(names)) values of unknowns."""
        picked: FloatArray = theta[..., [self._at[name] for name in names]]
        return picked

    def camera(
        self, theta: FloatArray, view: View
    ) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        """Angles (..., 3), position (..., 3), focal (...) and principal point (2,)."""
        sighting = self.sightings[view]
        size = sighting.width_px, sighting.height_px
        focal_35mm = self.known.focal_35mm * sighting.zoom
        focal = focal_px(focal_35mm, *size) * np.exp(theta[..., self._at["log_focal"]])
        angles = self.pick(theta, f"{view}.yaw", f"{view}.pitch", f"{view}.roll")
        position = self.pick(theta, f"{view}.x", f"{view}.y", f"{view}.z")
        return angles, position, focal, principal_point(*size)

    def on_body(
        self, theta: FloatArray, view: View, pixels: FloatArray, reach_mm: FloatArray
    ) -> FloatArray:
        z = theta[..., self._at[f"{view}.standoff"], None] + reach_mm
        points = onto_plane(*self.camera(theta, view), pixels, z)
        points[..., 1] -= theta[..., self._at[f"{view}.floor"], None]
        return points

    def _corners(self, theta: FloatArray, view: View, k: int) -> FloatArray:
        """(..., 4, 3) corners of a reference object in the wall frame of the first one."""
        reference = self.sightings[view].references[k]
        w = reference.width_mm / 2 * np.exp(theta[..., self._at["log_across"]])
        h = reference.height_mm / 2 * np.exp(theta[..., self._at["log_up"]])
        across = np.stack([-w, w, w, -w], axis=-1)
        up = np.stack([h, h, -h, -h], axis=-1)
        hung = theta[..., self._at[f"{view}.hung{k}"], None]
        x = np.cos(hung) * across - np.sin(hung) * up
        y = np.sin(hung) * across + np.cos(hung) * up
        if k:
            x = x + theta[..., self._at[f"{view}.across{k}"], None]
            y = y + theta[..., self._at[f"{view}.up{k}"], None]
        return np.stack([x, y, np.zeros_like(x)], axis=-1)

    def residuals(self, theta: FloatArray) -> tuple[FloatArray, tuple[str, ...]]:
        """(..., r) residuals and the cause of each."""
        parts: list[FloatArray] = []
        causes: list[str] = []

        def add(cause: str, values: FloatArray) -> None:
            parts.append(values)
            causes.extend([cause] * values.shape[-1])

        known = self.known
        add(FOCAL, self.pick(theta, "log_focal") / known.focal_u)
        paper = np.log([known.paper_across, known.paper_up])
        add(PAPER, (self.pick(theta, "log_across", "log_up") - paper) / known.paper_u)
        add(HEIGHT, (self.pick(theta, "stature") - known.stature_mm) / known.stature_u_mm)
        usual = _EYES_OVER_STATURE * self.pick(theta, "stature")
        add(FIGURE, (self.pick(theta, "eyes") - usual) / _EYES_SD_MM)
        for view in VIEWS:
            self._add_view(theta, view, add)
        return np.concatenate(parts, axis=-1), tuple(causes)

    def only_residuals(self, theta: FloatArray) -> FloatArray:
        """(..., r) residuals."""
        return self.residuals(theta)[0]

    def cost(self, theta: FloatArray) -> float:
        """Half the sum of squared residuals at (p) unknowns."""
        return float(np.sum(self.residuals(theta)[0] ** 2) / 2)

    def _add_view(
        self, theta: FloatArray, view: View, add: Callable[[str, FloatArray], None]
    ) -> None:
        """Add the residuals of one photo."""
        sighting = self.sightings[view]
        angles = self.pick(theta, f"{view}.yaw", f"{view}.pitch", f"{view}.roll")
        add(PHONE, angles / np.radians([_YAW_SD_DEG, _PITCH_SD_DEG, _ROLL_SD_DEG]))
        standoff = self.pick(theta, f"{view}.standoff")
        add(STANDOFF, (standoff - sighting.standoff_mm) / sighting.standoff_u_mm)
        for k, reference in enumerate(sighting.references):
            seen = project(*self.camera(theta, view), self._corners(theta, view, k))
            off = (seen - reference.corners_px) / reference.u_px
            add(CORNERS, off.reshape(*off.shape[:-2], -1))
            add(HUNG, self.pick(theta, f"{view}.hung{k}") / np.radians(_HUNG_SD_DEG))
        if not sighting.references:
            add(PHONE, self.pick(theta, f"{view}.x", f"{view}.y") / LOOSE_MM)
        pixels = np.stack([sighting.eye_px, sighting.foot_px])
        reach = np.array([sighting.eye_reach_mm, sighting.foot_reach_mm])
        eyes, foot = np.moveaxis(self.on_body(theta, view, pixels, reach)[..., 1], -1, 0)
        over = eyes - sighting.eye_above_mm
        over = over - self.pick(theta, "stature")[..., 0] + self.pick(theta, "eyes")[..., 0]
        # A point nearer to a camera above it is seen lower, by the slope of the line of sight.
        slope = 0.4 * sighting.foot_reach_u_mm
        add(FIGURE, over[..., None] / sighting.eye_u_mm)
        add(FIGURE, foot[..., None] / np.hypot(_FLOOR_SD_MM, slope))
        if sighting.middle_px is not None:
            line = self.on_body(theta, view, sighting.middle_px, np.zeros(2))
            lean = (line[..., 1, 0] - line[..., 0, 0]) / (line[..., 1, 1] - line[..., 0, 1])
            add(UPRIGHT, lean[..., None] / np.radians(_UPRIGHT_SD_DEG))

    def jacobian(self, theta: FloatArray) -> FloatArray:
        """(r, p) derivative of the residuals, by central differences all at once."""
        step = self._steps()
        moved = np.concatenate([theta + np.diag(step), theta - np.diag(step)])
        values, _ = self.residuals(moved)
        p = len(step)
        slope: FloatArray = ((values[:p] - values[p:]) / (2 * step[:, None])).T
        return slope

    def _steps(self) -> FloatArray:
        lengths = ("stature", "eyes", ".x", ".y", ".z", ".floor", ".standoff")
        return np.array(
            [
                0.05 if name.endswith(lengths) or ".across" in name or ".up" in name else 1e-5
                for name in self.names
            ]
        )

    def start(self, poses: Mapping[View, tuple[FloatArray, FloatArray]]) -> FloatArray:
        """Unknowns to begin with.

        Args:
            poses: angles (3,) and position (3,) of the camera by view.
        """
        theta = np.zeros(len(self.names))
        known = self.known
        theta[self._at["stature"]] = known.stature_mm
        theta[self._at["eyes"]] = _EYES_OVER_STATURE * known.stature_mm
        theta[self._at["log_across"]] = np.log(known.paper_across)
        theta[self._at["log_up"]] = np.log(known.paper_up)
        for view, pose in poses.items():
            sighting = self.sightings[view]
            camera = ("yaw", "pitch", "roll", "x", "y", "z")
            for name, value in zip(camera, np.concatenate(pose), strict=True):
                theta[self._at[f"{view}.{name}"]] = value
            theta[self._at[f"{view}.standoff"]] = sighting.standoff_mm
            for k, reference in enumerate(sighting.references[1:], start=1):
                middle = reference.corners_px.mean(axis=0)[None]
                place = onto_plane(*self.camera(theta, view), middle, np.zeros(1))[0]
                theta[self._at[f"{view}.across{k}"]] = place[0]
                theta[self._at[f"{view}.up{k}"]] = place[1]
            foot = sighting.foot_px[None]
            reach = np.array([sighting.foot_reach_mm])
            theta[self._at[f"{view}.floor"]] = self.on_body(theta, view, foot, reach)[0, 1]
        return theta


def solve(
    sightings: Mapping[View, Sighting], known: Known, near: FloatArray | None = None
) -> Solution:
    """Solve a sitting's two photos together.

    Args:
        sightings: by view.
        known: what is known for both.
        near: (p) unknowns of a similar solution with the same reference objects; without it,
            the poses that the reference objects allow are tried.

    Returns:
        The solution with the least cost.
    """
    model = _Model(sightings, known)
    starts = _starts(model) if near is None else [near]
    least = min(model.cost(start) for start in starts)
    hopeful = [start for start in starts if model.cost(start) <= _HOPEFUL * least]
    rough = [_least_squares(model, start, _ROUGH) for start in hopeful]
    theta = _least_squares(model, min(rough, key=model.cost), _FINE)
    jacobian = model.jacobian(theta)
    return Solution(
        sightings=sightings,
        known=known,
        names=model.names,
        theta=theta,
        gain=np.asarray(np.linalg.solve(jacobian.T @ jacobian, jacobian.T), dtype=np.float64),
        causes=model.residuals(theta)[1],
        cost=model.cost(theta),
    )


def _least_squares(model: _Model, start: FloatArray, tolerance: float) -> FloatArray:
    found = least_squares(
        model.only_residuals,
        start,
        jac=model.jacobian,
        method="lm",
        x_scale="jac",
        ftol=tolerance,
        xtol=tolerance,
    )
    return np.asarray(found.x, dtype=np.float64)


def _starts(model: _Model) -> list[FloatArray]:
    """One start per pose that the reference objects allow: a flat object has two (IPPE)."""
    fronts, sides = (_poses(model, view) for view in VIEWS)
    return [model.start({"front": front, "side": side}) for front in fronts for side in sides]


def _poses(model: _Model, view: View) -> list[tuple[FloatArray, FloatArray]]:
    """Possible cameras relative to the first reference object."""
    sighting = model.sightings[view]
    focal_35mm = model.known.focal_35mm * sighting.zoom
    focal = focal_px(focal_35mm, sighting.width_px, sighting.height_px)
    centre = principal_point(sighting.width_px, sighting.height_px)
    if not sighting.references:
        # Straight ahead, as far away as her size in the picture says.
        seen_mm = (1 - _EYES_OVER_STATURE) * model.known.stature_mm
        px_per_mm = (sighting.foot_px[1] - sighting.eye_px[1]) / seen_mm
        return [(np.zeros(3), np.array([0.0, 0.0, focal / px_per_mm + sighting.standoff_mm]))]
    return flat_poses(sighting.references[0], focal, centre)
