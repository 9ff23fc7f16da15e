"""A camera found from one flat object alone."""

import numpy as np
import pytest

from ellwand.geometry.camera import principal_point, project
from ellwand.geometry.pose import flat_poses, least_oblique_deg
from ellwand.photo.reference import ReferenceObject

CENTRE = principal_point(1500, 2000)
FOCAL = 1500.0
CORNERS = np.array([[-93, 124, 0], [93, 124, 0], [93, -124, 0], [-93, -124, 0]], float)


def seen(yaw_deg, pitch_deg=0.0, roll_deg=0.0):
    """A board at the origin, and the camera 2.5 m away that looks straight at it."""
    angles = np.radians([yaw_deg, pitch_deg, roll_deg])
    yaw, pitch = angles[0], angles[1]
    position = -2500.0 * np.array(
        [np.sin(yaw) * np.cos(pitch), np.sin(pitch), -np.cos(yaw) * np.cos(pitch)]
    )
    pixels = project(angles, position, np.array(FOCAL), CENTRE, CORNERS)
    return ReferenceObject("sheet 1", 186, 248, pixels, 0.1), angles, position


@pytest.mark.parametrize("angles", [(20, 0, 0), (-25, 5, 2), (10, -12, -3)])
def test_the_better_of_both_poses_is_the_camera(angles):
    reference, true_angles, position = seen(*angles)
    found_angles, found_position = flat_poses(reference, FOCAL, CENTRE)[0]
    assert np.degrees(found_angles) == pytest.approx(np.degrees(true_angles), abs=0.05)
    assert found_position == pytest.approx(position, abs=2.0)


def test_how_oblique_the_phone_looks_is_told_by_the_object_that_says_least():
    straight, aside = seen(3.0)[0], seen(30.0)[0]
    assert least_oblique_deg([aside], FOCAL, CENTRE) == pytest.approx(30.0, abs=0.1)
    assert least_oblique_deg([aside, straight], FOCAL, CENTRE) < 4.0
    assert least_oblique_deg([], FOCAL, CENTRE) == 0.0
