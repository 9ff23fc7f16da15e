"""Blank paper and cards in drawn photos, beside other things that are not what is sought."""

import numpy as np
import pytest

from ellwand.photo import sheets
from ellwand.photo.plain_rectangles import EDGE_CORNER_U_PX, find_plain_rectangles
from ellwand.photo.reference import mapped, rectangle
from tests.photo.drawing import blurred, encoded, paint, rounded_rectangle, turned

PX_PER_MM = 0.6
STATURE_MM = 1650.0
SIZE = 1200, 900
# Where she stands: 990 px tall, on the right.
BODY = (600.0, 100.0, 800.0, 1090.0)
WALL, PAPER, CLOTHES = 0.3, 0.8, 0.05
A4, LETTER, CARD = (210.0, 297.0), (215.9, 279.4), (53.98, 85.60)


def wall(*things, light=WALL, blur=0.6, noise=1.5, px_per_mm=PX_PER_MM):
    """A photo with rectangles on a wall: (width, height, radius in mm, light, homography)."""
    k = px_per_mm / PX_PER_MM
    picture = np.full((round(SIZE[0] * k), round(SIZE[1] * k)), light)
    left, top, right, bottom = (round(k * edge) for edge in BODY)
    picture[top:bottom, left:right] = CLOTHES
    for width, height, radius, shade, place in things:
        paint(picture, rounded_rectangle(width, height, radius, shade),
              rectangle(width, height), place)  # fmt: skip
    return encoded(blurred(picture, blur), noise)


def place(degrees=0.8, x=150.3, y=200.7, scale=PX_PER_MM, tilt=0.05):
    """Hung a little crooked, and seen a little from aside (`tilt`: change of scale per metre)."""
    away = np.array([[1, 0, 0], [0, 1, 0], [tilt / 1000, 0.5 * tilt / 1000, 1]])
    return np.array(turned(degrees, scale, x, y) @ away)


def search(rgb, sides=A4, kind="sheet", k=1.0):
    box = tuple(k * edge for edge in BODY)
    return find_plain_rectangles(rgb, 1.0, sides, box, STATURE_MM, kind)


@pytest.mark.parametrize("sides", [A4, LETTER], ids=["A4", "Letter"])
@pytest.mark.parametrize("degrees", [-4.0, -0.7, 0.4, 3.0])
def test_a_sheet_of_paper_is_found_to_its_stated_uncertainty(sides, degrees):
    at = place(degrees)
    (found,) = search(wall((*sides, 0, PAPER, at)), sides).objects
    assert (found.name, found.width_mm, found.height_mm) == ("sheet", *sides)
    assert np.abs(found.corners_px - mapped(at, rectangle(*sides))).max() < EDGE_CORNER_U_PX


def test_paper_on_its_side_has_its_sides_exchanged():
    at = place(1.0)
    (found,) = search(wall((297, 210, 0, PAPER, at))).objects
    assert (found.width_mm, found.height_mm) == (297, 210)
    assert np.abs(found.corners_px - mapped(at, rectangle(297, 210))).max() < EDGE_CORNER_U_PX


def test_two_sheets_come_from_the_top_down():
    upper, lower = place(0.5), place(-1.0, 160, 700)
    rgb = wall((*A4, 0, PAPER, lower), (*A4, 0, PAPER, upper))
    found = search(rgb).objects
    assert len(found) == 2
    for one, at in zip(found, (upper, lower), strict=True):
        assert np.abs(one.corners_px - mapped(at, rectangle(*A4))).max() < EDGE_CORNER_U_PX


# A card of 86 mm needs the photo as the camera made it: about 1.2 px/mm.
NEAR = 1.2


@pytest.mark.parametrize("shade", [0.75, 0.02], ids=["light card", "dark card"])
@pytest.mark.parametrize("across", [True, False], ids=["lying", "standing"])
def test_a_card_is_found_by_its_straight_sides(shade, across):
    size = CARD[::-1] if across else CARD
    at = place(1.0, 260.3, 600.7, NEAR)
    radius = sheets.CARD_CORNER_RADIUS_MM
    rgb = wall((*size, radius, shade, at), px_per_mm=NEAR)
    (found,) = search(rgb, CARD, "card", k=2.0).objects
    assert (found.name, found.width_mm, found.height_mm) == ("card", *size)
    assert np.abs(found.corners_px - mapped(at, rectangle(*size))).max() < EDGE_CORNER_U_PX


@pytest.mark.parametrize(
    "thing",
    [
        # A square, a window, a picture of a tall format, a switch, a door.
        (210, 210, 0),
        (300, 380, 0),
        (150, 297, 0),
        (60, 85, 0),
        (800, 1130, 0),
        # Round as a plate.
        (250, 250, 125),
    ],
    ids=["square", "window", "tall picture", "switch", "door of the shape of paper", "plate"],
)
def test_what_is_not_of_the_size_and_shape_of_paper_is_not_taken(thing):
    width, height, radius = thing
    at = place(0.0, 20, 200) if width == 800 else place()
    found = search(wall((width, height, radius, PAPER, at)))
    assert (found.objects, found.hidden) == ((), 0)


def test_letter_paper_is_not_taken_for_a4_nor_the_other_way_round():
    for hung, typed in ((A4, LETTER), (LETTER, A4)):
        assert search(wall((*hung, 0, PAPER, place())), typed).objects == ()


def test_her_own_clothes_are_no_sheet():
    assert search(wall()).objects == ()


def test_white_paper_on_a_white_wall_is_not_to_be_seen():
    assert search(wall((*A4, 0, PAPER, place()), light=PAPER)).objects == ()


def test_paper_a_little_lighter_than_the_wall_is_enough():
    at = place()
    (found,) = search(wall((*A4, 0, PAPER, at), light=0.6)).objects
    assert np.abs(found.corners_px - mapped(at, rectangle(*A4))).max() < EDGE_CORNER_U_PX


def test_half_a_sheet_behind_her_does_not_count():
    at = place(0.8, 530, 300)
    rgb = wall((*A4, 0, PAPER, at), ((BODY[2] - BODY[0]) / PX_PER_MM, 900, 0, CLOTHES,
               turned(0, PX_PER_MM, BODY[0], 100)))  # fmt: skip
    assert search(rgb).objects == ()


def test_a_sheet_is_found_beside_a_window_and_a_socket():
    at = place()
    rgb = wall(
        (*A4, 0, PAPER, at),
        (300, 380, 0, 0.95, place(0, 380, 120)),
        (80, 80, 5, 0.9, place(0, 200, 900)),
    )
    (found,) = search(rgb).objects
    assert np.abs(found.corners_px - mapped(at, rectangle(*A4))).max() < EDGE_CORNER_U_PX


def test_a_smaller_working_copy_finds_the_same():
    at = place(1.5, 260.3, 400.7, NEAR)
    rgb = wall((*A4, 0, PAPER, at), px_per_mm=NEAR)
    box = tuple(2 * edge for edge in BODY)
    for scale in (1.0, 0.5):
        (found,) = find_plain_rectangles(rgb, scale, A4, box, STATURE_MM, "sheet").objects
        assert np.abs(found.corners_px - mapped(at, rectangle(*A4))).max() < EDGE_CORNER_U_PX


def test_a_sheet_that_is_too_near_or_too_far_for_her_size_is_none():
    """A third larger or smaller than she is cannot be the paper beside her."""
    for scale in (0.6 * PX_PER_MM, 1.5 * PX_PER_MM):
        assert search(wall((*A4, 0, PAPER, place(scale=scale)))).objects == ()
