import numpy as np
import pytest
from scipy.special import ellipe

from calibration.profiles import armpit_heights_mm, profiles, skin_cut
from calibration.sections import LevelError, section
from calibration.slicing import cut, loop_extent
from tests.calibration.tubes import body, tube

# A tube has 360 flat sides: a circle of radius 150 loses 2 pi r (pi / 360)^2 / 6 = 0.012 mm.
ROUNDNESS_MM = 0.02

TRUNK = tube(150, 100, (0, 20), 700, 1400)
LEFT_ARM = tube(40, 40, (240, 0), 600, 1200)
RIGHT_ARM = tube(40, 40, (-240, 0), 600, 1200)


def test_the_girth_of_an_elliptic_tube_is_the_ellipse_perimeter():
    found = section(body(trunk=TRUNK), 1000)

    assert found.girth_mm == pytest.approx(4 * 150 * ellipe(1 - (100 / 150) ** 2), abs=ROUNDNESS_MM)


def test_breadth_depth_and_middles_are_those_of_the_ellipse():
    found = section(body(trunk=TRUNK), 1000)

    assert found.breadth_mm == pytest.approx(300, abs=ROUNDNESS_MM)
    assert found.depth_mm == pytest.approx(200, abs=ROUNDNESS_MM)
    assert found.middle_x_mm == pytest.approx(0, abs=ROUNDNESS_MM)
    assert found.middle_z_mm == pytest.approx(20, abs=ROUNDNESS_MM)


def test_a_tape_round_two_legs_bridges_the_gap_between_them():
    legs = body(left_leg=tube(80, 80, (100, 0), 0, 800), right_leg=tube(80, 80, (-100, 0), 0, 800))

    # Two half circles and two straight pieces from axis to axis.
    assert section(legs, 500).girth_mm == pytest.approx(2 * np.pi * 80 + 2 * 200, abs=ROUNDNESS_MM)


def test_arms_apart_are_left_out():
    alone = section(body(trunk=TRUNK), 1000)
    with_arms = section(body(trunk=TRUNK, left_arm=LEFT_ARM, right_arm=RIGHT_ARM), 1000)

    assert with_arms == alone


def test_an_arm_that_runs_into_the_trunk_is_left_out():
    pressed = tube(40, 40, (170, 0), 600, 1200)

    assert section(body(trunk=TRUNK, left_arm=pressed), 1000) == section(body(trunk=TRUNK), 1000)


def test_a_level_without_body_is_refused():
    with pytest.raises(LevelError):
        section(body(trunk=TRUNK), 1500)


def test_a_plane_through_vertices_still_gives_a_closed_loop():
    vertices, faces = TRUNK
    two = tube(150, 100, (0, 20), 1400, 1500)
    stacked = np.vstack([vertices, two[0]])
    found = cut(stacked, np.vstack([faces, two[1] + len(vertices)]), np.array([1400.0]))

    assert found.loop_count == 1
    assert [float(end[0]) for end in loop_extent(found, 0)] == pytest.approx(
        [-150, 150], abs=ROUNDNESS_MM
    )


def test_armpits_are_where_the_arms_end():
    arms = body(trunk=TRUNK, left_arm=LEFT_ARM, right_arm=tube(40, 40, (-240, 0), 600, 1150))
    rows = np.arange(1000.5, 1300, 1.0)

    assert armpit_heights_mm(skin_cut(arms, rows), arms.part) == (1199.5, 1149.5)


@pytest.mark.parametrize(
    ("view", "left", "right"), [("front", -150.0, 150.0), ("side", -80.0, 120.0)]
)
def test_an_outline_has_the_extents_of_the_trunk(view, left, right):
    seen = profiles(body(trunk=TRUNK, left_arm=LEFT_ARM, right_arm=RIGHT_ARM), view)
    rows = (seen.heights_mm > 1210) & (seen.heights_mm < 1390)

    assert seen.left_mm[rows] == pytest.approx(left, abs=ROUNDNESS_MM)
    assert seen.right_mm[rows] == pytest.approx(right, abs=ROUNDNESS_MM)


def test_an_arm_in_front_of_the_trunk_belongs_to_the_outline_unless_cut_away():
    touching = body(trunk=TRUNK, left_arm=tube(40, 40, (180, 0), 600, 1200), right_arm=RIGHT_ARM)
    row = 500  # height 1001 mm

    whole, trimmed = profiles(touching, "front"), profiles(touching, "front", arms=False)

    assert whole.right_mm[row] == pytest.approx(220, abs=ROUNDNESS_MM)
    assert whole.left_mm[row] == pytest.approx(-150, abs=ROUNDNESS_MM)
    assert whole.joined[row]
    assert trimmed.right_mm[row] == pytest.approx(150, abs=ROUNDNESS_MM)
    assert not trimmed.joined[row]
