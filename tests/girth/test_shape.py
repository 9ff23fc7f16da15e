"""What is read off both outlines, on a body of ellipses whose measures are known."""

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from ellwand.geometry.levels import Level
from ellwand.geometry.obliquity import seen_square
from ellwand.girth import shape as module
from ellwand.girth.ellipse import ellipse_perimeter
from ellwand.girth.shape import COLLAR, RUNGS, feature_names, read_shape
from tests import elliptic_body as drawn
from tests.elliptic_body import STATURE, EllipticBody, looks, scene_of

BODY = EllipticBody()
LEVELS = {
    "high_bust": Level(1236.0, shown=True),
    "full_bust": Level(drawn.BUST, shown=True),
    "underbust": Level(1120.0, shown=True),
    "waist": Level(drawn.WAIST, shown=True),
    "high_hip": Level(drawn.WAIST - 90.0, shown=True),
    "full_hip": Level(drawn.SEAT, shown=True),
}
HEIGHTS = {
    **{code: level.height_mm for code, level in LEVELS.items()},
    COLLAR: 1236.0 + 30.0,
    **{f"{rung:.2f}": rung * STATURE for rung in RUNGS},
}
# Rows are 1.7 mm apart, an edge is read by a line through seven of them, and the solution itself is
# good to half a millimetre where an edge stands still.
SEVEN_ROWS_MM, HALF_ROW_MM, STILL_MM = 3.5 * 1.7, 0.85, 0.5


def read(both):
    scene = scene_of(both)
    return read_shape(scene, seen_square(scene, BODY.obliquity()), both, LEVELS)


@lru_cache
def read_facing(facing):
    return read(looks(BODY, facing))


def features(shape, moved=()):
    """Features by name at the best inputs, or with some of them moved: (place in inputs, value)."""
    inputs = np.array([[entry.value for entry in shape.inputs]])
    for place, value in moved:
        inputs[0, place] = value
    values = shape(inputs)[0]
    return {**dict(zip(feature_names(), values, strict=False)), "stature": values[-1]}


def first_of(shape, block):
    """Place in the inputs of the first one of a block."""
    count = 0
    for name, entries in shape.blocks().items():
        if name == block:
            return count
        count += len(entries)
    raise KeyError(block)


def edge_of(shape, place, view, end):
    """Place in the inputs of one edge: view and end count 0, 1 from the front and from the left."""
    places = [one.name for one in shape.places]
    return first_of(shape, "edge") + 4 * places.index(place) + 2 * view + end


@pytest.mark.parametrize("facing", [1, -1])
def test_features_are_the_measures_of_the_body(facing):
    found = features(read_facing(facing))
    rungs = [rung * STATURE for rung in RUNGS]
    middle = np.mean([BODY.middle(height) for height in rungs])

    def at(kind, height, order=0):
        """A measure, or what it changes by per mm of height."""
        front, back = BODY.front(height, order), BODY.back(height, order)
        return {
            "breadth": (2 * BODY.half_breadth(height, order), 0),
            "depth": (front, -back),
            "front": (front, 0 if order else -middle),
            "back": (back, 0 if order else -middle),
        }[kind]

    for name in feature_names():
        place, kind = name.rsplit(".", 1)
        if place == "shoulders":
            continue
        if kind == "height":
            assert found[name] == pytest.approx(HEIGHTS[place], abs=0.1), name
        elif kind != "ellipse":
            # The mean of a bend over h either way is off by bend * h^2 / 6.
            bends = np.abs(at(kind, HEIGHTS[place], 2)).sum()
            slopes = np.abs(at(kind, HEIGHTS[place], 1)).sum()
            close = STILL_MM + slopes * HALF_ROW_MM + bends * SEVEN_ROWS_MM**2 / 6
            assert found[name] == pytest.approx(sum(at(kind, HEIGHTS[place])), abs=close), name
    assert found["shoulders.breadth"] == pytest.approx(330.0, abs=0.1)
    assert found["shoulders.height"] == pytest.approx(1350.0, abs=0.1)
    assert found["stature"] == pytest.approx(STATURE, abs=0.01)


@pytest.mark.parametrize("place", ["waist", "full_hip", "0.60"])
def test_an_ellipse_feature_is_the_perimeter_of_breadth_and_depth(place):
    height = HEIGHTS[place]
    girth = ellipse_perimeter(np.array(BODY.breadth(height)), np.array(BODY.depth(height)))
    # A perimeter changes by at most 2 mm per mm of breadth or depth.
    assert features(read_facing(1))[f"{place}.ellipse"] == pytest.approx(girth, abs=4 * STILL_MM)


def test_facing_left_or_right_gives_the_same_features():
    right, left = (features(read_facing(facing)) for facing in (1, -1))
    assert left == pytest.approx(right, abs=0.01)


def test_at_the_high_bust_and_above_the_armpit_nothing_is_read_from_the_front():
    names = feature_names()
    assert len(set(names)) == len(names)
    assert not {"high_bust.breadth", "high_bust.ellipse", f"{COLLAR}.breadth"} & set(names)
    ellipses = [name for name in names if name[0].isdigit() and name.endswith("ellipse")]
    assert ellipses == [f"{rung:.2f}.ellipse" for rung in RUNGS if rung < 0.745]


def test_inputs_are_all_that_can_be_off():
    shape = read_facing(1)
    sizes = {name: len(entries) for name, entries in shape.blocks().items()}
    places = len(LEVELS) + 1 + len(RUNGS)
    assert sizes == {
        "observations": len(shape.scene.solution.causes),
        "plane": 2,
        "turn": 1,
        "common": 4,
        "edge": 4 * places,
        "shoulders": 4,
        "bends": 0,
        "placed": 0,
    }
    assert len(shape.inputs) == sum(sizes.values())
    assert all(entry.u > 0 for entry in shape.inputs)


def test_an_edge_one_millimetre_farther_out_widens_its_own_place_only():
    shape = read_facing(1)
    plain = features(shape)
    moved = features(shape, [(edge_of(shape, "waist", 0, 1), 1.0)])
    changed = {name: moved[name] - plain[name] for name in plain if moved[name] != plain[name]}
    a, b = plain["waist.breadth"], plain["waist.depth"]
    grown = ellipse_perimeter(np.array(a + 1), np.array(b)) - ellipse_perimeter(
        np.array(a), np.array(b)
    )
    assert changed == pytest.approx({"waist.breadth": 1.0, "waist.ellipse": grown}, abs=1e-9)


@pytest.mark.parametrize(("facing", "front_end"), [(1, 1), (-1, 0)])
def test_the_front_of_the_body_is_the_edge_towards_which_she_faces(facing, front_end):
    shape = read_facing(facing)
    plain = features(shape)
    # Outward is to the right at the right edge, to the left at the left one.
    place, outward = edge_of(shape, "full_bust", 1, front_end), 1.0 if front_end else -1.0
    moved = features(shape, [(place, outward)])
    assert moved["full_bust.depth"] - plain["full_bust.depth"] == pytest.approx(1.0)
    assert moved["full_bust.front"] - plain["full_bust.front"] == pytest.approx(1.0)
    assert moved["full_hip.back"] == plain["full_hip.back"]


def test_a_rung_that_is_off_moves_the_middle_that_fronts_count_from():
    """15 rungs of two edges each: a millimetre at one edge is a thirtieth at the middle."""
    shape = read_facing(1)
    plain, moved = features(shape), features(shape, [(edge_of(shape, "0.60", 1, 1), 1.0)])
    assert moved["full_bust.front"] - plain["full_bust.front"] == pytest.approx(-1 / 30)
    assert moved["0.60.front"] - plain["0.60.front"] == pytest.approx(1 - 1 / 30)


def test_an_edge_that_is_off_as_a_whole_changes_depths_everywhere_and_fronts_by_half():
    shape = read_facing(1)
    # Fourth of the common inputs: from the side, right edge.
    plain, moved = features(shape), features(shape, [(first_of(shape, "common") + 3, 1.0)])
    for code in ("full_bust", "underbust", "waist"):
        assert moved[f"{code}.depth"] - plain[f"{code}.depth"] == pytest.approx(1.0)
        assert moved[f"{code}.front"] - plain[f"{code}.front"] == pytest.approx(0.5)
        assert moved[f"{code}.breadth"] == plain[f"{code}.breadth"]


def test_a_plane_nearer_to_the_camera_makes_everything_in_that_photo_smaller():
    """12 mm of 2500: half a per cent."""
    shape = read_facing(1)
    plain, moved = features(shape), features(shape, [(first_of(shape, "plane"), 12.0)])
    away = 2500.0 - BODY.middle(drawn.WAIST)
    shrunk = moved["waist.breadth"] / plain["waist.breadth"]
    assert shrunk == pytest.approx(1 - 12 / away, abs=5e-5)
    assert moved["waist.depth"] == plain["waist.depth"]


def test_turned_by_a_degree_one_half_of_the_bust_is_seen_farther_out():
    """A quarter of the breadth of 300 times 0.01745: 1.3 mm."""
    shape = read_facing(1)
    turn = np.radians(1.0)
    plain, moved = features(shape), features(shape, [(first_of(shape, "turn"), turn)])
    farther = 0.25 * plain["full_bust.breadth"] * turn
    assert farther == pytest.approx(1.3, abs=0.02)
    assert moved["full_bust.depth"] - plain["full_bust.depth"] == pytest.approx(farther)


def test_who_stands_square_for_sure_has_no_doubt_of_the_turn():
    shape = replace(read_facing(1), turn_u_deg=0.0)
    assert [entry.u for entry in shape.blocks()["turn"]] == [0.0]


@pytest.mark.parametrize("corner", ["left_px", "right_px"])
def test_rows_that_are_missing_in_an_outline_are_bridged(corner):
    """Ten rows (17 mm) at the waist, where the edge is nearly straight."""
    both = looks(BODY)
    silhouette = both["side"].silhouette
    row = read_facing(1).ends_px("waist", "side")[0, 1]
    edge = getattr(silhouette, corner).copy()
    edge[np.abs(silhouette.rows_px - row) < 5] = np.nan
    broken = replace(both["side"], silhouette=replace(silhouette, **{corner: edge}))
    whole, bridged = features(read_facing(1)), features(read({**both, "side": broken}))
    assert bridged["waist.depth"] == pytest.approx(whole["waist.depth"], abs=1.5)
    assert bridged["full_hip.depth"] == pytest.approx(whole["full_hip.depth"], abs=0.1)


def test_an_edge_that_was_no_step_of_colour_is_doubted_more():
    both = looks(BODY)
    silhouette = both["front"].silhouette
    clear = silhouette.clear.copy()
    row = read_facing(1).ends_px("full_hip", "front")[0, 1]
    clear[np.abs(silhouette.rows_px - row) < 8, 0] = False
    unsure = replace(both["front"], silhouette=replace(silhouette, clear=clear))
    shape = read({**both, "front": unsure})
    inputs = shape.inputs
    assert inputs[edge_of(shape, "full_hip", 0, 0)].u == module.UNCLEAR_EDGE_U_MM
    assert inputs[edge_of(shape, "full_hip", 0, 1)].u == module.EDGE_U_MM
    assert inputs[edge_of(shape, "waist", 0, 0)].u == module.EDGE_U_MM


def test_a_level_is_drawn_where_the_outline_has_it():
    shape = read_facing(1)
    left, right = shape.ends_px("waist", "front")
    row = left[1]
    outline = looks(BODY)["front"].silhouette
    for end, edge in ((left, outline.left_px), (right, outline.right_px)):
        assert end[0] == pytest.approx(np.interp(row, outline.rows_px, edge), abs=0.3)
    assert right[1] == pytest.approx(row, abs=0.01)


def test_who_turns_out_taller_has_her_rungs_farther_up_along_the_outline():
    shape = read_facing(1)
    typed = shape.scene.solution.causes.index("height as typed")
    plain, moved = features(shape), features(shape, [(typed, 1.0)])
    assert moved["stature"] - plain["stature"] > 1.0
    # The scale changes with the height as well, and so does the place of each pixel: here by what
    # it does at two levels whose heights the side photo shows.
    codes = ("full_hip", "underbust")
    was, now = ([one[f"{code}.height"] for code in codes] for one in (plain, moved))
    pixel = np.interp(0.56 * STATURE, was, now)
    scale = moved["waist.depth"] / plain["waist.depth"]
    slope = BODY.front(0.56 * STATURE, 1) - BODY.back(0.56 * STATURE, 1)
    change = moved["0.56.depth"] - scale * plain["0.56.depth"]
    expected = slope * (0.56 * moved["stature"] - pixel)
    assert expected < -0.2
    assert change == pytest.approx(expected, rel=0.05)
