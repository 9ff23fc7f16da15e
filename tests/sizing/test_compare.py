"""Blocks and garments beside each other: the closest, and an honest answer where none fits."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.sizing import compare, demo_block
from ellwand.sizing.reach import beyond_mm

from .test_size_decision import on_block

BLOCK = demo_block()
GARMENTS = list(BLOCK.garments)
# The same drafted for a figure that is wider at waist and hip, invented.
WIDER = replace(
    BLOCK,
    name="Wider block",
    sizes=tuple(
        replace(one, waist_mm=one.waist_mm + 60, full_hip_mm=one.full_hip_mm + 60,
                high_hip_mm=(one.high_hip_mm or 0) + 60)
        for one in BLOCK.sizes
    ),
)  # fmt: skip
SMALLER = replace(BLOCK, name="Smaller block", sizes=BLOCK.sizes[:4])


@pytest.mark.parametrize(
    ("high_bust_mm", "beyond"),
    [
        # Sizes 1 to 10 are drafted for 76 to 118 cm; steps of 4 cm below and 6 cm above.
        (760, 0.0), (740, 0.0), (730, -10.0), (1180, 0.0), (1210, 0.0), (1230, 20.0), (900, 0.0),
    ],
)  # fmt: skip
def test_the_outermost_sizes_reach_half_a_step_further(high_bust_mm: float, beyond: float) -> None:
    assert beyond_mm(high_bust_mm, BLOCK) == pytest.approx(beyond)


def test_the_block_that_needs_least_change_is_closest() -> None:
    wide = on_block("4", waist=820, high_hip=980, full_hip=1050)
    found = compare(wide, {}, [(BLOCK, "blouse"), (WIDER, "blouse")])
    assert found.closest == 1
    assert found.rows[1].work_mm == 0 < found.rows[0].work_mm
    assert found.reason == (
        "Wider block, blouse is closest: the high bust lies within its sizes, and nothing has to "
        "be changed."
    )
    turned = compare(wide, {}, [(WIDER, "blouse"), (BLOCK, "blouse")])
    assert turned.closest == 0


def test_shoulders_come_before_everything_else() -> None:
    # Size 6, high bust 96 cm, lies beyond the four sizes of the smaller block.
    found = compare(on_block("6", full_hip=1190), {}, [(SMALLER, "camisole"), (BLOCK, "blouse")])
    assert found.closest == 1
    assert "not within those of every other" in found.reason


def test_a_customer_outside_every_block_gets_the_distances() -> None:
    large = on_block("10", high_bust=1250, full_bust=1300)
    found = compare(large, {}, [(SMALLER, "blouse"), (BLOCK, "blouse")])
    assert found.closest == 1
    assert found.reason.startswith(
        "None of them fits, because the high bust lies beyond the sizes: 35.0 cm (13 3/4 in) too "
        "large for Smaller block, blouse; 4.0 cm (1 5/8 in) too large for Demo blouse block, "
        "blouse."
    )
    (warning,) = (one for one in found.rows[1].decision.warnings if "high bust" in one)
    assert "larger than this block goes, by 4.0 cm (1 5/8 in)" in warning


def test_all_garments_of_a_block_stand_in_the_order_asked_for() -> None:
    found = compare(on_block("4"), {}, [(BLOCK, name) for name in GARMENTS])
    assert [row.decision.garment for row in found.rows] == GARMENTS


@given(st.floats(600, 1500))
def test_a_high_bust_is_beyond_a_block_exactly_where_no_size_is_near(high_bust_mm: float) -> None:
    beyond = beyond_mm(high_bust_mm, BLOCK)
    assert (beyond == 0) == (740 <= high_bust_mm <= 1210)
    assert beyond_mm(high_bust_mm - beyond, BLOCK) == pytest.approx(0, abs=1e-9)
