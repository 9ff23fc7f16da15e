"""A rough edge finds the step of colour, and only the one between body and wall."""

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter

from ellwand.photo.outline import _ends, _lowest_point, armpit_row
from ellwand.photo.snap import snap
from tests.photo.test_quality import person

ROWS = np.arange(20, 380)
SHIRT, WALL, ARM = (70, 90, 150), (190, 185, 175), (120, 80, 60)
REACH = 18.0


def picture(at, inside=SHIRT, wall=WALL):
    """Body to the right of a slightly slanted edge: `at` in the middle row."""
    x, y = np.meshgrid(np.arange(300.0), np.arange(400.0))
    cover = np.clip(x - (at + 0.02 * (y - 200)) + 0.5, 0, 1)[..., None]
    mixed = cover * np.array(inside) + (1 - cover) * np.array(wall)
    return gaussian_filter(mixed, (0.8, 0.8, 0)), 0.02 * (ROWS - 200)


def photo(light, noise=1.5):
    grain = np.random.default_rng(4).normal(0, noise, light.shape)
    return np.clip(light + grain, 0, 255).astype(np.uint8)


@pytest.mark.parametrize("rough", [-12.0, -4.0, 0.0, 7.0, 12.0])
@pytest.mark.parametrize("wall", [WALL, (90, 105, 150)], ids=["strong", "weak"])
def test_the_edge_is_found_from_either_side(rough, wall):
    light, slant = picture(140.3, wall=wall)
    moved, clear = snap(photo(light), ROWS, 140.3 + slant + rough, 1.0, REACH, -1)
    inner = slice(10, -10)
    assert np.abs((moved - 140.3 - slant)[inner]).mean() < 0.35
    assert clear[inner].all()


def test_a_stronger_edge_inside_the_body_does_not_catch_it():
    light, slant = picture(140.3, inside=(215, 215, 212))
    light[:, 152:] = ARM
    moved, _ = snap(photo(light), ROWS, 141.0 + slant, 1.0, REACH, -1)
    assert np.abs((moved - 140.3 - slant)[10:-10]).max() < 2.0


def test_on_a_plain_wall_the_rough_edge_stays():
    light = np.full((400, 300, 3), 150.0)
    rough = np.full(len(ROWS), 140.0)
    moved, clear = snap(photo(light), ROWS, rough, 1.0, REACH, -1)
    assert clear.mean() < 0.2
    assert np.abs(moved[~clear] - 140.0).max() == 0


def test_a_run_is_chosen_where_it_is_sure_and_ends_where_it_is_undecided():
    # Column 5 is the spine; the arm of columns 0 and 1 hangs on by an unsure column.
    mask = np.array([[0.9, 0.9, 0.7, 0.9, 1.0, 1.0, 1.0, 0.9, 0.6, 0.4, 0.0, 0.0]], np.float32)
    row, spine = np.array([0]), np.array([5.0])
    left, right = (_ends(mask, row, spine, outward, 0.8)[0] for outward in (-1, 1))
    assert left == 2.0
    assert right == pytest.approx(8.5)
    # Where less will do the arm belongs to the run, which then reaches the picture's rim.
    assert _ends(mask, row, spine, -1, 0.5)[0] == 0.0
    # An unsure column holds no run.
    assert np.isnan(_ends(mask, row, np.array([8.0]), -1, 0.8)[0])


def test_the_armpit_is_the_last_row_before_the_run_takes_in_the_arm():
    rows = np.arange(12)
    edge = np.array([40.0, 40, 40, 40, 80, 81, 82, 82, 83, 83, 84, 84])
    assert armpit_row(rows, edge, hip_row=11.0, px_per_mm=1.0) == 4
    assert armpit_row(rows, edge[4:].repeat(2)[:12], hip_row=11.0, px_per_mm=1.0) is None


def test_the_lowest_point_is_of_a_foot_and_not_of_a_stand_beside_her():
    mask = np.zeros((2000, 1500), np.float32)
    mask[1700:1786, 700:800] = 1
    mask[1700:1990, 1200:1210] = 1
    assert _lowest_point(mask, person(), 60).tolist() == [749.5, 1785.5]
