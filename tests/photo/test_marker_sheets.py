"""Marker sheets in drawn photos: where they are, and when they don't count."""

import numpy as np
import pytest

from ellwand.photo.marker_sheets import BOARD_CORNER_U_PX, find_marker_sheets
from ellwand.photo.reference import in_photo, rectangle
from tests.photo.drawing import encoded, paint, rounded_rectangle
from tests.photo.sheet_pictures import SHEET, corners, photo, printed, seen

# A picture of about one sheet at 0.55 px/mm, as in a whole photo of 1500 x 2000.
SMALL = 260, 200
# What each corner may be off (the task of the sheets: a thousandth of their width is 0.1 px).
MOST_PX = 0.15


def found_in(rgb, scale=1.0):
    search = find_marker_sheets(rgb, scale)
    assert search.hidden == 0
    return search.objects


@pytest.mark.parametrize(
    ("px_per_mm", "degrees", "tilt", "look"),
    [
        (0.55, 0, 0, {}),
        (0.55, 2, 0.1, {}),
        (0.55, -3, 0.2, {"blur": 0.8}),
        (0.55, 1, 0.1, {"noise": 4.0}),
        (0.55, 1, 0.1, {"exposure": 0.25}),
        (0.7, -1, 0.1, {}),
        (0.9, 5, 0.3, {"blur": 0.8, "noise": 3.0, "exposure": 0.5}),
    ],
    ids=["straight", "oblique", "blurred", "noisy", "dark", "nearer", "all at once"],
)
def test_the_corners_of_the_board_are_found(px_per_mm, degrees, tilt, look):
    to_photo = seen(px_per_mm, degrees, (30.4, 25.7), tilt)
    size = (int(300 * px_per_mm) + 60, int(230 * px_per_mm) + 60)
    (sheet,) = found_in(photo([(1, to_photo)], size, **look))
    assert (sheet.name, sheet.width_mm, sheet.height_mm) == ("sheet 1", 186, 248)
    assert np.abs(sheet.corners_px - corners(to_photo)).max() < MOST_PX


def offsets(px_per_mm, **look):
    """Errors (n, 4, 2) of the corners over sheets that fall differently on the pixels."""
    rng = np.random.default_rng(20261125)
    errors = []
    for seed in range(6):
        place = (28 + rng.uniform(), 24 + rng.uniform())
        to_photo = seen(px_per_mm, rng.uniform(-2, 2), place, rng.uniform(-0.2, 0.2))
        size = (int(300 * px_per_mm) + 60, int(230 * px_per_mm) + 60)
        (sheet,) = found_in(photo([(1, to_photo)], size, seed=seed, **look))
        errors.append(sheet.corners_px - corners(to_photo))
    return np.array(errors)


def test_the_middle_of_a_sheet_is_not_shifted():
    """Another pixel convention would show as half a pixel; this is a tenth of that."""
    assert np.abs(offsets(0.55).mean(axis=(0, 1))).max() < 0.05


def sizes_px(errors):
    """Mean error of width and height."""
    across = errors[:, [1, 2], 0] - errors[:, [0, 3], 0]
    down = errors[:, [2, 3], 1] - errors[:, [0, 1], 1]
    return across.mean(), down.mean()


@pytest.mark.parametrize(
    ("px_per_mm", "wall"),
    [
        (0.55, 0.85),
        (1.0, 0.85),
        (1.0, 0.2),
    ],
    ids=["far away", "near", "near, on a dark wall"],
)  # fmt: skip
def test_a_sheet_is_not_made_smaller(px_per_mm, wall):
    # 0.1 px of 186 mm at 0.55 px/mm are a thousandth: a third of a millimetre of a breadth, and
    # less than the doubt that is stated for one corner.
    assert np.abs(sizes_px(offsets(px_per_mm, wall=wall))).max() < 0.1 < BOARD_CORNER_U_PX


def two_sheets(**look):
    upper, lower = seen(0.6, 1, (30, 30), 0.1), seen(0.6, -1, (34, 270), 0.1)
    return upper, lower, photo([(1, upper), (2, lower)], (470, 190), **look)


def test_both_sheets_are_found_each_with_its_name():
    upper, lower, rgb = two_sheets()
    first, second = found_in(rgb)
    assert (first.name, second.name) == ("sheet 1", "sheet 2")
    assert np.abs(first.corners_px - corners(upper)).max() < MOST_PX
    assert np.abs(second.corners_px - corners(lower)).max() < MOST_PX


def test_searching_in_a_smaller_copy_finds_the_same_corners():
    upper, lower = seen(1.2, 1, (60, 60), 0.1), seen(1.2, -1, (68, 540), 0.1)
    rgb = photo([(1, upper), (2, lower)], (940, 380))
    for whole, half in zip(found_in(rgb), found_in(rgb, 0.5), strict=True):
        assert np.abs(whole.corners_px - half.corners_px).max() < 0.02


def covered(cover, px_per_mm=0.6):
    """Sheet 1 with something dark in front of a part of it (in millimetres of the board)."""
    to_photo = seen(px_per_mm, 1, (30, 30), 0.1)
    left, top, width, height = cover
    light = np.full((240, 200), 0.45)
    paint(light, printed(1), SHEET, to_photo)
    something = rounded_rectangle(width, height, 0, 0.2)
    place = np.array([[1, 0, left], [0, 1, top], [0, 0, 1]])
    paint(light, something, rectangle(width, height), to_photo @ place)
    return light


@pytest.mark.parametrize(
    "cover",
    [
        (-10, -10, 72, 300),
        (124, -10, 90, 300),
        (-10, -10, 230, 93),
        (-10, 166, 230, 130),
        # A forearm in the middle.
        (60, 60, 66, 130),
    ],
    ids=["left third", "right third", "upper third", "lower third", "middle"],
)
def test_a_sheet_that_is_partly_covered_does_not_count(cover):
    search = find_marker_sheets(encoded(covered(cover), 1.5), 1.0)
    assert (len(search.objects), search.hidden) == (0, 1)


@pytest.mark.parametrize(
    "cover",
    [(60, 90, 66, 80), (0, 0, 40, 40), (100, 150, 40, 140), (80, -10, 20, 300), (90, 100, 30, 50)],
)
def test_something_small_in_front_of_it_does_no_harm(cover):
    """Whether the sheet still counts or not: its corners are where they are."""
    truth = corners(seen(0.6, 1, (30, 30), 0.1))
    for sheet in find_marker_sheets(encoded(covered(cover), 1.5), 1.0).objects:
        assert np.abs(sheet.corners_px - truth).max() < 2 * BOARD_CORNER_U_PX


def test_one_sheet_whole_and_one_covered():
    upper, lower = seen(0.6, 1, (30, 30), 0.1), seen(0.6, -1, (34, 270), 0.1)
    rgb = photo([(1, upper), (2, lower)], (470, 190)).copy()
    rgb[350:] = 90
    search = find_marker_sheets(rgb, 1.0)
    assert ([sheet.name for sheet in search.objects], search.hidden) == (["sheet 1"], 1)


# The first corner is the upper left one as the sheet hangs.
@pytest.mark.parametrize(
    ("degrees", "corner", "size_mm", "first"),
    [
        (0, (30, 30), (186, 248), 0),
        (180, (150, 190), (186, 248), 2),
        (90, (190, 30), (248, 186), 3),
    ],
    ids=["upright", "upside down", "on its side"],
)  # fmt: skip
def test_however_a_sheet_hangs_its_corners_begin_at_the_upper_left(degrees, corner, size_mm, first):
    to_photo = seen(0.6, degrees, corner, 0.1)
    (sheet,) = found_in(photo([(1, to_photo)], (240, 240)))
    assert (sheet.width_mm, sheet.height_mm) == size_mm
    wanted = np.roll(corners(to_photo), -first, axis=0)
    assert np.abs(sheet.corners_px - wanted).max() < MOST_PX


@pytest.mark.parametrize(
    "rgb",
    [
        np.full((300, 200, 3), 128, np.uint8),
        np.random.default_rng(1).integers(0, 256, (300, 200, 3), np.uint8),
        photo([(1, seen(0.6, 0, (30, 30), 0))], SMALL, exposure=0.004, noise=2.0),
        photo([(1, seen(0.6, 0, (30, 30), 0))], SMALL, blur=6.0),
    ],
    ids=["plain wall", "noise", "almost black", "out of focus"],
)
def test_where_no_sheet_can_be_seen_none_is_found(rgb):
    search = find_marker_sheets(rgb, 1.0)
    assert (search.objects, search.hidden) == ((), 0)


def test_a_mirrored_sheet_is_no_sheet():
    rgb = photo([(1, seen(0.6, 0, (30, 30), 0))], SMALL)
    assert find_marker_sheets(np.ascontiguousarray(rgb[:, ::-1]), 1.0).objects == ()


def test_pixels_of_the_working_copy_count_from_the_first_pixels_centre():
    """The first of two pixels that become one: their middle lies at 0.5."""
    assert in_photo(np.array([0.0, 1.0]), 0.5).tolist() == [0.5, 2.5]
    assert in_photo(np.array([3.0]), 1.0).tolist() == [3.0]
