import numpy as np
import pytest

from calibration.bodies import BodyRecipe
from calibration.levels import (
    LevelError,
    Levels,
    check_order,
    inward_turn,
    least_breadth,
    nearest_peak,
    peak,
)

ROWS = np.arange(1.0, 1650.0, 2.0)


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


def test_the_waist_is_the_least_breadth():
    rows = np.arange(960.0, 1101.0, 2.0)

    assert least_breadth(rows, 260 + ((rows - 1040) / 20) ** 2) == pytest.approx(1040)


def test_a_breadth_that_only_grows_shows_no_waist():
    rows = np.arange(960.0, 1101.0, 2.0)

    assert least_breadth(rows, rows) is None


def test_levels_out_of_order_are_refused():
    with pytest.raises(LevelError, match="out of order"):
        check_order(Levels(1250, 1180, 1190, 1040, 950, 840, waist_seen=True), "woman")


def test_children_are_refused():
    with pytest.raises(ValueError, match="adults only"):
        BodyRecipe(age=0.5)


def test_a_local_change_that_the_body_model_lacks_is_refused():
    with pytest.raises(ValueError, match="unknown local changes"):
        BodyRecipe(changes={"tail-length-incr": 1.0})
