"""Edges to a fraction of a pixel, on rectangles whose corners are known."""

import cv2
import numpy as np
import pytest

from ellwand.photo.edges import linear_light, refine_quad
from ellwand.photo.plain_rectangles import EDGE_CORNER_U_PX
from ellwand.photo.reference import mapped, rectangle
from tests.photo.drawing import blurred, encoded, paint, rounded_rectangle, turned

WIDTH, HEIGHT = 110, 150
PLACE = np.array([45, 35])


def grey(value):
    return np.full((1, 1, 3), value, np.uint8)


@pytest.mark.parametrize(
    ("code", "light"),
    [
        # IEC 61966-2-1: L = C / 12.92 up to C = 0.04045, ((C + 0.055) / 1.055)^2.4 above.
        (0, 0.0),
        (1, 1 / 255 / 12.92),
        (10, 10 / 255 / 12.92),
        (11, ((11 / 255 + 0.055) / 1.055) ** 2.4),
        # The middle of the code values is about a fifth of the light; half the light is 188.
        (128, 0.21586),
        (188, 0.50289),
        (255, 1.0),
    ],
)
def test_code_values_become_light_by_the_srgb_curve(code, light):
    assert linear_light(grey(code))[0, 0] == pytest.approx(light, abs=1e-5)


@pytest.mark.parametrize(
    ("colour", "weight"),
    # ITU-R BT.709.
    [((255, 0, 0), 0.2126), ((0, 255, 0), 0.7152), ((0, 0, 255), 0.0722)],
)
def test_colours_weigh_as_the_eye_sees_them(colour, weight):
    assert linear_light(np.array([[colour]], np.uint8))[0, 0] == pytest.approx(weight, abs=1e-6)


def test_the_drawings_encode_what_this_decodes():
    light = np.linspace(0, 1, 256).reshape(16, 16)
    # Half a code value is at most 0.0045 of full light, where the curve is steepest.
    assert linear_light(encoded(light)) == pytest.approx(light, abs=0.0045)


def test_half_a_pixel_of_white_is_half_the_light():
    light = np.zeros((4, 4))
    paint(light, rounded_rectangle(1, 1, 0, 1.0), rectangle(1, 1), turned(0, 1, 1.0, 0.5))
    # From 1.0 to 2.0 across, half of the pixels 1 and 2; from 0.5 to 1.5 down, all of pixel 1.
    assert light.tolist() == [[0, 0, 0, 0], [0, 0.5, 0.5, 0], [0, 0, 0, 0], [0, 0, 0, 0]]


def sheet(degrees, place, blur=0.0, noise=0.0, radius=0.0, lights=(0.1, 0.8)):
    """A light rectangle on a darker wall, and where its corners truly are."""
    light = np.full((240, 210), lights[0])
    to_photo = turned(degrees, 1.0, *(PLACE + place))
    corners = rectangle(WIDTH, HEIGHT)
    paint(light, rounded_rectangle(WIDTH, HEIGHT, radius, lights[1]), corners, to_photo)
    return encoded(blurred(light, blur), noise), mapped(to_photo, corners)


# The rectangle's place where it is not turned.
UPRIGHT = rectangle(WIDTH, HEIGHT) + PLACE
# How far off the rough corners are.
ROUGH = np.array([[2, -1.5], [-2, 1], [1, 2], [2, -2]])


def error_px(rgb, truth, radius=0.0):
    found = refine_quad(linear_light(rgb), truth + ROUGH, radius)
    assert found is not None
    return np.abs(found[0] - truth).max()


# OpenCV looks up pixels between pixels to 1/32 only, so nothing is better than about 0.03 px.
SHARP_PX = 0.05


@pytest.mark.parametrize("place", [(0, 0), (0.3, 0.7), (0.5, 0.5)])
@pytest.mark.parametrize("degrees", [-5, -2, 0, 1, 5])
def test_corners_of_a_sharp_rectangle_are_found_to_hundredths_of_a_pixel(degrees, place):
    assert error_px(*sheet(degrees, place)) < SHARP_PX


@pytest.mark.parametrize(
    ("blur", "noise", "radius", "lights"),
    [
        (0.6, 0, 0, (0.1, 0.8)),
        (0.6, 2, 0, (0.1, 0.8)),
        # A card: corners of 3.18 mm at about 1.2 px/mm.
        (0.6, 2, 4, (0.1, 0.8)),
        # A dark card on a light wall, and white paper on a light grey wall.
        (0.6, 1, 0, (0.7, 0.05)),
        (0.6, 1, 0, (0.5, 0.75)),
    ],
    ids=["blurred", "noisy", "rounded", "dark on light", "little contrast"],
)
@pytest.mark.parametrize("degrees", [-5, -1, 2])
def test_so_they_are_in_an_ordinary_photo(degrees, blur, noise, radius, lights):
    rgb, truth = sheet(degrees, (0.3, 0.7), blur, noise, radius, lights)
    assert error_px(rgb, truth, radius) < SHARP_PX


def test_light_and_dark_count_alike_so_paper_is_not_made_larger():
    """In code values instead of light, the same rectangle comes out larger."""
    rgb, truth = sheet(3, (0.2, 0.1), blur=0.6)
    in_code_values = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY).astype(np.float32) / 255
    sizes = []
    for light in (linear_light(rgb), in_code_values):
        corners, _ = refine_quad(light, truth + ROUGH, 0.0)
        sizes.append(np.hypot(*(corners[1] - corners[0])) - WIDTH)
    assert abs(sizes[0]) < SHARP_PX
    assert sizes[1] > 0.2


@pytest.mark.parametrize("degrees", [0.0, 0.3, 1.2])
def test_hung_almost_level_a_blurred_sheet_keeps_its_size(degrees):
    """An edge then falls on the same pixels all along, and their errors don't average out.

    Corners stay within their stated uncertainty; opposite edges err alike, so the size is better.
    """
    errors, sizes = [], []
    for i, place in enumerate([(0, 0), (0.3, 0.7), (0.5, 0.5), (0.8, 0.2)]):
        rgb, truth = sheet(degrees, place, blur=1.2, noise=1 + i / 10)
        corners, _ = refine_quad(linear_light(rgb), truth + ROUGH, 0.0)
        errors.append(np.abs(corners - truth).max())
        sizes.append(np.hypot(*(corners[1] - corners[0])) - WIDTH)
        sizes.append(np.hypot(*(corners[2] - corners[1])) - HEIGHT)
    assert max(errors) < EDGE_CORNER_U_PX
    # A tenth of a pixel of 110 is a thousandth of the scale.
    assert abs(np.mean(sizes)) < 0.1


def test_the_distance_of_edge_points_from_their_lines_is_told():
    rgb, truth = sheet(2, (0, 0), blur=0.6)
    straight = refine_quad(linear_light(rgb), truth, 0.0)
    rgb, _ = sheet(2, (0, 0), blur=0.6, noise=8)
    rough = refine_quad(linear_light(rgb), truth, 0.0)
    assert straight[1] < rough[1] < 0.8


def test_where_a_side_is_missing_there_is_no_rectangle():
    """A white sheet over the edge of a white board: its lower side is not to be seen."""
    light = np.full((240, 210), 0.1)
    light[170:] = 0.8
    paint(light, rounded_rectangle(WIDTH, HEIGHT, 0, 0.8), rectangle(WIDTH, HEIGHT),
          turned(0, 1, *PLACE))  # fmt: skip
    assert refine_quad(linear_light(encoded(light)), UPRIGHT, 0) is None


def test_where_a_side_is_crooked_there_is_no_rectangle():
    """The lower side is torn: it goes up and down by 4 px in waves of 60 px."""
    light = np.full((240, 210), 0.1)

    def torn(points):
        lower = HEIGHT + 4 * np.sin(points[:, 0] * 2 * np.pi / 60)
        x, y = points.T
        return np.where((x > 0) & (x < WIDTH) & (y > 0) & (y < lower), 0.8, np.nan)

    paint(light, torn, rectangle(WIDTH, HEIGHT + 4), turned(0, 1, *PLACE))
    assert refine_quad(linear_light(encoded(light)), UPRIGHT, 0) is None


def test_a_rectangle_of_a_few_pixels_is_too_small_to_fit():
    light, place = np.full((40, 40), 0.1), np.array([15, 14])
    paint(light, rounded_rectangle(9, 12, 0, 0.8), rectangle(9, 12), turned(0, 1, *place))
    assert refine_quad(linear_light(encoded(light)), rectangle(9, 12) + place, 0) is None


def test_a_wall_without_anything_has_no_rectangle():
    light = linear_light(encoded(np.full((240, 210), 0.5), noise=1))
    assert refine_quad(light, UPRIGHT, 0) is None
