"""Widths as slanting lines of sight show them, on sections that can be worked out by hand."""

import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calibration.obliquity import fit, shifts
from ellwand.geometry.obliquity import Obliquity, seen_square
from ellwand.geometry.profile import STEP_MM, Profile
from ellwand.geometry.scene import Scene
from ellwand.girth.model import obliquity_of

STATURE, AWAY = 1600.0, 2500.0
HEIGHTS = np.arange(0.0, STATURE, STEP_MM)
WOMEN = obliquity_of(json.loads(Path("calibration/obliquity.json").read_text(encoding="utf-8")))


class Straight:
    """Cameras that look straight at the wall from a known place."""

    theta = np.zeros(1)

    def __init__(self, away, front_x, side_x):
        self.away = away
        self.values = {"stature": STATURE, "front.x": front_x, "side.x": side_x}

    def value(self, name):
        return self.values[name]

    def distance_mm(self, theta, view):
        return self.away


def prism(front, side, facing=1, away=AWAY, front_x=0.0, side_x=0.0):
    """A scene of a body that is seen alike at all heights; ends in the order of the profiles."""
    front_seen, side_seen = (
        Profile(HEIGHTS, *(np.full(len(HEIGHTS), float(end)) for end in ends))
        for ends in (front, side)
    )
    return Scene(Straight(away, front_x, side_x), front_seen, side_seen, facing, 0.0, 0.0, None)


def same_everywhere(**coefficients):
    """The same (signed, lobes, bend) at all heights, none for kinds that are not named."""
    kinds = ("side_of_body", "back", "front")
    rows = {kind: np.tile(coefficients.get(kind, (0, 0, 0)), (2, 1)) for kind in kinds}
    return Obliquity(np.array([0.4, 0.8]), {kind: row.astype(float) for kind, row in rows.items()})


def ellipse_seen(half, half_along, aside, away=AWAY):
    """Ends of an ellipse in the plane of its middle, seen from `aside` of it.

    The line of sight through the end x slopes by t = (x - aside) / away, and that end is
    sqrt(half^2 + half_along^2 t^2).
    """
    ends = []
    for sign in (-1, 1):
        x = sign * half
        for _ in range(50):
            x = sign * np.hypot(half, half_along * (x - aside) / away)
        ends.append(x)
    return ends


def test_each_term_does_what_it_is_named_for():
    obliquity = same_everywhere(back=(0.1, 0.2, 0.3))
    slopes = np.array([0.1, -0.1, 0.0])
    # 0.1 * 0.1 + 0.2 * 0.1 + 0.3 * 0.01, and with the other sign in the first term only.
    found = obliquity.farther("back", np.full(3, 0.5), slopes)
    assert found == pytest.approx([0.033, 0.013, 0.0])


def test_between_heights_coefficients_go_over_and_beyond_them_they_stay():
    bends = {
        kind: np.array([[0, 0, 0.0], [0, 0, 1.0]]) for kind in ("side_of_body", "back", "front")
    }
    obliquity = Obliquity(np.array([0.4, 0.8]), bends)
    found = obliquity.farther("front", np.array([0.1, 0.5, 0.9]), np.full(3, 1.0))
    assert found == pytest.approx([0.0, 0.25, 1.0])


def test_a_circle_that_looks_a_quarter_per_cent_wider_is_given_its_own_breadth_back():
    """Radius 170 from 2500: wider by 1 / sqrt(1 - (170 / 2500)^2), 0.23 %; bend 1/4."""
    seen = 170 / np.sqrt(1 - (170 / 2500) ** 2)
    assert seen / 170 == pytest.approx(1.0023, abs=5e-5)
    round_ = same_everywhere(**dict.fromkeys(("side_of_body", "back", "front"), (0, 0, 0.25)))
    front, side = seen_square(prism((-seen, seen), (-seen, seen)), round_)
    # t^2 / 2 stands for sqrt(1 + t^2) - 1; of 0.39 mm that leaves less than 0.5 %.
    assert front.extent_mm == pytest.approx(340.0, abs=0.004)
    assert side.extent_mm == pytest.approx(340.0, abs=0.004)


@pytest.mark.parametrize("facing", [1, -1])
@pytest.mark.parametrize("aside", [-200.0, 0.0, 120.0])
def test_an_ellipse_seen_from_aside_is_given_both_its_ends_back(facing, aside):
    half_breadth, half_depth = 180.0, 120.0
    front = ellipse_seen(half_breadth, half_depth, aside)
    # In the photo she looks along x or against it; the profile counts towards where she faces.
    side = ellipse_seen(half_depth, half_breadth, facing * aside)
    bends = {
        "side_of_body": (0, 0, half_depth / half_breadth / 4),
        "back": (0, 0, half_breadth / half_depth / 4),
        "front": (0, 0, half_breadth / half_depth / 4),
    }
    scene = prism(front, side, facing, front_x=aside, side_x=aside)
    for square, half in zip(
        seen_square(scene, same_everywhere(**bends)), (180.0, 120.0), strict=True
    ):
        # At most 2.2 mm are taken off (180^2 * 0.128^2 / 240). The next term of the root is 1 % of
        # that, and the extents that the bend is of are seen 2 % too large.
        assert square.low_mm == pytest.approx(-half, abs=0.06)
        assert square.high_mm == pytest.approx(half, abs=0.06)


def test_a_body_nearer_to_the_camera_is_seen_under_steeper_lines():
    """Middle 100 mm in front of the ankles: 2400 away instead of 2500."""
    seen = 170 * np.sqrt(1 + 0.1**2)
    # At 2400 a slope of 0.1 from the edge to a camera 240 aside of it.
    aside = seen - 240.0
    scene = prism((-170, seen), (-70, 270), front_x=aside)
    obliquity = same_everywhere(side_of_body=(0, 0, 0.25))
    front, _ = seen_square(scene, obliquity)
    # 340 * 0.25 * 0.01 = 0.85, and not 340 * 0.25 * 0.096^2 = 0.78.
    assert seen - front.high_mm == pytest.approx(0.85, abs=1e-9)


@pytest.mark.parametrize("facing", [1, -1])
def test_from_the_side_her_own_side_tells_how_near_she_is(facing):
    """Facing right she turns her right side, which is low from the front, to the camera."""
    seen, nearer = 170.0, 100.0
    # Middle 100 mm towards the camera: a slope of 0.1 to a camera 240 behind the front edge.
    front = (-150 - facing * nearer, 150 - facing * nearer)
    scene = prism(front, (-170, seen), facing, side_x=facing * (seen - 240.0))
    _, side = seen_square(scene, same_everywhere(front=(0, 0, 0.25)))
    # 300 * 0.25 * 0.01 = 0.75.
    assert seen - side.high_mm == pytest.approx(0.75, abs=1e-9)
    assert side.low_mm == pytest.approx(-170.0)


def test_square_sight_changes_nothing():
    scene = prism((-160, 170), (-100, 130), away=1e9)
    for seen, square in zip((scene.front, scene.side), seen_square(scene, WOMEN), strict=True):
        assert square.low_mm == pytest.approx(seen.low_mm, abs=1e-4)
        assert square.high_mm == pytest.approx(seen.high_mm, abs=1e-4)


numbers = st.floats(-250, 250)


@settings(max_examples=30)
@given(numbers, numbers, numbers)
def test_facing_left_or_right_is_the_same_in_a_mirror(front_x, side_x, middle):
    right = prism((middle - 170, middle + 170), (-100, 130), 1, front_x=front_x, side_x=side_x)
    left = prism((-middle - 170, -middle + 170), (-100, 130), -1, front_x=-front_x, side_x=-side_x)
    (front, side), (mirrored, other) = (seen_square(scene, WOMEN) for scene in (right, left))
    assert mirrored.low_mm == pytest.approx(-front.high_mm)
    assert mirrored.high_mm == pytest.approx(-front.low_mm)
    assert other.low_mm == pytest.approx(side.low_mm)
    assert other.high_mm == pytest.approx(side.high_mm)


def test_what_is_not_seen_stays_so_and_takes_nothing_from_the_other_view():
    whole = prism((-170, 170), (-100, 130))
    hidden = np.abs(HEIGHTS - 900) < 100
    low = np.where(hidden, np.nan, whole.front.low_mm)
    scene = Scene(
        whole.solution, Profile(HEIGHTS, low, whole.front.high_mm), whole.side, 1, 0.0, 0.0, None
    )
    (_, expected), (front, side) = (seen_square(one, WOMEN) for one in (whole, scene))
    assert (np.isnan(front.low_mm) == hidden).all()
    assert np.isfinite(front.high_mm).all()
    assert side.low_mm == pytest.approx(expected.low_mm)
    assert side.high_mm == pytest.approx(expected.high_mm)


AROUND = np.linspace(0, 2 * np.pi, 2000, endpoint=False)
CIRCLE = np.stack([np.cos(AROUND), np.sin(AROUND)], axis=1)


def test_a_circle_is_fitted_by_a_bend_of_a_quarter():
    fitted = fit([{"waist": shifts(100 * CIRCLE)}])["waist"]
    for coefficients in fitted.values():
        # To slopes of 0.23, where sqrt(1 + t^2) - 1 is 1.3 % less than t^2 / 2; a fit of |t| beside
        # it makes somewhat more of that.
        assert coefficients == pytest.approx([0, 0, 0.25], abs=0.006)


def test_two_lobes_are_fitted_by_their_distance_from_the_middle_over_the_extent():
    """Circles of radius 60 at 90 either side: lobes 90 / 300; seen from the front none."""
    both = np.concatenate([60 * CIRCLE + [90, 0], 60 * CIRCLE - [90, 0]])
    fitted = fit([{"full_bust": shifts(both)}])["full_bust"]
    assert fitted["front"] == pytest.approx([0, 90 / 300, 60 / 300 / 2], abs=0.006)
    assert fitted["back"] == pytest.approx(fitted["front"], abs=1e-4)
    assert fitted["side_of_body"] == pytest.approx([0, 0, 60 / 120 / 2], abs=0.006)


def test_a_widest_place_in_front_of_the_middle_is_fitted_as_signed():
    """A triangle, its broad side in front: the corner is half the depth before the middle."""
    triangle = np.array([[-150.0, 100.0], [150.0, 100.0], [0.0, -100.0]])
    fitted = fit([{"waist": shifts(triangle)}])["waist"]
    assert fitted["side_of_body"] == pytest.approx([0.5, 0, 0], abs=1e-3)
