"""The pinhole camera against OpenCV's own projection, and against itself backwards."""

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from ellwand.geometry.camera import focal_px, onto_plane, principal_point, project, rotation

# In thousandths: below 1e-5 OpenCV takes a rotation for none.
SMALL_ANGLE = st.integers(-500, 500).map(lambda thousandths: thousandths / 1000)


def test_focal_length_follows_the_diagonal_and_not_the_width():
    # 26 mm on a 4:3 photo: by the diagonal f = 26 * 5000 / 43.27; by the width it would be 3.9 %
    # less.
    assert focal_px(26, 4000, 3000) == pytest.approx(26 * 4000 / 34.61, rel=1e-3)
    assert focal_px(26, 4000, 3000) == focal_px(26, 3000, 4000)


def test_the_middle_of_the_first_pixel_is_zero():
    assert principal_point(3, 5).tolist() == [1, 2]


@pytest.mark.parametrize(
    ("angles", "point", "moves"),
    [
        # Camera 2 m before the wall at the origin's height, f = 1000 px; a point 200 mm away from
        # straight ahead is seen 100 px from the middle.
        ((0, 0, 0), (200, 0, 0), (100, 0)),
        ((0, 0, 0), (0, 200, 0), (0, -100)),
        # Looking to its right, the camera sees a point straight ahead on its left.
        ((0.1, 0, 0), (0, 0, 0), (-1000 * np.tan(0.1), 0)),
        # Tilted up, it sees that point lower.
        ((0, 0.1, 0), (0, 0, 0), (0, 1000 * np.tan(0.1))),
        # Rolled clockwise, it sees a point above the middle turned anticlockwise.
        ((0, 0, np.pi / 2), (0, 200, 0), (-100, 0)),
    ],
)
def test_axes_are_as_the_drawing_says(angles, point, moves):
    seen = project(
        np.array(angles, float),
        np.array([0.0, 0.0, 2000.0]),
        np.array(1000.0),
        np.zeros(2),
        np.array([point], float),
    )
    assert seen[0] == pytest.approx(moves, abs=1e-9)


@given(st.tuples(SMALL_ANGLE, SMALL_ANGLE, SMALL_ANGLE), st.integers(0, 2**31))
def test_projection_equals_opencvs(angles, seed):
    rng = np.random.default_rng(seed)
    angles = np.array(angles)
    position = np.array([100.0, 1100.0, 2700.0]) + rng.normal(size=3) * 100
    points = rng.normal(size=(7, 3)) * 300 + [0, 1000, 0]
    centre = principal_point(1500, 2000)
    seen = project(angles, position, np.array(1500.0), centre, points)
    turn = rotation(angles)
    matrix = np.array([[1500, 0, centre[0]], [0, 1500, centre[1]], [0, 0, 1]])
    # OpenCV's world has y down and z away, ours y up and z near: nearly half a turn, for which a
    # rotation vector loses digits, so the points are turned first. OpenCV's own conversion takes
    # turns below 1e-5 for none.
    half = np.diag([1.0, -1.0, -1.0])
    vector = Rotation.from_matrix(turn @ half).as_rotvec()
    theirs, _ = cv2.projectPoints(points @ half, vector, -turn @ position, matrix, None)
    assert seen == pytest.approx(theirs[:, 0], abs=1e-6)
    back = onto_plane(angles, position, np.array(1500.0), centre, seen, points[:, 2])
    assert back == pytest.approx(points[:, :2], abs=1e-6)


def test_many_cameras_at_once_give_what_each_gives():
    rng = np.random.default_rng(3)
    angles = rng.normal(size=(4, 3)) * 0.1
    position = np.array([0.0, 0.0, 2500.0]) + rng.normal(size=(4, 3)) * 50
    focal = 1500 + rng.normal(size=4)
    points = rng.normal(size=(4, 6, 3)) * 200
    together = project(angles, position, focal, np.zeros(2), points)
    for i in range(4):
        alone = project(angles[i], position[i], focal[i], np.zeros(2), points[i])
        assert together[i] == pytest.approx(alone, abs=1e-9)


def test_a_body_taken_for_the_wall_comes_out_too_wide():
    """15 cm in front of the wall at 2.7 m: 5.6 %."""
    camera = (np.zeros(3), np.array([0.0, 0.0, 2700.0]), np.array(1500.0), np.zeros(2))
    edges = np.array([[-150.0, 0, 150], [150.0, 0, 150]])
    pixels = project(*camera, edges)
    right = onto_plane(*camera, pixels, np.full(2, 150.0))
    wrong = onto_plane(*camera, pixels, np.zeros(2))
    assert np.ptp(right[:, 0]) == pytest.approx(300)
    assert np.ptp(wrong[:, 0]) == pytest.approx(300 / (1 - 150 / 2700))
