"""Worked examples of invented customers, trade facts, and what must hold for every customer."""

import json
from dataclasses import replace
from typing import Any

import pytest

from ellwand.errors import EntryProblem, SittingProblem
from ellwand.measurements import Estimate
from ellwand.sizing import Decision, decide, decision_from_json, demo_block
from ellwand.sizing.ease import nearest_number
from ellwand.tape import Confirmed

from .customers import on_block, taped

BLOCK = demo_block()
INCH_MM = 25.4


def guessed(**bounds_mm: tuple[float, float]) -> dict[str, Estimate]:
    return {
        code: Estimate(code, (low + high) / 2, (high - low) / 4, low, high, ())
        for code, (low, high) in bounds_mm.items()
    }


def codes(decision: Decision) -> list[tuple[str, str]]:
    return [(change.code, change.level) for change in decision.changes]


# Invented customers, millimetres: stature, high bust, full bust, waist, high hip, full hip, then
# length class, size, cup, changes.
CUSTOMERS: list[tuple[str, tuple[float, ...], tuple[str, str, str], list[tuple[str, str]]]] = [
    (
        "as drafted",
        (1680, 880, 930, 760, 920, 990),
        ("regular", "4", "B"),
        [],
    ),
    (
        "short, D cup",
        (1560, 880, 982, 760, 920, 990),
        ("petite", "4", "D"),
        [
            ("shorten", "waist"),
            ("shorten", "hem"),
            ("shorten", "sleeve"),
            ("full-bust-adjustment", "full_bust"),
        ],
    ),
    (
        "tall, small cup",
        (1790, 920, 945, 800, 960, 1030),
        ("tall", "5", "A"),
        [
            ("lengthen", "waist"),
            ("lengthen", "hem"),
            ("lengthen", "sleeve"),
            ("small-bust-adjustment", "full_bust"),
        ],
    ),
    (
        "narrow above, full hip",
        (1650, 840, 890, 740, 940, 1040),
        ("regular", "3", "B"),
        [
            ("grade", "high_hip"),
            ("let-out", "high_hip"),
            ("grade", "full_hip"),
            ("let-out", "full_hip"),
        ],
    ),
    (
        "straight down",
        (1700, 1010, 1060, 830, 950, 1020),
        ("regular", "7", "B"),
        [("grade", "waist"), ("grade", "high_hip"), ("grade", "full_hip")],
    ),
    (
        "beyond the block at the hip",
        (1680, 1180, 1230, 1100, 1230, 1400),
        ("regular", "10", "B"),
        [("draw-out", "full_hip"), ("let-out", "full_hip")],
    ),
]


@pytest.mark.parametrize(
    ("girths", "answer", "changes"),
    [row[1:] for row in CUSTOMERS],
    ids=[row[0] for row in CUSTOMERS],
)
def test_worked_examples(
    girths: tuple[float, ...], answer: tuple[str, str, str], changes: list[tuple[str, str]]
) -> None:
    names = ("stature", "high_bust", "full_bust", "waist", "high_hip", "full_hip")
    decision = decide(taped(**dict(zip(names, girths, strict=True))), {}, BLOCK)
    assert (decision.length_class.name, decision.size.name, decision.cup.name) == answer
    assert codes(decision) == changes


@pytest.mark.parametrize("size", [size.name for size in BLOCK.sizes])
def test_four_inches_of_difference_make_a_d_cup_on_every_size(size: str) -> None:
    high_bust = next(s.high_bust_mm for s in BLOCK.sizes if s.name == size)
    decision = decide(on_block(size, full_bust=high_bust + 4 * INCH_MM), {}, BLOCK)
    assert (decision.size.name, decision.cup.name) == (size, "D")
    (change,) = decision.changes
    assert change.code == "full-bust-adjustment"
    assert change.low_mm == pytest.approx(4 * INCH_MM - 50)


@pytest.mark.parametrize("size", [size.name for size in BLOCK.sizes[:-2]])
def test_full_bust_alone_would_choose_a_larger_size_for_a_fuller_cup(size: str) -> None:
    customer = on_block(size)
    fuller = customer["high_bust"].value_mm + 5 * INCH_MM
    decision = decide(customer | taped(full_bust=fuller), {}, BLOCK)
    by_full_bust = nearest_number(fuller, [s.full_bust_mm for s in BLOCK.sizes])
    names = [s.name for s in BLOCK.sizes]
    assert by_full_bust > names.index(decision.size.name)


def test_a_customer_whom_the_full_bust_alone_misleads_gets_the_size_of_her_shoulders() -> None:
    # High bust of size 3 (84 cm), full bust of size 6 (101 cm), which three sizes more would fit.
    decision = decide(on_block("3", full_bust=1010), {}, BLOCK)
    assert decision.size.name == "3"
    assert (
        "Chosen by the full bust alone it would be size 6, drafted for a high bust "
        "12.0 cm (4 3/4 in) larger: too wide across the shoulders"
    ) in decision.size.reason
    assert [change.code for change in decision.changes] == ["full-bust-adjustment"]


def test_a_full_bust_that_misleads_to_a_smaller_frame_is_told_as_well() -> None:
    decision = decide(on_block("6", full_bust=965), {}, BLOCK)
    assert decision.size.name == "6"
    assert "would be size 5" in decision.size.reason
    assert "too narrow across the shoulders" in decision.size.reason


def test_grading_says_from_where_to_where_and_how_much_for_each_edge() -> None:
    # Invented block: size 3 is drafted for a full hip of 95 cm, size 5 for 103 cm.
    decision = decide(on_block("3", full_hip=1030), {}, BLOCK)
    (grading,) = decision.grading
    assert (grading.level, grading.from_size, grading.to_size_at_high) == ("full_hip", "3", "5")
    assert (grading.low_mm, grading.high_mm, grading.edges) == (80.0, 80.0, 4)
    change = next(one for one in decision.changes if one.code == "grade")
    assert "8.0 cm (3 1/4 in) wider, 2.0 cm (13/16 in) at each of 4 seam edges" in change.reason


@pytest.mark.parametrize(
    ("full_hip_mm", "again"),
    # Size 4 of the invented block: 99 cm and 8 cm drafted ease, at least 4; the tape has u 5 mm.
    [(1020.0, False), (1028.0, True), (1031.0, True), (1045.0, False)],
)
def test_a_hip_near_the_least_ease_is_to_be_measured_again(full_hip_mm: float, again: bool) -> None:
    decision = decide(on_block("4", full_hip=full_hip_mm), {}, BLOCK)
    assert any("right before cutting" in one for one in decision.warnings) == again


@pytest.mark.parametrize("size", [size.name for size in BLOCK.sizes])
def test_on_the_block_nothing_is_changed(size: str) -> None:
    decision = decide(on_block(size), {}, BLOCK)
    assert decision.size.name == size
    assert decision.size.alternative is None
    assert decision.cup.name == BLOCK.cup
    assert decision.changes == ()
    assert decision.grading == ()
    assert [row.fit for row in decision.ease] == ["good"] * 4


def test_near_the_middle_both_sizes_are_named_and_the_shoulders_decide() -> None:
    near = on_block("3", high_bust=858, full_bust=910)
    decision = decide(near, {}, BLOCK)
    assert (decision.size.name, decision.size.alternative) == ("3", "4")
    assert "shoulders of the trial" in (decision.size.decides or "")
    measured = decide(near | taped(shoulder_width=388), {}, BLOCK)
    assert measured.size.name == "3"
    assert "speak for size 4" in (measured.size.decides or "")


def test_a_better_tape_settles_what_a_worse_one_leaves_open() -> None:
    loose = taped(10.0, high_bust=858.0)
    tight = taped(2.0, high_bust=858.0)
    assert decide(on_block("3") | loose, {}, BLOCK).size.alternative == "4"
    assert decide(on_block("3") | tight, {}, BLOCK).size.alternative is None


def test_near_a_step_both_cups_are_named_with_the_error_of_both_readings() -> None:
    near = on_block("4", full_bust=880 + 3.4 * INCH_MM)
    decision = decide(near, {}, BLOCK)
    assert (decision.cup.name, decision.cup.alternative) == ("C", "D")
    assert decision.u_difference_mm == pytest.approx(50**0.5)
    assert "measure high and full bust again" in (decision.cup.decides or "")
    sure = decide(near | taped(1.0, high_bust=880, full_bust=880 + 3.4 * INCH_MM), {}, BLOCK)
    assert sure.cup.alternative is None


def test_a_full_bust_below_the_high_bust_is_the_smallest_cup_and_no_error() -> None:
    # Published tables hold differences down to -5/8 in (ASTM D5585, size 00).
    decision = decide(on_block("1", full_bust=760 - 15.9), {}, BLOCK)
    assert decision.cup.name == "AA"
    assert "not measured larger" in decision.cup.reason


def test_an_estimated_hip_answers_at_both_ends_of_its_bound() -> None:
    customer = on_block("4")
    del customer["full_hip"]
    decision = decide(customer, guessed(full_hip=(960, 1060)), BLOCK)
    row = decision.ease[-1]
    assert (row.basis, row.fit) == ("estimated", "open")
    assert (row.low_mm, row.high_mm) == (960, 1060)
    assert (row.size_at_low, row.size_at_high) == ("4", "6")
    assert row.ease_at_low_mm == pytest.approx(990 + 80 - 960)
    assert row.ease_at_high_mm == pytest.approx(990 + 80 - 1060)
    assert "Measuring the full hip with the tape settles it" in row.reason
    assert any("full hip" in warning and "photos" in warning for warning in decision.warnings)


def test_the_tape_goes_before_an_estimate() -> None:
    decision = decide(on_block("4"), guessed(full_hip=(1100, 1200)), BLOCK)
    assert decision.ease[-1].basis == "confirmed"
    assert decision.warnings == ()


def test_a_bound_that_fits_at_both_ends_leaves_nothing_open() -> None:
    customer = on_block("4")
    del customer["waist"]
    decision = decide(customer, guessed(waist=(740, 790)), BLOCK)
    assert decision.ease[1].fit == "good"
    assert decision.changes == ()


def test_an_unknown_high_hip_is_said_and_not_guessed() -> None:
    customer = on_block("4")
    del customer["high_hip"]
    decision = decide(customer, {}, BLOCK)
    assert [row.level for row in decision.ease] == ["full_bust", "waist", "full_hip"]
    assert any("high hip is not known" in warning for warning in decision.warnings)


def test_a_kept_number_counts_and_is_said() -> None:
    customer = on_block("4") | {"waist": Confirmed("waist", 760, 8, "measured three times")}
    decision = decide(customer, {}, BLOCK)
    assert decision.ease[1].basis == "kept"
    assert decision.warnings == ("Kept with a reason, not confirmed: waist.",)


@pytest.mark.parametrize(
    ("back_waist_length", "stature", "code", "amount"),
    [
        (409, 1680, None, 0),
        (430, 1680, "lengthen", 21),
        (390, 1680, "shorten", 19),
        (394, 1560, None, 0),
        (424, 1800, None, 0),
    ],
)
def test_the_back_waist_length_lengthens_or_shortens(
    back_waist_length: float, stature: float, code: str | None, amount: float
) -> None:
    customer = on_block("4", stature=stature, back_waist_length=back_waist_length)
    changes = [c for c in decide(customer, {}, BLOCK).changes if "the back waist" in c.reason]
    assert [change.code for change in changes] == ([code] if code else [])
    assert [change.low_mm for change in changes] == ([pytest.approx(amount)] if code else [])


def test_tight_hips_call_for_width_before_a_sway_back_change() -> None:
    decision = decide(on_block("4", full_hip=1060), {}, BLOCK)
    assert any("sway back" in c and "before changing the back" in c for c in decision.cautions)


@pytest.mark.parametrize(
    ("full_hip", "words"),
    [(1050, "to give"), (1070, "gains 2.4 cm (1 in) at most")],
)
def test_letting_out_is_held_against_the_allowance(full_hip: float, words: str) -> None:
    # Drafted for 990 with 80 of ease, 40 needed: 1050 lacks 20, and 4 x 6 mm can be gained.
    decision = decide(on_block("4", full_hip=full_hip), {}, BLOCK)
    change = next(change for change in decision.changes if change.code == "let-out")
    assert change.low_mm == pytest.approx(40 - (1070 - full_hip))
    assert change.parts == 4
    assert words in change.reason


def test_a_layer_underneath_takes_from_the_ease() -> None:
    sheer = decide(on_block("4", waist=766), {}, BLOCK, "sheer-blouse")
    waist = sheer.ease[1]
    assert waist.ease_at_low_mm == pytest.approx(760 + 170 - 766 - 10)
    assert any("another layer" in caution for caution in sheer.cautions)


def test_a_french_seam_has_nothing_to_let_out() -> None:
    decision = decide(on_block("4", high_hip=1000), {}, BLOCK, "sheer-blouse")
    change = next(change for change in decision.changes if change.code == "let-out")
    assert "French seam" in change.reason


def test_a_garment_smaller_than_the_body_is_said_to_have_to_stretch() -> None:
    # Waist: 76 cm drafted for, 15 cm of ease, hers 100 cm.
    (row,) = (
        one for one in decide(on_block("4", waist=1000), {}, BLOCK).ease if one.level == "waist"
    )
    assert row.reason == (
        "Size 4 would have to stretch by 9.0 cm (3 1/2 in) at the waist; at least 5.0 cm (2 in) "
        "of ease are needed."
    )


def test_a_knit_may_stretch() -> None:
    decision = decide(on_block("4", waist=810), {}, BLOCK, "camisole")
    assert decision.ease[1].fit == "good"
    assert "stretch" in decision.ease[1].reason


def test_another_fabric_has_another_ease() -> None:
    woven = decide(on_block("4"), {}, BLOCK)
    knit = decide(on_block("4"), {}, BLOCK, "blouse", "knit")
    assert (woven.fabric, knit.fabric) == ("woven", "knit")
    assert woven.ease[0].finished_mm - knit.ease[0].finished_mm == pytest.approx(50)


@pytest.mark.parametrize(
    ("high_bust", "words"), [(700, "smaller than this block"), (1250, "larger than this block")]
)
def test_outside_the_block_the_end_size_comes_with_a_warning(high_bust: float, words: str) -> None:
    customer = on_block("4") | taped(high_bust=high_bust, full_bust=high_bust + 50)
    assert any(words in warning for warning in decide(customer, {}, BLOCK).warnings)


@pytest.mark.parametrize(
    ("missing", "words"),
    [
        (("stature",), "confirmed: height."),
        (("high_bust", "full_bust"), "confirmed: high bust and full bust."),
        (
            ("stature", "high_bust", "full_bust", "waist", "full_hip"),
            "height, high bust and full bust; waist and full hip (by tape, or from photos)",
        ),
    ],
)
def test_sizing_is_refused_with_what_is_missing(missing: tuple[str, ...], words: str) -> None:
    customer = {code: c for code, c in on_block("4").items() if code not in missing}
    with pytest.raises(EntryProblem) as caught:
        decide(customer, {}, BLOCK)
    assert caught.value.code == "not-confirmed"
    assert words in caught.value.sentence


def test_a_garment_ending_at_the_waist_needs_no_hip() -> None:
    customer = {c: v for c, v in on_block("4").items() if c not in ("full_hip", "high_hip")}
    assert [row.level for row in decide(customer, {}, BLOCK, "camisole").ease] == [
        "full_bust",
        "waist",
    ]


@pytest.mark.parametrize(
    ("garment", "fabric", "code"),
    [("gown", None, "unknown-garment"), ("camisole", "woven", "unknown-fabric")],
)
def test_unknown_garments_and_fabrics_are_refused_with_the_choice(
    garment: str, fabric: str | None, code: str
) -> None:
    with pytest.raises(EntryProblem) as caught:
        decide(on_block("4"), {}, BLOCK, garment, fabric)
    assert caught.value.code == code
    assert "Choose one of" in caught.value.advice


def test_a_decision_survives_its_file() -> None:
    customer = on_block("4", full_bust=982, underbust=800)
    del customer["full_hip"]
    decision = decide(customer, guessed(full_hip=(960, 1500)), BLOCK)
    text = json.dumps(decision.to_json())
    assert decision_from_json(json.loads(text)) == decision
    assert decision_from_json(json.loads(text) | {"of a later version": 1}) == decision


def _without_size(data: dict[str, Any]) -> object:
    return {key: value for key, value in data.items() if key != "size"}


def _text_for_number(data: dict[str, Any]) -> object:
    return data | {"difference_mm": "100"}


def _no_table(data: dict[str, Any]) -> object:
    return [data]


@pytest.mark.parametrize("spoil", [_without_size, _text_for_number, _no_table])
def test_a_spoilt_decision_is_refused(spoil: Any) -> None:
    with pytest.raises(SittingProblem):
        decision_from_json(spoil(decide(on_block("4"), {}, BLOCK).to_json()))


def test_every_step_has_its_reason() -> None:
    decision = decide(on_block("4", full_bust=982, full_hip=1060), {}, BLOCK)
    steps = decision.reasons
    assert [step.title for step in steps[:3]] == ["Length class", "Size", "Cup"]
    assert len(steps) == 3 + len(decision.ease) + len(decision.changes) + 1
    for step in steps:
        assert step.answer
        assert step.reason.endswith(".")
        assert step.reason[0].isupper()


@pytest.mark.parametrize(
    ("inches", "cups", "drafted"),
    [
        # Just below the step to D, and above it; the block is drafted in A to C.
        (3.45, ("C", "D"), False),
        (3.55, ("D", "C"), False),
        (2.45, ("B", "C"), True),
    ],
)
def test_beyond_the_largest_drafted_cup_a_bust_adjustment_takes_the_place_of_a_larger_one(
    inches: float, cups: tuple[str, str], drafted: bool
) -> None:
    block = replace(BLOCK, drafted_cups=("A", "B", "C"))
    high_bust = on_block("4")["high_bust"].value_mm
    cup = decide(on_block("4", full_bust=high_bust + inches * INCH_MM), {}, block).cup
    assert (cup.name, cup.alternative) == cups
    assert cup.decides is not None
    assert ("the trial is cut for the larger cup" in cup.decides) == drafted
    assert ("drafted up to C only" in cup.decides) != drafted
