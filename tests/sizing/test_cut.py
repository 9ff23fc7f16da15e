"""What is cut: the drafted cup, the length class, the cuff; and two blocks for one customer."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.sizing import DemoRange, decide, decision_from_json, demo_block
from ellwand.sizing.cups import CUP_LETTERS

from .customers import on_block, taped

BLOCK = demo_block()
INCH_MM = 25.4


@pytest.mark.parametrize(
    ("stature", "garment", "expected"),
    [
        (1610, "blouse",
         [("shorten", "waist", 15), ("shorten", "hem", 20), ("shorten", "sleeve", 25)]),
        (1620, "blouse", []),
        (1730, "blouse",
         [("lengthen", "waist", 15), ("lengthen", "hem", 20), ("lengthen", "sleeve", 25)]),
        # It ends at the waist and has no long sleeve.
        (1610, "camisole", [("shorten", "waist", 15)]),
    ],
)  # fmt: skip
def test_the_length_class_changes_what_the_garment_has(
    stature: float, garment: str, expected: list[tuple[str, str, float]]
) -> None:
    decision = decide(on_block("4", stature=stature), {}, BLOCK, garment)
    assert [(c.code, c.level, c.low_mm) for c in decision.changes] == [
        (code, level, pytest.approx(mm)) for code, level, mm in expected
    ]
    told = [one.reason for one in decision.changes]
    for change in decision.changes:
        assert change.high_mm == change.low_mm
    # Why is the same for all of them, and told once.
    why = f"{decision.length_class.name} length against regular"
    assert [why in reason for reason in told] == [True, False, False][: len(told)]
    assert all(reason.endswith(", too.") for reason in told[1:])


def test_a_back_waist_length_is_held_against_that_of_the_length_class() -> None:
    # Drafted with 409 in regular and 394 in petite, of which 380 lacks 14 more.
    changes = decide(on_block("4", stature=1560, back_waist_length=380), {}, BLOCK).changes
    assert [(c.code, c.low_mm) for c in changes if c.level == "waist"] == [
        ("shorten", pytest.approx(15)),
        ("shorten", pytest.approx(14)),
    ]


# The sheer blouse has a cuff of 260 mm; the tunic one of 240 mm in a knit that stretches by 30 %.
@pytest.mark.parametrize(
    ("block", "garment", "hand", "words"),
    [
        ("misses", "sheer-blouse", 216, "the hand is 21.6 cm (8 1/2 in), so that it passes."),
        ("misses", "sheer-blouse", 260, "so that it passes."),
        ("misses", "sheer-blouse", 262,
         "so that it does not pass: make the cuff wider or give it an opening."),
        ("misses", "sheer-blouse", None,
         "a hand is about 25.0 cm (9 7/8 in), so that it passes; the hand has to be measured"),
        ("fuller", "tunic", 262, "24.0 cm (9 1/2 in) round, 31.2 cm (12 1/4 in) stretched"),
        ("fuller", "tunic", 311, "so that it passes."),
        ("fuller", "tunic", 313, "so that it does not pass: "),
    ],
)  # fmt: skip
def test_a_closed_cuff_must_pass_the_hand(
    block: DemoRange, garment: str, hand: float | None, words: str
) -> None:
    customer = on_block("9") | ({} if hand is None else taped(hand=hand))
    cautions = decide(customer, {}, demo_block(block), garment).cautions
    assert any("no opening" in caution and words in caution for caution in cautions)


def test_a_cuff_narrower_than_a_usual_hand_is_said_before_the_hand_is_taped() -> None:
    garment = replace(BLOCK.garments["sheer-blouse"], cuff_girth_mm=240)
    block = replace(BLOCK, garments={"sheer-blouse": garment})
    (caution,) = [c for c in decide(on_block("4"), {}, block).cautions if "no opening" in c]
    assert "does not pass" in caution
    assert "the hand has to be measured" in caution


def test_a_cuff_that_opens_or_is_not_there_needs_no_caution() -> None:
    for garment in ("blouse", "camisole"):
        cautions = decide(on_block("4"), {}, BLOCK, garment).cautions
        assert not any("cuff" in caution for caution in cautions)


# The fuller block: size F2 for a high bust of 1080 and, in D, a full bust of 1180; cups C to DD.
# Inches of difference, then her cup, the cup that is cut, what is left to change in millimetres.
CUT_CUPS = [
    (1, "A", "C", -(1180 - INCH_MM - 1080 - 1 * INCH_MM)),
    (2, "B", "C", -(1180 - INCH_MM - 1080 - 2 * INCH_MM)),
    (3, "C", "C", 0),
    (4, "D", "D", 0),
    (5, "DD", "DD", 0),
    (6, "DD+1", "DD", 1080 + 6 * INCH_MM - 1180 - INCH_MM),
    (7, "DD+2", "DD", 1080 + 7 * INCH_MM - 1180 - INCH_MM),
]


@pytest.mark.parametrize(("inches", "cup", "cut", "left_mm"), CUT_CUPS)
def test_the_nearest_drafted_cup_is_cut_and_only_the_rest_is_adjusted(
    inches: float, cup: str, cut: str, left_mm: float
) -> None:
    customer = taped(
        stature=1650, high_bust=1080, full_bust=1080 + inches * INCH_MM, waist=1035,
        high_hip=1185, full_hip=1230,
    )  # fmt: skip
    decision = decide(customer, {}, demo_block("fuller"))
    assert (decision.size.name, decision.cup.name, decision.cut_cup) == ("F2", cup, cut)
    assert f"drafted in, C, D and DD, {cut} is the nearest" in decision.cup.reason
    if not left_mm:
        assert decision.changes == ()
        assert decision.ease[0].fit == "good"
        return
    (change,) = decision.changes
    assert change.code == ("full" if left_mm > 0 else "small") + "-bust-adjustment"
    assert change.low_mm == pytest.approx(abs(left_mm))
    assert f"drafted for cup {cut}" in change.reason


def test_the_ease_at_the_bust_is_that_of_the_cup_that_is_cut() -> None:
    block = demo_block("fuller")
    customer = on_block("9") | taped(high_bust=1080, full_bust=1080 + 5 * INCH_MM)
    (row, *_) = decide(customer, {}, block).ease
    assert row.finished_mm == pytest.approx(1180 + INCH_MM + 110)
    alone = replace(block, drafted_cups=("D",))
    assert decide(customer, {}, alone).ease[0].finished_mm == pytest.approx(1180 + 110)


def test_a_block_in_one_cup_cuts_that_and_says_no_more() -> None:
    decision = decide(on_block("4", full_bust=982), {}, BLOCK)
    assert decision.cut_cup == "B"
    assert "drafted in" not in decision.cup.reason


def test_a_decision_from_before_blocks_had_more_cups_is_still_read() -> None:
    data = decide(on_block("4"), {}, BLOCK).to_json()
    del data["cut_cup"]
    assert decision_from_json(data).cut_cup is None


@pytest.mark.parametrize("cups", [("C", "D"), ("D", "DD"), ("A", "B", "C", "D", "DD")])
@pytest.mark.parametrize("difference_mm", [10, 80, 130])
def test_outside_the_block_the_warning_does_not_hang_on_the_cup(
    cups: tuple[str, ...], difference_mm: float
) -> None:
    block = replace(demo_block("fuller"), drafted_cups=cups)
    for high_bust in (950.0, 1450.0):
        customer = on_block("9") | taped(high_bust=high_bust, full_bust=high_bust + difference_mm)
        warnings = decide(customer, {}, block).warnings
        assert any("than this block goes" in warning for warning in warnings)


def test_the_overlap_of_two_blocks_gives_two_sizes_for_one_customer() -> None:
    fuller = taped(stature=1650, high_bust=1060, full_bust=1161, waist=1010, high_hip=1160,
                   full_hip=1205)  # fmt: skip
    misses_plan, fuller_plan = (
        decide(fuller, {}, block) for block in (BLOCK, demo_block("fuller"))
    )
    assert (misses_plan.size.name, fuller_plan.size.name) == ("8", "F2")
    assert not any(
        "than this block goes" in one for one in (*misses_plan.warnings, *fuller_plan.warnings)
    )
    assert "full-bust-adjustment" in {change.code for change in misses_plan.changes}
    assert fuller_plan.changes == ()


@given(st.integers(0, 4), st.integers(4, 5), st.floats(1000, 1400), st.floats(-30, 250))
def test_what_is_adjusted_is_what_the_cup_that_is_cut_leaves(
    lowest: int, highest: int, high_bust: float, difference: float
) -> None:
    block = replace(demo_block("fuller"), drafted_cups=CUP_LETTERS[lowest : highest + 1])
    full_bust = high_bust + difference
    decision = decide(on_block("9") | taped(high_bust=high_bust, full_bust=full_bust), {}, block)
    assert decision.cut_cup in block.drafted_cups
    size = next(size for size in block.sizes if size.name == decision.size.name)
    steps = CUP_LETTERS.index(decision.cut_cup) - CUP_LETTERS.index(block.cup)
    left = full_bust - (size.full_bust_mm + steps * block.cup_step_mm)
    for change in decision.changes:
        if change.code == "full-bust-adjustment":
            assert change.low_mm == pytest.approx(left)
        if change.code == "small-bust-adjustment":
            assert change.low_mm == pytest.approx(-left)
            assert decision.cut_cup == block.drafted_cups[0]
