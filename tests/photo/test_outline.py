"""The silhouette: counted in a mask of 12 rows, then traced on a figure of known edges."""

import numpy as np
import pytest

from ellwand.photo.body import LANDMARKS, Body
from ellwand.photo.outline import trace
from tests.photo.drawing import blurred, encoded
from tests.photo.figure import CROTCH_Y, Figure, armpit_y, half_breadth_mm

# How sure the mask is: # 1.0, + 0.7 (more than undecided, not sure), - 0.3, . 0.0.
SURE = {"#": 1.0, "+": 0.7, "-": 0.3, ".": 0.0}
# At 0.08 px/mm the jump that tells an arm, 25 mm, is 2 px, and what is rounded, 14 mm, 1 px.
PX_PER_MM = 0.08
PICTURE = [
    "......####......",
    "......####......",
    ".......##.......",
    "...##########...",
    "..############..",
    ".###+######.###.",
    "##...######-..##",
    "....+######+....",
    "....########....",
    "....###..###....",
    "....##....##....",
    "...###....###...",
]
SHOULDER_ROW, HIP_ROW, FOOT_ROW = 3, 8, 11


def counted(picture=PICTURE):
    mask = np.array([[SURE[sign] for sign in line] for line in picture], np.float32)
    rows = {"shoulder": SHOULDER_ROW, "hip": HIP_ROW, "knee": 9, "ankle": 10, "heel": 11, "toe": 11}
    marks = dict.fromkeys(LANDMARKS, (7.5, 0.0))
    marks |= {f"{side}_{part}": (7.5, float(row)) for part, row in rows.items()
              for side in ("left", "right")}  # fmt: skip
    # Seen from the front, her left leg stands to the right.
    marks |= {f"{side}_{part}": (column, float(rows[part])) for part in ("knee", "ankle")
              for side, column in (("left", 10.5), ("right", 4.5))}  # fmt: skip
    return Body(marks, dict.fromkeys(LANDMARKS, 0.9), mask, 0.0)


def blank(scale=1.0):
    """A photo without any step of colour, so that the mask alone decides."""
    return np.full((round(12 / scale), round(16 / scale), 3), 128, np.uint8)


def by_row(found):
    edges = zip(found.left_px, found.right_px, strict=True)
    return dict(zip(found.rows_px, edges, strict=True))


def test_edges_are_where_the_mask_is_undecided():
    found = trace(blank(), counted(), "front", 1.0, PX_PER_MM)
    assert found.rows_px.tolist() == list(range(SHOULDER_ROW, FOOT_ROW + 1))
    edges = by_row(found)
    # Between a sure pixel (1) and nothing (0), half way.
    assert edges[8] == (3.5, 11.5)
    # From + (0.7) to nothing, undecided (0.5) is two sevenths of the way.
    assert edges[7] == (pytest.approx(4 - 2 / 7), pytest.approx(11 + 2 / 7))
    # From # (1) to - (0.3), five sevenths of the way.
    assert edges[6] == (4.5, pytest.approx(10 + 5 / 7))
    # Where the legs part, the outer edge of each.
    assert [edges[row] for row in (9, 10, 11)] == [(3.5, 11.5), (3.5, 11.5), (2.5, 12.5)]


def test_from_the_front_the_arm_is_cut_off_at_the_armpit():
    """Row 4 still takes the arms in, row 5 doesn't; the edge is carried up from row 6."""
    found = trace(blank(), counted(), "front", 1.0, PX_PER_MM)
    assert found.armpits_px.tolist() == [[4.0, 5.0], [10.5, 5.0]]
    assert found.left_px[:4].tolist() == [4.5, 4.5, 4.5, 4.5]
    assert found.right_px[:4] == pytest.approx([10 + 5 / 7] * 4)
    assert not found.clear[:3].any()


def test_from_the_side_no_armpit_is_sought_and_what_is_hardly_sure_belongs_to_her():
    """Under a belly the mask is as unsure as the + of row 5; the arm lies over the trunk."""
    found = trace(blank(), counted(), "side", 1.0, PX_PER_MM)
    assert found.armpits_px.shape == (0, 2)
    assert found.left_px[:2].tolist() == [2.5, 1.5]
    assert by_row(found)[5] == (0.5, 10.5)
    # Between the legs there is no run that holds their middle.
    assert np.isnan([by_row(found)[row] for row in (9, 10, 11)]).all()


def test_an_arm_that_is_never_met_has_no_armpit():
    without_arms = [*PICTURE[:3], *[PICTURE[8]] * 6, *PICTURE[9:]]
    found = trace(blank(), counted(without_arms), "front", 1.0, PX_PER_MM)
    assert len(found.armpits_px) == 0
    assert found.left_px[:2].tolist() == [3.5, 3.5]


def test_box_and_lowest_point_are_those_of_the_mask():
    found = trace(blank(), counted(), "front", 1.0, PX_PER_MM)
    assert found.box_px == (0.0, 0.0, 15.0, 11.0)
    # Columns 3 to 5 and 10 to 12 stand on the lower edge of row 11.
    assert found.foot_px.tolist() == [7.5, 11.5]


def test_what_does_not_hang_together_with_her_is_left_out():
    with_cat = [*PICTURE[:10], "....##....##..##", "...###....###.##"]
    for name in ("foot_px", "polygon_px"):
        alone, beside_a_cat = (
            getattr(trace(blank(), counted(picture), "front", 1.0, PX_PER_MM), name)
            for picture in (PICTURE, with_cat)
        )
        assert np.array_equal(alone, beside_a_cat)


def test_a_working_copy_of_half_the_size_gives_pixels_of_the_photo():
    """Pixel x of the copy has its middle at 2 x + 0.5 of the photo."""
    small = trace(blank(), counted(), "front", 1.0, PX_PER_MM)
    whole = trace(blank(0.5), counted(), "front", 0.5, PX_PER_MM)
    for name in ("rows_px", "left_px", "right_px", "armpits_px", "foot_px", "polygon_px"):
        expected = 2 * getattr(small, name) + 0.5
        assert getattr(whole, name) == pytest.approx(expected, nan_ok=True)
    assert whole.box_px == tuple(2 * edge + 0.5 for edge in small.box_px)


SCALE = 0.5
FIGURE = Figure.standing((900, 760), SCALE, 380.3, 30.6)


@pytest.fixture(scope="module")
def photo():
    light = np.full(FIGURE.size, 0.5)
    FIGURE.paint_into(light)
    return encoded(blurred(light, 0.7), 1.5)


@pytest.mark.parametrize("shift", [-6.0, 0.0, 6.0])
def test_the_trunk_is_traced_to_a_third_of_a_pixel(photo, shift):
    """The mask lies up to 12 mm aside; the colours say where she ends."""
    found = trace(photo, FIGURE.body(mask_shift_px=shift), "front", 1.0, SCALE)
    y = (found.rows_px - 30.6) / SCALE
    # Clear of the arm above and of the legs below.
    inner = (y > armpit_y() + 60) & (y < CROTCH_Y - 60)
    half = SCALE * half_breadth_mm(y)
    assert np.abs(found.left_px - (380.3 - half))[inner].max() < 0.35
    assert np.abs(found.right_px - (380.3 + half))[inner].max() < 0.35
    assert found.clear[inner].all()


def test_the_armpits_are_found_to_a_centimetre(photo):
    found = trace(photo, FIGURE.body(mask_blur_px=1.5), "front", 1.0, SCALE)
    y = (found.armpits_px[:, 1] - 30.6) / SCALE
    # The angle between arm and trunk is rounded by the mask, so the armpit is seen a little low.
    assert len(y) == 2
    assert np.all((y > armpit_y() - 5) & (y < armpit_y() + 20))


def test_above_the_armpits_the_trunk_is_carried_up_and_not_said_to_be_clear(photo):
    found = trace(photo, FIGURE.body(), "front", 1.0, SCALE)
    above = found.rows_px < found.armpits_px[:, 1].min()
    assert np.ptp(found.left_px[above]) == 0
    assert not found.clear[above].any()


def test_the_polygon_goes_round_the_whole_figure(photo):
    found = trace(photo, FIGURE.body(), "front", 1.0, SCALE)
    left, top, right, bottom = found.box_px
    low, high = found.polygon_px.min(axis=0), found.polygon_px.max(axis=0)
    assert low == pytest.approx([left, top], abs=1.5)
    assert high == pytest.approx([right, bottom], abs=1.5)
    assert found.foot_px[1] == pytest.approx(30.6 + SCALE * 1650, abs=2)
