import json

import numpy as np
import pytest

from calibration.behaviour import NOTHING
from calibration.fit import errors_file
from calibration.looks import EdgeError, errors_of, looks_of
from calibration.sightings import JOINTS
from tests.calibration import sights

DRAWS = 200
HIP = JOINTS.index("left_hip")


def drawn(errors, view="front", **numbers):
    people = sights.sightings(1, **numbers)
    return [looks_of(people, 0, errors, np.random.default_rng(k))[0][view] for k in range(DRAWS)]


def outward(looks):
    """(draws, rows, 2) how far the edges lie outside the true ones, below the arms."""
    rows = slice(sights.ARMPIT_ROW + 40, int(sights.FLOOR_ROW) - 40)
    found = []
    for look in looks:
        first = int(look.silhouette.rows_px[0])
        here = slice(rows.start - first, rows.stop - first)
        left = sights.MIDDLE_COLUMN - sights.HALF_PX - look.silhouette.left_px[here]
        right = look.silhouette.right_px[here] - sights.MIDDLE_COLUMN - sights.HALF_PX
        found.append(np.stack([left, right], axis=1))
    return np.array(found)


def test_an_exact_look_has_the_edges_that_it_was_given():
    looks, _ = looks_of(sights.sightings(), 0, NOTHING, None)
    side = looks["side"].silhouette
    rows = side.rows_px.astype(int)

    assert side.left_px == pytest.approx(sights.edges_px()[rows, 0])
    assert side.right_px == pytest.approx(sights.edges_px()[rows, 1])
    assert side.clear.all()


def test_from_the_front_the_trunk_is_carried_up_from_the_armpits():
    looks, _ = looks_of(sights.sightings(), 0, NOTHING, None)
    front = looks["front"].silhouette
    over = front.rows_px < sights.ARMPIT_ROW

    assert front.left_px == pytest.approx(sights.MIDDLE_COLUMN - sights.HALF_PX)
    assert front.right_px == pytest.approx(sights.MIDDLE_COLUMN + sights.HALF_PX)
    assert not front.clear[over].any()
    assert front.armpits_px[:, 1] == pytest.approx(sights.ARMPIT_ROW)


def test_an_exact_look_knows_focal_length_and_sheets():
    people = sights.sightings()
    looks, setup = looks_of(people, 1, NOTHING, None)

    assert setup.reference == "plain-sheets"
    # Equal diagonal angle of view: f35 = f in pixels * 43.27 mm / 2500 px.
    assert looks["front"].focal_35mm == pytest.approx(sights.F_PX * 43.2666 / 2500.0, rel=1e-5)
    for found, true in zip(
        looks["front"].references, people.seen["front"].sheets_px[1], strict=True
    ):
        assert found.corners_px == pytest.approx(true)


def test_typed_values_are_rounded_only_where_errors_are_drawn():
    people = sights.sightings(typed_stature_mm=1610.0)
    _, exact = looks_of(people, 0, NOTHING, None)
    _, typed = looks_of(people, 0, NOTHING, np.random.default_rng(1))

    assert exact.stature_mm == 1600.0
    assert {view: where for view, (where, _) in exact.standoffs_mm.items()} == {
        "front": 213.0,
        "side": 187.0,
    }
    assert typed.stature_mm == 1610.0
    assert {view: where for view, (where, _) in typed.standoffs_mm.items()} == {
        "front": 210.0,
        "side": 190.0,
    }


def test_drawn_edges_have_the_bias_spread_and_memory_that_were_asked_for():
    error = EdgeError(bias_mm=0.4, common_sd_mm=0.5, local_sd_mm=1.5, length_mm=8.0)
    off = outward(drawn(sights.errors(edges={"front": error, "side": error})))
    whole = off.mean(axis=1)
    local = off - whole[:, None]

    # 400 edges: standard errors of their mean and of their spread are 0.5 / 20 and 0.5 / 28. What
    # is local also moves a mean over 1160 rows, by 1.5 * sqrt(16 / 1160) = 0.18.
    assert whole.mean() == pytest.approx(0.4, abs=0.1)
    assert whole.std() == pytest.approx(np.hypot(0.5, 0.18), abs=0.06)
    assert local.std() == pytest.approx(1.5, rel=0.05)
    kept = (local[:, 8:] * local[:, :-8]).mean() / local.var()
    assert kept == pytest.approx(np.exp(-1.0), abs=0.03)


def test_drawn_landmarks_lie_about_their_mean_offset():
    at = np.array([look.body.landmarks_px["left_hip"] for look in drawn(sights.errors())])
    off = at - sights.joints_px()[HIP]

    # Outward of the left hip is to the right; up is to lower rows. Three standard errors.
    assert off.mean(axis=0) == pytest.approx([4.0, 6.0], abs=3 * 3.0 / np.sqrt(DRAWS))
    assert off.std(axis=0) == pytest.approx([3.0, 3.0], abs=3 * 3.0 / np.sqrt(2 * DRAWS))


def test_ahead_is_the_way_she_faces():
    def step(faces_right):
        people = sights.sightings(1, faces_right=faces_right)
        look = looks_of(people, 0, sights.errors(), None)[0]["side"]
        return look.body.landmarks_px["left_hip"][0] - sights.joints_px()[HIP][0]

    assert step(1.0) == pytest.approx(4.0)
    assert step(0.0) == pytest.approx(-4.0)


def test_drawn_corners_lie_outward_by_the_mean():
    people = sights.sightings(2)
    true = people.seen["front"].sheets_px[1]
    off = []
    for k in range(DRAWS):
        looks, _ = looks_of(people, 1, sights.errors(), np.random.default_rng(k))
        off.append([r.corners_px - t for r, t in zip(looks["front"].references, true, strict=True)])

    # The first corner is the upper left: outward is left and up.
    assert np.mean(off, axis=0)[:, 0] == pytest.approx(-0.4, abs=0.1)
    assert np.mean(off, axis=0)[:, 2] == pytest.approx(0.4, abs=0.1)
    assert np.std(off) > 0.3


def test_errors_are_read_as_they_were_kept():
    kept = json.loads(errors_file(sights.errors(), {"photos": 14}))

    assert errors_of(kept) == (sights.errors(), {"photos": 14})
