"""How she stands, judged from landmarks placed by hand."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from ellwand.photo.body import LANDMARKS, Body
from ellwand.photo.outline import Silhouette
from ellwand.photo.quality import (
    blurred,
    body_problems,
    exchanged,
    is_another_person,
    too_dark,
    upside_down,
)

SIZE = (1500, 2000)
ROWS = np.arange(600.0, 1800.0)


def person(arm_deg=55.0, lean_px=0.0, turned_deg=0.0, **moved):
    """A woman of 1300 px in the middle of the picture, arms straight at an angle."""
    marks = {}
    places = {
        "eye": (20, 470),
        "ear": (40, 480),
        "shoulder": (110, 680),
        "hip": (60, 1050),
        "knee": (60, 1400),
        "ankle": (60, 1720),
        "heel": (60, 1740),
        "toe": (65, 1770),
    }
    for part, (aside, row) in places.items():
        for side, sign in (("left", 1), ("right", -1)):
            lean = lean_px * (1720 - row) / 1040
            marks[f"{side}_{part}"] = (750 + sign * aside + lean, float(row))
    slope = np.radians(arm_deg)
    for part, along in (("elbow", 220), ("wrist", 420), ("index", 480)):
        for side, sign in (("left", 1), ("right", -1)):
            x, y = marks[f"{side}_shoulder"]
            marks[f"{side}_{part}"] = (
                x + sign * along * np.sin(slope), y + along * np.cos(slope))  # fmt: skip
    marks["nose"] = (750.0, 490.0)
    marks.update(moved)
    seen = dict.fromkeys(LANDMARKS, 0.99)
    return Body(marks, seen, np.zeros((2000, 1500), np.float32), turned_deg)


def outline(box=(250.0, 420.0, 1250.0, 1790.0), half=150.0):
    return Silhouette(
        rows_px=ROWS,
        left_px=np.full(len(ROWS), 750 - half),
        right_px=np.full(len(ROWS), 750 + half),
        clear=np.ones((len(ROWS), 2), bool),
        armpits_px=np.zeros((0, 2)),
        foot_px=np.array([750.0, 1790.0]),
        box_px=box,
        polygon_px=np.zeros((4, 2)),
    )


@pytest.mark.parametrize(
    ("body", "codes"),
    [
        (person(), []),
        (person(arm_deg=50.0), []),
        (person(arm_deg=36.0), ["arms-low"]),
        (person(arm_deg=12.0), ["arms-against-torso"]),
        (person(turned_deg=40.0), ["turned"]),
        (person(turned_deg=-15.0), []),
        (person(turned_deg=180.0), ["turned"]),
        (person(arm_deg=0.0, turned_deg=-85.0), ["shows-side"]),
        (person(turned_deg=85.0, lean_px=180.0), ["shows-side", "leaning"]),
        (person(lean_px=180.0), ["leaning"]),
        (person(left_toe=(800.0, 2020.0)), ["body-cropped"]),
    ],
    ids=["well", "at 50", "low", "hanging", "turned", "a little", "back", "from the side",
         "from the side and leaning", "leaning", "cropped"],
)  # fmt: skip
def test_the_front_photo(body, codes):
    assert [one.code for one in body_problems("front", body, outline(), SIZE)] == codes


@pytest.mark.parametrize(
    ("turned", "codes"),
    [
        (90.0, []),
        (-80.0, []),
        (45.0, ["not-sideways"]),
        (0.0, ["shows-front"]),
        (170.0, ["shows-front"]),
    ],
)
def test_the_side_photo(turned, codes):
    body = person(arm_deg=0.0, turned_deg=turned)
    assert [one.code for one in body_problems("side", body, outline(), SIZE)] == codes


def test_where_the_two_may_be_exchanged_it_is_asked_first():
    for view, turned in (("front", 90.0), ("side", 0.0)):
        found = body_problems(view, person(turned_deg=turned), outline(), SIZE)
        assert "Have you exchanged the two photos?" in found[0].advice


def test_a_forearm_held_forward_is_seen_from_the_side():
    body = person(arm_deg=0.0, turned_deg=90.0, left_wrist=(1100.0, 900.0))
    body = replace(body, visibility={**body.visibility, "right_wrist": 0.2})
    found = body_problems("side", body, outline(), SIZE)
    assert [one.code for one in found] == ["hand-outside-outline"]


def test_what_touches_the_border_is_cut_off_and_what_is_small_is_too_small():
    at_border = outline(box=(0.0, 420.0, 1250.0, 1790.0))
    assert [p.code for p in body_problems("front", person(), at_border, SIZE)] == ["body-cropped"]
    small = outline(box=(600.0, 900.0, 900.0, 1500.0))
    assert [p.code for p in body_problems("front", person(), small, SIZE)] == ["too-small"]


@pytest.mark.parametrize(
    ("box", "words"),
    [
        ((250.0, 420.0, 1250.0, 1998.0), "Step back: your feet are cut off."),
        ((250.0, 0.0, 1250.0, 1790.0), "Step back: your head is cut off."),
        ((0.0, 0.0, 1250.0, 1998.0), "Step back: your head and your feet are cut off."),
        ((0.0, 420.0, 1250.0, 1790.0), "Move to the middle of the picture, or step back: you are "
         "cut off at one side."),
    ],
)  # fmt: skip
def test_what_is_cut_off_is_named(box, words):
    (found,) = body_problems("front", person(), outline(box=box), SIZE)
    assert found.cue == words


def test_upside_down_is_feet_above_head():
    body = person()
    turned = {name: (x, 2000 - y) for name, (x, y) in body.landmarks_px.items()}
    assert not upside_down(body)
    assert upside_down(replace(body, landmarks_px=turned))


def test_exchanged_photos_show_a_side_in_front_and_a_front_at_the_side():
    front, side = person(turned_deg=3.0), person(turned_deg=-85.0)
    assert exchanged(side, front)
    assert not exchanged(front, side)
    assert not exchanged(side, side)


def test_a_pattern_of_the_wall_is_no_person():
    faint = replace(person(), visibility=dict.fromkeys(LANDMARKS, 0.3))
    assert is_another_person(person(), person())
    assert not is_another_person(person(), faint)


def test_dark_is_when_even_the_brightest_is_dark():
    assert too_dark(np.full((400, 300, 3), 40, np.uint8))
    lamp = np.full((400, 300, 3), 40, np.uint8)
    lamp[:40] = 200
    assert not too_dark(lamp)


@pytest.mark.parametrize(("sigma", "expected"), [(1.0, False), (2.0, False), (6.0, True)])
def test_blur_shows_at_the_edges_of_the_body(sigma, expected):
    picture = np.full((2000, 1500, 3), 200, np.uint8)
    picture[:, 600:900] = 60
    assert blurred(cv2.GaussianBlur(picture, (0, 0), sigma), outline()) is expected
