"""Both photos in millimetres: the two views solved together.

A point of the outline does not lie on the wall. Seen from the front it lies near the middle of the
body, whose distance from the wall the side photo shows, and the other way round; two or three
rounds make both fit.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from ellwand.geometry.profile import Profile, profile
from ellwand.geometry.sighting import Known, Sighting, View
from ellwand.geometry.wall import Solution, solve
from ellwand.photo.look import Look

FloatArray = NDArray[np.float64]

_ROUNDS = 3
# Foot: length over stature, and where the outer ankle bone stands along it from the heel (ANSUR II
# women: foot length; ankle bone at a quarter: from memory).
FOOT_LENGTH = 0.1512
_ANKLE_FROM_HEEL = 0.25
# The toe that is lowest in the front photo ends a little short of the foot's length (judged).
_TOE = 0.95
_REACH_U_MM = 15.0
# In the side photo the lowest outline is the outer rim of the near foot: as far from the middle as
# the ankle, seen from the front, and half a foot's breadth more (judged).
_HALF_FOOT_MM, _NEAR_FOOT_U_MM = 40.0, 20.0
_USUAL_HALF_STANCE_MM = 100.0
# The pose library's eyes lie above the eyes of the demo photos by 7 mm (sd 2) from the front and
# 12 mm (sd 6-11) from the side; real faces may differ, so more doubt is stated.
_EYE_ABOVE_MM: dict[View, float] = {"front": 7.0, "side": 12.0}
_EYE_U_MM: dict[View, float] = {"front": 5.0, "side": 10.0}
_EYE_BEFORE_ANKLE_MM = 90.0
# Height over stature at which the ankle is cut to find its middle in the side photo.
_ANKLE_HEIGHT = 0.0386
_TOP_OVER_STATURE = 1.02


@dataclass(frozen=True, eq=False)
class Scene:
    """The body in millimetres.

    Args:
        solution: cameras and all that goes with them.
        front: profile from the front, x relative to the middle between the ankles.
        side: profile from the side, towards where she faces, relative to the ankle.
        facing: +1 when she faces right in the side photo, -1 when left.
        ankle_front_mm: x of the middle between the ankles in the front photo's wall frame.
        ankle_side_mm: x of the ankle in the side photo's wall frame.
        armpit_mm: height of the lower armpit seen from the front, None when none is seen.
    """

    solution: Solution
    front: Profile
    side: Profile
    facing: int
    ankle_front_mm: float
    ankle_side_mm: float
    armpit_mm: float | None

    def reach_mm(self, view: View, heights_mm: FloatArray) -> FloatArray:
        """How far in front of the standoff plane the outline lies at some heights.

        Args:
            view: which photo's outline.
            heights_mm: (n) over the floor.

        Returns:
            (n) millimetres towards the camera.
        """
        other = self.side if view == "front" else self.front
        middle = other.middle_mm
        seen = np.isfinite(middle)
        if seen.sum() < 10:
            return np.zeros_like(heights_mm)
        reach = np.interp(heights_mm, other.heights_mm[seen], middle[seen])
        # Facing right in the side photo, her right side (-x from the front) is towards the camera.
        return reach if view == "front" else -self.facing * reach


def facing(look: Look) -> int:
    """+1 when she faces right in the side photo, -1 when left."""
    body = look.body
    nose, ear = body.landmarks_px["nose"][0], body.middle_px("ear")[0]
    toe, heel = body.middle_px("toe")[0], body.middle_px("heel")[0]
    return 1 if (nose - ear) + (toe - heel) > 0 else -1


def reconstruct(
    looks: Mapping[View, Look],
    standoffs: Mapping[View, tuple[float, float]],
    known: Known,
    zooms: Mapping[View, float] = MappingProxyType({}),
) -> Scene:
    """Solve cameras and profiles of both photos together.

    Args:
        looks: what the photos hold.
        standoffs: value and standard uncertainty per view, mm.
        known: what is known for both.
        zooms: focal length of each photo over the known one; a view that is absent has 1.

    Returns:
        The scene after the last round.
    """
    sightings = {
        view: replace(
            _sighting(view, looks[view], standoffs[view], known.stature_mm),
            zoom=zooms.get(view, 1.0),
        )
        for view in looks
    }
    scene: Scene | None = None
    for _ in range(_ROUNDS):
        if scene is not None:
            sightings = _with_reaches(sightings, scene, looks)
        near = None if scene is None else scene.solution.theta
        scene = _round(looks, solve(sightings, known, near), scene)
    if scene is None:
        raise ValueError("no round")
    return scene


def _sighting(view: View, look: Look, standoff: tuple[float, float], stature_mm: float) -> Sighting:
    foot = FOOT_LENGTH * stature_mm
    toes = foot * (_TOE - _ANKLE_FROM_HEEL), _REACH_U_MM
    rim = _USUAL_HALF_STANCE_MM + _HALF_FOOT_MM, _NEAR_FOOT_U_MM
    reach, reach_u = toes if view == "front" else rim
    middles = np.array([look.body.middle_px("ankle"), look.body.middle_px("shoulder")])
    return Sighting(
        width_px=look.width_px,
        height_px=look.height_px,
        references=look.references,
        eye_px=_eyes(view, look),
        eye_above_mm=_EYE_ABOVE_MM[view],
        eye_u_mm=_EYE_U_MM[view],
        eye_reach_mm=_EYE_BEFORE_ANKLE_MM if view == "front" else 0.0,
        foot_px=look.silhouette.foot_px,
        foot_reach_mm=reach,
        foot_reach_u_mm=reach_u,
        middle_px=middles if view == "front" else None,
        standoff_mm=standoff[0],
        standoff_u_mm=standoff[1],
    )


def _eyes(view: View, look: Look) -> FloatArray:
    """Middle of the eyes, or the one that is seen from the side."""
    body = look.body
    if view == "front":
        return np.array(body.middle_px("eye"))
    nearer = max(("left_eye", "right_eye"), key=lambda name: body.visibility[name])
    return np.array(body.landmarks_px[nearer])


def _with_reaches(
    sightings: Mapping[View, Sighting], scene: Scene, looks: Mapping[View, Look]
) -> dict[View, Sighting]:
    """Place eyes and near foot in each photo by where the other photo shows them."""
    solution = scene.solution
    eyes = {
        view: float(
            solution.on_body(solution.theta, view, sightings[view].eye_px[None], np.zeros(1))[0, 0]
        )
        for view in sightings
    }
    before = scene.facing * (eyes["side"] - scene.ankle_side_mm)
    aside = -scene.facing * (eyes["front"] - scene.ankle_front_mm)
    marks = looks["front"].body.landmarks_px
    ankles = np.array([marks["left_ankle"], marks["right_ankle"]])
    across = solution.on_body(solution.theta, "front", ankles, np.zeros(2))[:, 0]
    rim = float(np.abs(across[0] - across[1])) / 2 + _HALF_FOOT_MM
    return {
        "front": replace(sightings["front"], eye_reach_mm=before),
        "side": replace(sightings["side"], eye_reach_mm=aside, foot_reach_mm=rim),
    }


def _round(looks: Mapping[View, Look], solution: Solution, before: Scene | None) -> Scene:
    """Profiles under a solution, with the contour planes of the round before."""
    stature = float(solution.value("stature"))
    facing_side = facing(looks["side"])
    edges: dict[View, tuple[FloatArray, FloatArray]] = {}
    for view, look in looks.items():
        silhouette = look.silhouette
        rows = silhouette.rows_px
        # Heights of the rows in the plane of the ankles are close enough to look up the reach.
        reach = np.zeros(len(rows))
        for _ in range(1 if before is None else 2):
            pixels = np.stack([np.nan_to_num(silhouette.left_px), rows], axis=1)
            heights = solution.on_body(solution.theta, view, pixels, reach)[:, 1]
            reach = np.zeros(len(rows)) if before is None else before.reach_mm(view, heights)
        left, right = (
            solution.on_body(solution.theta, view, np.stack([edge, rows], axis=1), reach)
            for edge in (silhouette.left_px, silhouette.right_px)
        )
        edges[view] = left, right
    top = _TOP_OVER_STATURE * stature
    raw_front = profile(*edges["front"], top)
    left, right = edges["side"]
    ordered = (left, right) if facing_side > 0 else (_mirrored(right), _mirrored(left))
    raw_side = profile(*ordered, top)
    ankle_front = _ankles_front(solution, looks["front"])
    ankle_side = _ankle_side(raw_side, stature)
    return Scene(
        solution=solution,
        front=_moved(raw_front, ankle_front),
        side=_moved(raw_side, ankle_side),
        facing=facing_side,
        ankle_front_mm=ankle_front,
        ankle_side_mm=facing_side * ankle_side,
        armpit_mm=_armpit(solution, looks["front"]),
    )


def _armpit(solution: Solution, look: Look) -> float | None:
    armpits = look.silhouette.armpits_px
    if len(armpits) == 0:
        return None
    heights = solution.on_body(solution.theta, "front", armpits, np.zeros(len(armpits)))[:, 1]
    return float(heights.min())


def _mirrored(points: FloatArray) -> FloatArray:
    mirrored: FloatArray = points * np.array([-1.0, 1.0])
    return mirrored


def _moved(seen: Profile, by: float) -> Profile:
    return Profile(seen.heights_mm, seen.low_mm - by, seen.high_mm - by)


def _ankles_front(solution: Solution, look: Look) -> float:
    middle = np.array([look.body.middle_px("ankle")])
    return float(solution.on_body(solution.theta, "front", middle, np.zeros(1))[0, 0])


def _ankle_side(side: Profile, stature: float) -> float:
    """Middle of the narrowest part of the leg above the foot: the ankle bone stands about there."""
    at = side.between(1.2 * _ANKLE_HEIGHT * stature, 2.6 * _ANKLE_HEIGHT * stature)
    if len(at) == 0:
        return 0.0
    narrowest = at[int(np.argmin(side.extent_mm[at]))]
    return float(side.middle_mm[narrowest])
