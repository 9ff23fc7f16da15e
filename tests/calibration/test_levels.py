from dataclasses import astuple

import numpy as np
import pytest

from calibration.bodies import BodyRecipe
from calibration.levels import (
    SEAT,
    WAIST,
    LevelError,
    Levels,
    check_order,
    high_hip_mm,
    inward_turn,
    nearest_peak,
    peak,
    settled,
)
from ellwand.geometry.levels import SEAT_BAND, WAIST_BAND, find_levels
from ellwand.geometry.profile import STEP_MM, Profile

STATURE = 1650.0
ROWS = np.arange(1.0, STATURE, 2.0)


def hill(middle, width, height):
    return height * np.exp(-(((ROWS - middle) / width) ** 2))


def test_a_peak_between_two_rows_is_found_between_them():
    rows = np.array([0.0, 2.0, 4.0, 6.0])

    assert peak(rows, -((rows - 2.6) ** 2)) == pytest.approx(2.6)


def test_the_nearest_of_two_peaks_is_taken():
    assert nearest_peak(ROWS, hill(1180, 30, 40) + hill(1000, 60, 90), 1170) == pytest.approx(
        1180, abs=2
    )


def test_without_a_peak_the_expected_height_stands():
    assert nearest_peak(ROWS, ROWS, 1170.0) == 1170.0


def test_the_inward_turn_is_the_corner_between_ribs_and_bust():
    rows = np.arange(1000.0, 1201.0, 2.0)
    outline = np.interp(rows, [1000, 1140, 1200], [100, 104, 150])

    # Rows are 2 mm apart, and a parabola through a corner misses it by at most half a row.
    assert inward_turn(rows, outline) == pytest.approx(1140, abs=1)


def test_an_elastic_lies_where_breadth_and_cost_together_are_least():
    """Both grow as the square of the distance, the breadth from 1070 mm three times as fast."""
    usual, bend = WAIST.usual * STATURE, 3.0 * WAIST.held_mm / 40.0**2
    found = settled(WAIST, ROWS, 260.0 + bend * (ROWS - 1070.0) ** 2, STATURE)

    # Beyond its window it takes the breadth to be that of the window's end, a little.
    assert found == pytest.approx((3 * 1070.0 + usual) / 4, abs=0.5)


def test_a_post_has_its_waist_where_most_have_it():
    assert settled(WAIST, ROWS, np.full(len(ROWS), 260.0), STATURE) == pytest.approx(1039.5)


@pytest.mark.parametrize("seed", range(20))
def test_truth_and_package_put_waist_and_seat_at_the_same_heights(seed):
    """Written twice on purpose, so that a slip in one of them is seen."""
    rng = np.random.default_rng(seed)
    stature = rng.uniform(1500.0, 1800.0)
    heights = np.arange(0.0, stature, STEP_MM)

    def wavy(low, high):
        """Three dents or bulges of any size."""
        return sum(
            rng.uniform(0.0, 20.0)
            * np.exp(
                -(((heights / stature - rng.uniform(low, high)) / rng.uniform(0.02, 0.06)) ** 2)
            )
            for _ in range(3)
        )

    half, back = 150.0 - wavy(0.57, 0.69), -110.0 - wavy(0.46, 0.57)
    front, side = Profile(heights, -half, half), Profile(heights, back, np.full_like(back, 110.0))
    found = find_levels(front, side, stature)
    fold = found["underbust"].height_mm
    free = settled(WAIST, heights, 2 * half, stature)
    waist = min(free, fold - 8.0)
    high_hip = high_hip_mm(free, waist)
    seat = min(settled(SEAT, heights, back, stature), high_hip - 8.0)

    # The package takes a row, the truth a place between rows.
    assert found["waist"].height_mm == pytest.approx(waist, abs=STEP_MM)
    assert found["high_hip"].height_mm == pytest.approx(high_hip, abs=STEP_MM)
    assert found["full_hip"].height_mm == pytest.approx(seat, abs=STEP_MM)


def test_truth_and_package_mean_the_same_elastic_and_the_same_tape():
    assert (astuple(WAIST), astuple(SEAT)) == (astuple(WAIST_BAND), astuple(SEAT_BAND))


def test_levels_out_of_order_are_refused():
    with pytest.raises(LevelError, match="out of order"):
        check_order(Levels(1250, 1180, 1190, 1040, 950, 840), "woman")


def test_children_are_refused():
    with pytest.raises(ValueError, match="adults only"):
        BodyRecipe(age=0.5)


def test_a_local_change_that_the_body_model_lacks_is_refused():
    with pytest.raises(ValueError, match="unknown local changes"):
        BodyRecipe(changes={"tail-length-incr": 1.0})
