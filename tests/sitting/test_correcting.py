"""Lines put right by hand on the photos of an invented woman, whose true measures are known."""

import json
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from ellwand.errors import EntryProblem
from ellwand.geometry.levels import Level, find_levels
from ellwand.girth.move import HAND_U_MM, MOST_OUT_MM, MOST_UP_MM, Move
from ellwand.measurements import LEVELS, LevelCode
from ellwand.sitting import (
    Asked,
    Sitting,
    TypedWeight,
    by_hand,
    check_correction,
    corrected,
    dump,
    parse,
    standing,
    without_weight,
)
from ellwand.sitting.correcting import MOST_CORRECTIONS
from ellwand.sitting.correction_entry import CorrectionEntry

from ..conftest import DemoEstimate

UNDO = Asked(undo=True)
# What two roundings of the record to 0.01 mm come to.
ROUNDED_MM = 0.011
# The pixels of a line are placed by one size of a pixel at its end.
PLACED_PX = 0.1


@pytest.fixture(scope="module")
def demo(estimate_of: Callable[[str], DemoEstimate]) -> DemoEstimate:
    return estimate_of("adela")


@pytest.fixture(scope="module")
def before(demo: DemoEstimate) -> Sitting:
    return parse(demo.written)


def up(level: LevelCode, by_mm: float, u_mm: float = 3.0, view: Any = "front") -> Move:
    return Move(view, level, "height", by_mm, u_mm)


def out(level: LevelCode, by_mm: float, view: Any = "front", part: Any = "right") -> Move:
    return Move(view, level, part, by_mm, 3.0)


def moved(record: Sitting, *moves: Move) -> Sitting:
    return corrected(record, Asked(moves))


def girths(record: Sitting) -> dict[str, float]:
    return {code: one.value_mm for code, one in record.estimates().items() if code in LEVELS}


def widths(record: Sitting, code: str) -> tuple[float, float]:
    one = record.estimates()[code]
    assert one.breadth_mm is not None
    assert one.depth_mm is not None
    return one.breadth_mm, one.depth_mm


def height(record: Sitting, code: str) -> float:
    found = record.estimates()[code].height_mm
    assert found is not None
    return found


def lines(record: Sitting, view: str) -> Any:
    assert record.findings is not None
    return getattr(record.findings, view).levels_px


@pytest.mark.parametrize(
    "move",
    [up("waist", 0.0, 12.0), up("full_bust", 0.0, 20.0), out("full_hip", 0.0),
     out("underbust", 0.0, "side", "left")],
)  # fmt: skip
def test_a_line_confirmed_where_it_is_changes_nothing_but_the_doubt(
    before: Sitting, move: Move
) -> None:
    after = moved(before, move)
    old, new = before.estimates(), after.estimates()
    for code, one in old.items():
        assert new[code].value_mm == one.value_mm
        assert (new[code].breadth_mm, new[code].depth_mm) == (one.breadth_mm, one.depth_mm)
        assert new[code].height_mm == one.height_mm
    assert lines(after, "front") == lines(before, "front")
    assert lines(after, "side") == lines(before, "side")
    assert new[move.level].u_mm > old[move.level].u_mm
    shares = {share.source: share.share for share in new[move.level].budget}
    assert shares["line placed by hand"] > 0
    assert after.measurements[move.level].u_mm == new[move.level].u_mm


def test_the_same_place_gives_the_same_numbers_however_surely_it_is_shown(before: Sitting) -> None:
    sure, unsure = (moved(before, up("waist", 8.0, u)) for u in (2.0, 16.0))
    assert girths(sure) == girths(unsure)
    for code in ("waist", "waist_to_hip"):
        assert sure.estimates()[code].u_mm < unsure.estimates()[code].u_mm


@pytest.mark.parametrize(
    ("code", "view", "part"),
    [("waist", "front", "right"), ("waist", "front", "left"), ("waist", "side", "left"),
     ("full_hip", "side", "right"), ("full_bust", "side", "left"), ("underbust", "front", "left")],
)  # fmt: skip
def test_an_end_ten_millimetres_farther_out_widens_the_body_by_as_much(
    before: Sitting, code: LevelCode, view: Any, part: Any
) -> None:
    after = moved(before, out(code, 10.0, view, part))
    grown = [new - old for old, new in zip(widths(before, code), widths(after, code), strict=True)]
    # A breadth is seen from the front, a depth from the side.
    assert grown == pytest.approx([10.0, 0.0] if view == "front" else [0.0, 10.0], abs=ROUNDED_MM)
    # An ellipse grows by 1.2 to 2 times what one of its axes does; the outline around it, which
    # moves along, may add a little, and people hold it back a little.
    assert 10.0 < girths(after)[code] - girths(before)[code] < 25.0
    end = 0 if part == "left" else 1
    shift = lines(after, view)[code][end][0] - lines(before, view)[code][end][0]
    assert (shift > 4.0) if end else (shift < -4.0)
    assert lines(after, view)[code][1 - end] == lines(before, view)[code][1 - end]


def test_an_end_moved_out_and_back_in_is_where_it_was(before: Sitting) -> None:
    after = moved(moved(before, out("waist", 12.0)), out("waist", -12.0))
    assert girths(after) == pytest.approx(girths(before), abs=ROUNDED_MM)
    assert widths(after, "waist") == pytest.approx(widths(before, "waist"), abs=ROUNDED_MM)


def test_a_height_moved_in_one_photo_moves_in_the_other_too(before: Sitting) -> None:
    front, side = (moved(before, up("full_hip", 15.0, view=view)) for view in ("front", "side"))
    assert girths(front) == girths(side)
    assert height(front, "full_hip") - height(before, "full_hip") == pytest.approx(
        15.0, abs=ROUNDED_MM
    )
    for view in ("front", "side"):
        for old, new in zip(
            lines(before, view)["full_hip"], lines(front, view)["full_hip"], strict=True
        ):
            # Upwards in a picture is towards less.
            assert new[1] < old[1] - 6.0


def test_several_moves_are_as_good_as_one(before: Sitting) -> None:
    whole = moved(before, up("full_bust", 9.0), up("waist", -6.0))
    parts = moved(
        moved(moved(before, up("full_bust", 4.0)), up("waist", -6.0)), up("full_bust", 5.0)
    )
    assert girths(parts) == girths(whole)


def test_the_high_hip_goes_with_the_waist_that_defines_it_until_it_is_placed(
    before: Sitting,
) -> None:
    after = moved(before, up("waist", 10.0))
    assert height(after, "high_hip") - height(before, "high_hip") == pytest.approx(10.0, abs=0.011)
    placed = moved(before, up("high_hip", -3.0), up("waist", 10.0))
    assert height(placed, "high_hip") - height(before, "high_hip") == pytest.approx(-3.0, abs=0.011)


@pytest.mark.parametrize(
    ("code", "wrong_mm"), [("full_bust", -35.0), ("waist", 30.0), ("full_hip", 45.0)]
)
def test_a_level_found_wrong_and_put_where_it_truly_is_brings_the_girth_nearer_to_the_truth(
    demo: DemoEstimate,
    before: Sitting,
    monkeypatch: pytest.MonkeyPatch,
    code: LevelCode,
    wrong_mm: float,
) -> None:
    def misled(*args: Any) -> dict[LevelCode, Level]:
        found = find_levels(*args)
        at = replace(found[code], height_mm=found[code].height_mm + wrong_mm)
        return {**found, code: at}

    monkeypatch.setattr("ellwand.girth.posterior.find_levels", misled)
    truth = demo.truth["levels"][code]
    wrong = moved(before, up("high_hip", 0.0))
    right = moved(wrong, up(code, truth["height_mm"] - height(wrong, code)))
    off_before, off_after = (abs(girths(one)[code] - truth["girth_mm"]) for one in (wrong, right))
    assert off_after < off_before / 2
    assert height(right, code) == pytest.approx(truth["height_mm"], abs=ROUNDED_MM)


def test_undoing_gives_back_the_very_numbers_and_nothing_is_removed(before: Sitting) -> None:
    first = moved(before, up("waist", 12.0))
    second = moved(first, out("full_hip", -7.0), up("full_bust", 4.0))
    back = corrected(parse(dump(second)), UNDO)
    whole = corrected(back, UNDO)
    assert numbers(back) == numbers(first)
    assert numbers(whole) == numbers(before)
    assert whole.findings is not None
    assert [one.number for one in whole.findings.corrections] == [1, 2, 3, 4]
    assert [one.undoes for one in whole.findings.corrections] == [None, None, 2, 1]
    assert standing(whole.findings.corrections) == ()
    assert whole.measurements == before.measurements
    again = moved(whole, up("waist", 12.0))
    assert numbers(again) == numbers(first)


def numbers(record: Sitting) -> Any:
    assert record.findings is not None
    return record.findings.model_copy(update={"corrections": ()})


def test_the_record_says_what_was_moved_from_where_to_where(before: Sitting) -> None:
    after = parse(dump(moved(before, up("waist", 12.0), out("waist", 5.0, "side"))))
    assert after.findings is not None
    level, end = after.findings.corrections[0].moves
    assert (level.view, level.level, level.part, level.by_mm, level.u_mm) == (
        "front", "waist", "height", 12.0, 3.0,
    )  # fmt: skip
    assert level.from_px == lines(before, "front")["waist"]
    assert level.to_px == lines(after, "front")["waist"]
    assert end.to_px == lines(after, "side")["waist"]
    assert by_hand(after.findings) == {"waist": "level and outline"}
    assert by_hand(before.findings) == {}


def test_a_correction_keeps_keys_of_other_versions_and_drops_the_decision(before: Sitting) -> None:
    content = json.loads(dump(before.model_copy(update={"decision": {"size": "4"}})))
    content["findings"]["colour"] = "red"
    content["findings"]["front"]["traced"]["colour"] = "blue"
    after = moved(parse(json.dumps(content).encode()), up("waist", 12.0))
    assert after.decision is None
    written = json.loads(dump(after))
    assert written["findings"]["colour"] == "red"
    assert written["findings"]["front"]["traced"]["colour"] == "blue"


def test_her_weight_counts_but_is_kept_in_one_place_only(before: Sitting) -> None:
    assert before.setup is not None
    setup = before.setup.model_copy(update={"weight": TypedWeight(raw="67.5 kg", kg=67.5)})
    told = moved(before.model_copy(update={"setup": setup}), up("waist", 0.0))
    assert girths(told) != girths(before)
    assert b"67.5 kg" in dump(told)
    assert b"67.5" not in dump(without_weight(told))


def refusal(record: Sitting, asked: Asked) -> str:
    with pytest.raises(EntryProblem) as caught:
        corrected(record, asked)
    assert caught.value.http_status == 422
    return caught.value.code


def test_what_cannot_be_put_right_is_said(before: Sitting) -> None:
    far, wide = MOST_UP_MM + 1, MOST_OUT_MM + 1
    cases = {
        "level-not-in-view": [up("high_bust", 5.0)],
        "moved-too-far": [up("waist", far)],
        "hand-unsure": [up("waist", 5.0, 0.0)],
        "nothing-moved": [],
        "levels-out-of-order": [up("underbust", -120.0)],
        "level-outside-outline": [up("high_bust", 140.0, view="side")],
    }
    for code, moves in cases.items():
        assert refusal(before, Asked(tuple(moves))) == code
    assert refusal(before, Asked((out("waist", -wide),))) == "moved-too-far"
    assert refusal(before, Asked((up("waist", float("nan")),))) == "moved-too-far"
    inward = [
        out("waist", -MOST_OUT_MM, view, part)
        for view in ("front", "side")
        for part in ("left", "right")
    ]
    assert refusal(before, Asked((*inward, *inward))) == "moved-to-no-girth"
    assert refusal(before, UNDO) == "nothing-to-undo"
    assert refusal(before, Asked((up("waist", 5.0),), undo=True)) == "moved-and-undone"


def test_a_sitting_without_photos_or_of_an_older_version_has_nothing_to_correct(
    before: Sitting,
) -> None:
    move = Asked((up("waist", 5.0),))
    assert refusal(Sitting(), move) == "nothing-to-correct"
    assert before.findings is not None
    side = before.findings.side.model_copy(update={"traced": None})
    older = before.findings.model_copy(update={"side": side})
    assert refusal(before.model_copy(update={"findings": older}), move) == "too-little-kept"
    older = before.findings.model_copy(update={"setup": None})
    assert refusal(before.model_copy(update={"findings": older}), UNDO) == "too-little-kept"


def test_corrections_end_somewhere(before: Sitting) -> None:
    assert before.findings is not None
    many = tuple(CorrectionEntry(number=k + 1, undoes=0) for k in range(MOST_CORRECTIONS))
    full = before.findings.model_copy(update={"corrections": many})
    record = before.model_copy(update={"findings": full})
    with pytest.raises(EntryProblem) as caught:
        check_correction(record, Asked((up("waist", 5.0, HAND_U_MM),)))
    assert caught.value.code == "too-many-corrections"
