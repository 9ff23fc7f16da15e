"""One look at a photo: what is put together, in which pixels, and what speaks against it.

Where the pose library would have to find a drawn figure, it is stood in for; where nobody is in
the picture it says so itself.
"""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from ellwand.photo import look
from ellwand.photo.intake import Photo
from ellwand.photo.look import Look, look_at
from ellwand.photo.reference import rectangle
from tests.photo.drawing import blurred, encoded, paint, rounded_rectangle
from tests.photo.figure import STATURE_MM, Figure
from tests.photo.sheet_pictures import PAPER, SHEET, corners, printed, seen

SIZE, SCALE = (1110, 1080), 0.6
FIGURE = Figure.standing(SIZE, SCALE, 640.3, 50.6)
UPPER, LOWER = seen(SCALE, 1, (50, 330), 0.05), seen(SCALE, -1, (55, 800), 0.05)
WALL = 0.5


@pytest.fixture(scope="module")
def light():
    """She beside two marker sheets."""
    room = np.full(SIZE, WALL)
    FIGURE.paint_into(room)
    for sheet, at in ((1, UPPER), (2, LOWER)):
        paint(room, printed(sheet), SHEET, at)
    return room


def photo(light, blur=0.6, exposure=1.0):
    return Photo(encoded(blurred(light, blur) * exposure, 1.5), 26.0)


@pytest.fixture
def found(monkeypatch):
    """The pose library finds the drawn figure, in whatever size it is shown, and nobody else."""
    body = FIGURE.body()

    def find(rgb):
        k = rgb.shape[0] / SIZE[0]
        marks = {
            name: ((x + 0.5) * k - 0.5, (y + 0.5) * k - 0.5)
            for name, (x, y) in body.landmarks_px.items()
        }
        mask = cv2.resize(body.mask, (rgb.shape[1], rgb.shape[0]), interpolation=cv2.INTER_AREA)
        return replace(body, landmarks_px=marks, mask=mask)

    monkeypatch.setattr(look, "find_body", find)
    monkeypatch.setattr(look, "steadied", lambda _rgb, same: same)
    monkeypatch.setattr(look, "find_second_body", lambda *_: None)
    return body


def codes(one):
    problems = one.problems if isinstance(one, Look) else one
    return [(problem.code, problem.severity) for problem in problems]


def look_in_front(picture, kind="marker-sheets", progress=lambda _: None):
    return look_at(picture, "front", kind, "a4", STATURE_MM, progress)


@pytest.mark.usefixtures("found")
def test_a_good_photo_has_a_body_an_outline_both_sheets_and_no_problem(light):
    told = []
    one = look_in_front(photo(light), progress=told.append)
    assert (one.problems, one.refused) == ((), False)
    assert (one.width_px, one.height_px, one.focal_35mm) == (1080, 1110, 26.0)
    assert [sheet.name for sheet in one.references] == ["sheet 1", "sheet 2"]
    for sheet, at in zip(one.references, (UPPER, LOWER), strict=True):
        assert np.abs(sheet.corners_px - corners(at)).max() < 0.15
    assert len(one.silhouette.armpits_px) == 2
    assert all(text.startswith("front photo: ") for text in told)


@pytest.mark.usefixtures("found")
def test_searching_in_a_smaller_copy_gives_the_same_in_pixels_of_the_photo(light, monkeypatch):
    whole = look_in_front(photo(light))
    monkeypatch.setattr(look, "WORKING_LONG_SIDE_PX", 832)
    small = look_in_front(photo(light))
    assert small.problems == ()
    for name, xy in whole.body.landmarks_px.items():
        assert small.body.landmarks_px[name] == pytest.approx(xy, abs=0.5)
    # Between armpit and crotch; a row of the copy is 1.33 rows of the photo.
    rows = np.arange(400.0, 560.0)
    for edge in ("left_px", "right_px"):
        one, other = (
            np.interp(rows, each.silhouette.rows_px, getattr(each.silhouette, edge))
            for each in (whole, small)
        )
        assert np.abs(one - other).max() < 0.4
    assert small.silhouette.foot_px == pytest.approx(whole.silhouette.foot_px, abs=1.5)
    assert small.silhouette.box_px == pytest.approx(whole.silhouette.box_px, abs=2)


def covered(light, *boxes):
    room = light.copy()
    for top, bottom, left, right in boxes:
        room[top:bottom, left:right] = WALL
    return room


WHOLE_UPPER, WHOLE_LOWER = (310, 520, 30, 200), (780, 990, 30, 200)
HALF_UPPER, HALF_LOWER = (400, 520, 30, 200), (870, 990, 30, 200)


@pytest.mark.usefixtures("found")
@pytest.mark.parametrize(
    ("kind", "boxes", "sheets", "told"),
    [
        ("marker-sheets", [], 2, []),
        ("marker-sheets", [HALF_UPPER], 1, [("one-sheet", "warned")]),
        # One sheet alone may be all that was hung.
        ("marker-sheets", [WHOLE_UPPER], 1, []),
        ("marker-sheets", [HALF_UPPER, HALF_LOWER], 0, [("reference-partly-hidden", "refused")]),
        ("marker-sheets", [WHOLE_UPPER, WHOLE_LOWER], 0, [("reference-missing", "refused")]),
        # Printed sheets are no blank ones, and no card.
        ("id-card", [], 0, [("reference-missing", "refused")]),
        # By her height alone, nothing is sought.
        ("stature", [WHOLE_UPPER, WHOLE_LOWER], 0, []),
    ],
    ids=["both", "one half covered", "one", "both half covered", "none", "card", "height"],
)
def test_what_is_said_about_the_object_of_known_size(light, kind, boxes, sheets, told):
    one = look_in_front(photo(covered(light, *boxes)), kind)
    assert (len(one.references), codes(one)) == (sheets, told)


@pytest.fixture(scope="module")
def blank():
    """She beside two sheets of blank A4."""
    room = np.full(SIZE, WALL)
    FIGURE.paint_into(room)
    for at in (UPPER, LOWER):
        paint(room, rounded_rectangle(210, 297, 0, PAPER), rectangle(210, 297), at)
    return room


@pytest.mark.usefixtures("found")
@pytest.mark.parametrize(
    ("chosen", "sheets", "told"),
    [
        (("plain-sheets", "a4"), 2, []),
        (("plain-sheets", "letter"), 0, [("paper-is-a4", "refused")]),
        (("marker-sheets", "a4"), 0, [("sheets-are-blank", "refused")]),
        (("id-card", "a4"), 0, [("reference-missing", "refused")]),
    ],
)
def test_where_other_sheets_hang_than_were_chosen_it_says_which(blank, chosen, sheets, told):
    one = look_at(photo(blank), "front", *chosen, STATURE_MM)
    assert (len(one.references), codes(one)) == (sheets, told)


@pytest.mark.usefixtures("found")
def test_printed_sheets_are_not_taken_for_blank_ones_that_are_covered(light):
    assert codes(look_in_front(photo(light), "plain-sheets")) == [("sheets-are-printed", "refused")]


@pytest.mark.usefixtures("found")
@pytest.mark.parametrize(
    ("spoilt", "told"),
    # Where nothing is to be seen, it says no more that the sheets are not.
    [({"exposure": 0.01}, "dark"), ({"blur": 6.0}, "blurred")],
)
def test_a_spoilt_photo_is_refused_for_that_alone(light, spoilt, told):
    one = look_in_front(photo(light, **spoilt))
    assert codes(one) == [(told, "refused")]
    assert one.refused


def test_with_another_person_nothing_is_said_of_how_either_stands(light, found, monkeypatch):
    monkeypatch.setattr(look, "find_second_body", lambda *_: found)
    monkeypatch.setattr(look, "find_body", lambda _: replace(found, turned_deg=60.0))
    assert codes(look_in_front(photo(light))) == [("several-people", "refused")]


def test_a_turned_body_is_refused_in_front_and_right_at_the_side(light, found, monkeypatch):
    monkeypatch.setattr(look, "find_body", lambda _: replace(found, turned_deg=88.0))
    assert codes(look_in_front(photo(light))) == [("shows-side", "refused")]
    side = look_at(photo(light), "side", "marker-sheets", "a4", STATURE_MM)
    assert not {"not-sideways", "shows-front"} & set(dict(codes(side)))


def test_upside_down_nothing_else_is_looked_at(light, found, monkeypatch):
    marks = {name: (x, SIZE[0] - y) for name, (x, y) in found.landmarks_px.items()}
    monkeypatch.setattr(look, "find_body", lambda _: replace(found, landmarks_px=marks))
    assert codes(look_in_front(photo(light))) == [("upside-down", "refused")]


@pytest.mark.parametrize(
    ("brightness", "told"), [(WALL, "nobody"), (0.001, "dark")], ids=["bright", "dark"]
)
def test_a_wall_without_anybody(brightness, told):
    """The pose library itself, on a picture in which there is nobody to find."""
    room = np.full(SIZE, brightness)
    if brightness == WALL:
        paint(room, printed(1), SHEET, UPPER)
    assert codes(look_in_front(photo(room))) == [(told, "refused")]


def test_head_and_shoulders_of_a_real_person_are_not_enough():
    """A photograph in the public domain, where the library that brings it is installed."""
    data = pytest.importorskip("skimage.data")
    picture = np.asarray(data.astronaut(), dtype=np.uint8)
    large = cv2.resize(picture, None, fx=2.5, fy=2.5, interpolation=cv2.INTER_CUBIC)
    one = look_in_front(Photo(np.asarray(large, np.uint8), None), "stature")
    assert ("body-cropped", "refused") in codes(one)
