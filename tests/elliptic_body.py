"""An upright body whose level sections are ellipses, and what two pinhole cameras see of it.

Every number of it is known by hand: edges are given at a few heights, with smooth runs between that
have their greatest and least values at those heights only. Its outline in a photo is exact: the
places where a line of sight grazes the surface.
"""

from dataclasses import dataclass, field

import numpy as np
from scipy.interpolate import PchipInterpolator

from ellwand.geometry.camera import focal_px, principal_point, project
from ellwand.geometry.obliquity import Obliquity
from ellwand.geometry.scene import reconstruct
from ellwand.geometry.sighting import Known
from ellwand.photo.body import Body
from ellwand.photo.look import Look
from ellwand.photo.outline import Silhouette
from ellwand.photo.reference import ReferenceObject
from tests.synthetic import EYES_OVER_STATURE, HEIGHT, WIDTH

STATURE = 1650.0
ANKLE, SEAT, BELLY, WAIST, FOLD, BUST, ARMPIT = 110.0, 850.0, 950.0, 1050.0, 1140.0, 1185.0, 1250.0
TOP = 1400.0
# From height over the floor to half the breadth, and to both ends seen from the side.
HALF_BREADTH = {0: 110, ANKLE: 100, 400: 130, SEAT: 180, WAIST: 135, BUST: 150, TOP: 170}
FRONT = {0: 45, ANKLE: 40, 400: 60, BELLY: 90, FOLD: 105, BUST: 150, ARMPIT: 110, TOP: 75}
BACK = {0: -45, ANKLE: -40, 400: -60, SEAT: -130, WAIST: -85, ARMPIT: -100, TOP: -80}

FOCAL_35MM, SHEET_MM, CORNER_U_PX, STANDOFF_MM = 26.0, (210.0, 297.0), 0.2, 300.0
# Where she stands and where the floor is, from the middle of the upper sheet.
PLACE_MM, FLOOR_MM = -450.0, -1450.0


def run(knots):
    """A smooth run through values at heights, without any bump between."""
    return PchipInterpolator(np.array(list(knots), float), np.array(list(knots.values()), float))


@dataclass(frozen=True, eq=False)
class EllipticBody:
    """Half breadth and both ends seen from the side, each a function of height over the floor."""

    half_breadth: PchipInterpolator = field(default_factory=lambda: run(HALF_BREADTH))
    front: PchipInterpolator = field(default_factory=lambda: run(FRONT))
    back: PchipInterpolator = field(default_factory=lambda: run(BACK))

    def breadth(self, height):
        return 2 * self.half_breadth(height)

    def depth(self, height):
        return self.front(height) - self.back(height)

    def middle(self, height):
        return (self.front(height) + self.back(height)) / 2

    def obliquity(self):
        """What slanting sight does to ellipses.

        Seen along its axis c, an ellipse with axes a and c reaches to sqrt(a^2 + c^2 t^2), about
        c^2 t^2 / 2a more than a; over the extent 2c that is (2c) / (2a) * t^2 / 4.
        """
        heights = np.linspace(0.05, 0.84, 159)
        ratio = self.depth(heights * STATURE) / self.breadth(heights * STATURE)
        none = np.zeros_like(heights)
        bends = {"side_of_body": ratio / 4, "front": 1 / ratio / 4, "back": 1 / ratio / 4}
        return Obliquity(
            heights, {kind: np.stack([none, none, b], axis=1) for kind, b in bends.items()}
        )


@dataclass(frozen=True)
class Phone:
    """Where the phone stands: angles, how far beside her, how high, how far from the wall."""

    yaw_deg: float = 0.0
    pitch_deg: float = 0.0
    roll_deg: float = 0.0
    aside_mm: float = 0.0
    height_mm: float = 1100.0
    distance_mm: float = 2800.0

    def camera(self):
        """What `project` takes before the points."""
        angles = np.radians([self.yaw_deg, self.pitch_deg, self.roll_deg])
        position = [PLACE_MM + self.aside_mm, FLOOR_MM + self.height_mm, self.distance_mm]
        focal = np.array(focal_px(FOCAL_35MM, WIDTH, HEIGHT))
        return angles, np.array(position), focal, principal_point(WIDTH, HEIGHT)


def grazed(body, eye, start):
    """Points (n, 3) of the surface that lines from the eye graze: her left, up, forward.

    Args:
        body: the body.
        eye: (3,) her left, up, forward.
        start: direction about the upright axis (0 = her left) to begin the search at.
    """
    h = np.arange(0.0, TOP, 1.0)
    a, c, m = body.half_breadth(h), body.depth(h) / 2, body.middle(h)
    da, dm = body.half_breadth(h, 1), (body.front(h, 1) + body.back(h, 1)) / 2
    dc = (body.front(h, 1) - body.back(h, 1)) / 2
    x, up, z = eye[0], h - eye[1], eye[2] - m

    def normal_to_sight(at):
        cos, sin = np.cos(at), np.sin(at)
        rise = c * da * cos**2 + a * dm * sin + a * dc * sin**2
        return a * c - c * x * cos - a * z * sin - up * rise

    at = np.full_like(h, start)
    for _ in range(20):
        slope = (normal_to_sight(at + 1e-6) - normal_to_sight(at - 1e-6)) / 2e-6
        at = at - normal_to_sight(at) / slope
    assert np.abs(normal_to_sight(at)).max() < 1e-6
    return np.stack([a * np.cos(at), h, m + c * np.sin(at)], axis=1)


def in_wall_frame(points, view, facing):
    """Points (n, 3) of the body in the frame of the wall."""
    left, up, forward = np.asarray(points, float).T
    if view == "front":
        placed = [PLACE_MM + left, FLOOR_MM + up, STANDOFF_MM + forward]
    else:
        placed = [PLACE_MM + facing * forward, FLOOR_MM + up, STANDOFF_MM - facing * left]
    return np.stack(placed, axis=1)


def from_wall_frame(point, view, facing):
    """A point of the wall's frame in the body's."""
    x, up, z = point - np.array([PLACE_MM, FLOOR_MM, STANDOFF_MM])
    return np.array([x, up, z] if view == "front" else [-facing * z, up, facing * x])


def starts(view, facing):
    """About the upright axis (0 = her left), where the left and the right edge of a photo lie."""
    # Her right side is to the left in the front photo; in the side photo it is as she faces.
    return (np.pi, 0.0) if view == "front" else (-facing * np.pi / 2, facing * np.pi / 2)


def crossings(body, view, phone, facing=1):
    """Where the grazing lines cross the plane in which a photo's outline is taken to lie.

    Returns:
        Low and high edge of the profile, each as heights (n) and ends (n), by height.
    """
    eye = from_wall_frame(phone.camera()[1], view, facing)
    edges = []
    for start in starts(view, facing):
        points = grazed(body, eye, start)
        part = np.ones(len(points))
        for _ in range(5):
            crossed = eye + part[:, None] * (points - eye)
            # From the front the plane is the body's middle as seen from the side, at that height.
            plane = (2, body.middle(crossed[:, 1].clip(0, TOP))) if view == "front" else (0, 0.0)
            part = (plane[1] - eye[plane[0]]) / (points - eye)[:, plane[0]]
        crossed = eye + part[:, None] * (points - eye)
        edges.append((crossed[:, 1], crossed[:, 0 if view == "front" else 2]))
    return edges if view == "front" or facing > 0 else edges[::-1]


def _landmarks(view):
    """Her left, up, forward by name; eyes as far too high as the pose library sees them."""
    eyes = (1 - EYES_OVER_STATURE) * STATURE + {"front": 7.0, "side": 12.0}[view]
    half = {
        "eye": (0, eyes, 80), "ear": (70, eyes - 20, 0), "shoulder": (165, 1350, 0),
        "elbow": (400, 1200, 0), "wrist": (600, 1080, 0), "hip": (90, 880, 0), "knee": (90, 450, 0),
        "ankle": (70, 75, 0), "heel": (70, 20, -60), "toe": (70, 15, 170),
    }  # fmt: skip
    sides = {"left": 1, "right": -1}
    found = {
        f"{side}_{name}": (sign * out, up, forward)
        for name, (out, up, forward) in half.items()
        for side, sign in sides.items()
    }
    return {**found, "nose": (0, eyes - 40, 110)}


def look(body, view, phone, facing=1):
    """What a faultless look at the photo gives."""
    camera = phone.camera()

    def pixels(points):
        return project(*camera, in_wall_frame(points, view, facing))

    eye = from_wall_frame(camera[1], view, facing)
    left, right = (pixels(grazed(body, eye, start)) for start in starts(view, facing))
    lowest = max(left[:, 1].min(), right[:, 1].min()), min(left[:, 1].max(), right[:, 1].max())
    rows = np.arange(np.ceil(lowest[0]), np.floor(lowest[1]) + 1)
    left_px, right_px = (np.interp(rows, one[::-1, 1], one[::-1, 0]) for one in (left, right))
    foot = STATURE * 0.1512
    # The lowest point: toes from the front, from the side the rim of the nearer foot.
    sole = (0, 0, 0.7 * foot) if view == "front" else (-facing * (70 + 40), 0, 0)
    marks = _landmarks(view)
    seen = dict(zip(marks, map(tuple, pixels(list(marks.values()))), strict=True))
    corners = np.array([[-1, 1], [1, 1], [1, -1], [-1, -1]]) * SHEET_MM / 2
    sheets = [np.column_stack([corners - np.array([0, 950 * k]), np.zeros(4)]) for k in range(2)]
    return Look(
        width_px=WIDTH,
        height_px=HEIGHT,
        focal_35mm=FOCAL_35MM,
        body=Body(seen, dict.fromkeys(seen, 1.0), np.zeros((1, 1), np.float32), 0.0),
        silhouette=Silhouette(
            rows_px=rows,
            left_px=left_px,
            right_px=right_px,
            clear=np.ones((len(rows), 2), dtype=bool),
            armpits_px=pixels([(-155, ARMPIT, 0), (155, ARMPIT, 0)]),
            foot_px=pixels([sole])[0],
            box_px=(left_px.min(), 0.0, right_px.max(), rows[-1]),
            polygon_px=np.zeros((3, 2)),
        ),
        references=tuple(
            ReferenceObject(f"sheet {k + 1}", *SHEET_MM, project(*camera, sheet), CORNER_U_PX)
            for k, sheet in enumerate(sheets)
        ),
        problems=(),
    )


def looks(body, facing=1, front=None, side=None):
    """Both looks, by default with a phone that looks straight at the wall."""
    return {
        "front": look(body, "front", front or Phone()),
        "side": look(body, "side", side or Phone(), facing),
    }


def scene_of(both):
    """The scene of both looks, with everything typed being true."""
    known = Known(FOCAL_35MM, 0.012, 1.0, 1.0, 0.003, STATURE, 9.0)
    return reconstruct(both, dict.fromkeys(("front", "side"), (STANDOFF_MM, 10.0)), known)
