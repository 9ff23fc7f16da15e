import numpy as np
import pytest

from calibration.behaviour import GROSS_MM, NOTHING, compare, measured
from calibration.looks import looks_of
from tests.calibration import sights

DRAWS = 60


@pytest.fixture(scope="module")
def compared():
    """Looks with drawn errors beside exact sights, both kinds of sheets."""
    people = sights.sightings(2)
    found = []
    for k in range(DRAWS):
        looks, _ = looks_of(people, k % 2, sights.errors(), np.random.default_rng(k))
        found += compare(people, k % 2, looks)
    return found


def test_nothing_is_found_where_nothing_is_off():
    people = sights.sightings(2)
    looks, _ = looks_of(people, 0, NOTHING, None)
    for one in compare(people, 0, looks):
        assert np.nanmax(np.abs(one.outward_mm)) == pytest.approx(0.0)
        assert one.ahead_up_mm == pytest.approx(0.0)
        assert one.foot_up_mm == pytest.approx(0.0)
        assert one.corners_px == pytest.approx(0.0)


@pytest.mark.parametrize("view", ["front", "side"])
def test_edge_errors_that_were_put_in_are_found_again(compared, view):
    found, _ = measured(compared)
    put = sights.errors().edges[view]

    # 120 edges, over some 460 rows: three standard errors, what is local included.
    local = put.local_sd_mm * np.sqrt(2 * put.length_mm / 460.0)
    whole = np.hypot(put.common_sd_mm, local)
    assert found.edges[view].bias_mm == pytest.approx(
        put.bias_mm, abs=3 * whole / np.sqrt(2 * DRAWS)
    )
    assert found.edges[view].common_sd_mm == pytest.approx(whole, rel=3 / np.sqrt(4 * DRAWS))
    assert found.edges[view].local_sd_mm == pytest.approx(put.local_sd_mm, rel=0.1)
    assert found.edges[view].length_mm == pytest.approx(put.length_mm, rel=0.2)


@pytest.mark.parametrize("view", ["front", "side"])
def test_landmark_offsets_that_were_put_in_are_found_again(compared, view):
    found, _ = measured(compared)
    hip, knee = found.landmarks[view]["hip"], found.landmarks[view]["knee"]

    # 120 hips: a median's standard error is 1.25 * 3 / sqrt(120) = 0.34; three of them.
    assert (hip.ahead_mm, hip.up_mm) == pytest.approx((4.0, -6.0), abs=1.0)
    assert hip.sd_mm == pytest.approx(3.0, abs=0.8)
    assert (knee.ahead_mm, knee.up_mm, knee.sd_mm) == pytest.approx((0.0, 0.0, 0.0))


def test_corners_and_feet_are_found_again(compared):
    found, _ = measured(compared)
    put = sights.errors()

    for kind in ("marker-sheets", "plain-sheets"):
        assert found.corner_outward_px[kind] == pytest.approx(put.corner_outward_px[kind], abs=0.05)
        assert found.corner_sd_px[kind] == pytest.approx(put.corner_sd_px[kind], rel=0.1)
    for view in ("front", "side"):
        spread = put.foot_sd_mm[view]
        # Three standard errors of 60 lowest points.
        assert found.foot_up_mm[view] == pytest.approx(
            put.foot_up_mm[view], abs=3 * spread / np.sqrt(DRAWS)
        )
        assert found.foot_sd_mm[view] == pytest.approx(spread, rel=3 / np.sqrt(2 * DRAWS))


def test_an_edge_that_took_in_an_arm_is_counted_and_left_out(compared):
    one = compared[0]
    off = one.outward_mm.copy()
    rows = np.flatnonzero(np.isfinite(off[:, 0]))[:40]
    off[rows, 0] = GROSS_MM + 20.0
    gross = type(one)(**{**vars(one), "outward_mm": off})
    found, told = measured([gross, *compared[1:]])
    before, _ = measured(compared)

    seen = sum(np.isfinite(o.outward_mm).sum() for o in compared if o.view == one.view)
    assert told["gross_share"][one.view] == pytest.approx(40 / seen)
    assert told["photos"] == len(compared)
    assert found.edges[one.view].bias_mm == pytest.approx(before.edges[one.view].bias_mm, abs=0.05)
