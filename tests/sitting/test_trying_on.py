"""After the try-on: what is noted, that nothing of it is lost, and where the next order starts."""

import json

import pytest

from ellwand.errors import EntryProblem
from ellwand.sitting import (
    Sitting,
    TriedOn,
    TypedFinding,
    dump,
    learnt,
    parse,
    read,
    sized,
    tried_on,
)
from ellwand.sizing import Block, Made, decision_from_json, demo_block
from ellwand.sizing.learnt import pattern_words

BLOCK = demo_block()
HIP_MM = 1089.05
RIDES, SNUG = TypedFinding("rides up at the back"), TypedFinding("snug at full hip", "3/4 in")


def measured(**changed: str) -> Sitting:
    """Her sitting, exactly as size 5 of the demo block but for the full hip."""
    record = Sitting()
    entries = {
        "stature": "168",
        "high_bust": "92",
        "full_bust": "97",
        "waist": "80",
        "high_hip": "96",
        "full_hip": "42 7/8 in",
    }
    for code, text in (entries | changed).items():
        record = read(record, code, [text] if code == "stature" else [text, text]).record
    return record


SIZED = sized(measured(), BLOCK)


def again(record: Sitting, *typed: TypedFinding, made: Made = "plain") -> Sitting:
    return tried_on(record, BLOCK, typed, made=made).record


def pattern(record: Sitting, block: Block = BLOCK) -> str:
    """What the next order is, in sizes."""
    decision = decision_from_json(sized(record, block).decision)
    return pattern_words(decision.changes, block.sizes[4], block)


def problem(record: Sitting, *typed: TypedFinding, **others: str) -> str:
    before = dump(record)
    with pytest.raises(EntryProblem) as caught:
        tried_on(record, BLOCK, typed, **others)  # type: ignore[arg-type]
    assert dump(record) == before
    return caught.value.code


def test_what_was_seen_is_noted_with_what_it_was_worn_over() -> None:
    result = tried_on(SIZED, BLOCK, [RIDES, SNUG], "  a camisole \n of silk", made="plain")
    (entry,) = result.record.tryons
    assert (entry.garment, entry.block, entry.size) == ("blouse", "Demo blouse block", "5")
    assert (entry.made, entry.over) == ("plain", "a camisole of silk")
    assert [one.code for one in entry.findings] == ["rides-up-at-the-back", "snug"]
    assert entry.findings[1].by is not None
    assert (entry.findings[1].by.raw, entry.findings[1].by.mm) == ("3/4 in", 19.05)
    hip = entry.girths["full_hip"]
    assert (hip.way, hip.known, hip.gain_mm, hip.girth_mm) == ("snug", "measured", 19.05, 1049.05)
    assert {level for level, one in entry.girths.items() if one.way} == {"full_hip"}
    assert result.record.decision == SIZED.decision


def test_the_next_order_starts_from_it() -> None:
    assert pattern(SIZED) == "size 5 at the bust, one size more at the full hip"
    result = tried_on(SIZED, BLOCK, [RIDES, SNUG], made="plain")
    told = "size 5 at the bust, half a size more at the full hip"
    assert pattern(result.record) == told
    assert pattern_words(result.next_order.changes, BLOCK.sizes[4], BLOCK) == told
    # Nobody measured how much is lacking: the numbers give a least, and plan a whole size.
    unmeasured = again(SIZED, RIDES)
    hip = unmeasured.tryons[0].girths["full_hip"]
    assert (hip.way, hip.known, hip.girth_mm) == (
        "snug",
        "numbers",
        pytest.approx(1049.025, abs=0.01),
    )
    assert pattern(unmeasured) == "size 5 at the bust, one size more at the full hip"


def test_what_is_not_told_is_not_guessed() -> None:
    """The plan gives the full hip a size more; with or without it the same words mean another."""
    result = tried_on(SIZED, BLOCK, [RIDES, SNUG, TypedFinding("loose at waist", "3 cm")])
    entry = result.record.tryons[0]
    assert entry.made == "untold"
    assert result.examined[0].causes[0][1].each_edge_mm == pytest.approx(4.7625)
    assert {level for level, one in entry.girths.items() if one.way} == {"waist"}
    assert problem(result.record, SNUG, made="altered") == "not-tried-on-before"
    # Where the decision changes nothing there is nothing to tell.
    plain = sized(measured(full_hip="103"), BLOCK)
    assert tried_on(plain, BLOCK, [SNUG]).record.tryons[0].made == "planned"


def test_recording_the_same_try_on_again_teaches_nothing_new() -> None:
    once = again(SIZED, RIDES, SNUG)
    twice = again(once, RIDES, SNUG)
    assert len(twice.tryons) == 2
    assert twice.tryons[0] == twice.tryons[1]
    assert learnt(twice, BLOCK) == learnt(once, BLOCK)
    assert again(SIZED, RIDES, RIDES).tryons == again(SIZED, RIDES).tryons


def test_the_newest_word_on_a_level_counts_and_the_others_stand() -> None:
    record = again(SIZED, SNUG)
    record = again(record, TypedFinding("loose at the waist", "3 cm"))
    assert [one.level for one in learnt(record, BLOCK)] == ["waist", "full_hip"]
    record = again(record, TypedFinding("snug at full hip", "1 in"))
    girths = {one.level: one.girth_mm for one in learnt(record, BLOCK)}
    assert girths == {"waist": 770.0, "full_hip": 1030 + 25.4}


def test_what_fits_after_letting_out_is_cut_so_next_time() -> None:
    record = again(again(SIZED, SNUG), TypedFinding("fits at full hip"), made="altered")
    hip = record.tryons[-1].girths["full_hip"]
    assert (hip.added_mm, hip.let_out_mm, hip.way) == (19.05, 19.05, "fits")
    assert pattern(record) == "size 5 at the bust, half a size more at the full hip"


def test_a_second_letting_out_has_what_the_first_one_left() -> None:
    record = again(SIZED, SNUG)
    record = again(record, TypedFinding("snug at full hip", "20 mm"), made="altered")
    hip = record.tryons[-1].girths["full_hip"]
    # 24 mm in all are to be had of four edges; 19.05 are gone.
    assert hip.gain_mm == pytest.approx(24 - 19.05)
    assert hip.girth_mm == pytest.approx(1030 + 19.05 + 20)


def test_the_order_after_the_next_starts_from_the_garment_that_was_worn() -> None:
    second = sized(again(SIZED, SNUG), BLOCK)
    record = again(second, TypedFinding("snug at full hip", "1 cm"), made="planned")
    assert record.tryons[-1].girths["full_hip"].added_mm == 19.05
    assert record.tryons[-1].girths["full_hip"].girth_mm == 1059.05
    assert pattern(record) == "size 5 at the bust, half a size more at the full hip"
    # 9 mm are left, which is no half of a size.
    third = again(second, TypedFinding("loose at full hip", "1 cm"), made="planned")
    assert learnt(third, BLOCK)[0].girth_mm == 1039.05
    assert pattern(third) == "size 5 at the bust, 0.9 cm (3/8 in) more at the full hip"


def test_a_try_on_outlives_the_decision_that_it_was_cut_by() -> None:
    record = read(again(SIZED, SNUG), "waist", ["81"]).record
    assert record.decision is None
    assert len(record.tryons) == 1
    assert problem(record, SNUG) == "not-sized"
    assert pattern(record).endswith("half a size more at the full hip")


def test_a_try_on_of_another_block_teaches_nothing_of_this_one() -> None:
    other = BLOCK.__class__(**{**BLOCK.__dict__, "name": "another"})
    record = again(SIZED, SNUG)
    assert learnt(record, other) == ()
    assert problem(sized(record, other), SNUG) == "decided-on-another-block"


def test_a_file_with_a_try_on_is_read_back_whole() -> None:
    record = again(again(SIZED, RIDES, SNUG), TypedFinding("sleeve cap pulls"), made="altered")
    assert parse(dump(record)) == record
    content = json.loads(dump(record))
    content["tryons"][0]["later"] = 1
    content["tryons"][0]["findings"][0]["later"] = 2
    content["tryons"][0]["girths"]["full_hip"]["later"] = 3
    kept = again(parse(json.dumps(content).encode()), SNUG)
    kept = sized(read(kept, "waist", ["80"]).record, BLOCK)
    assert json.loads(dump(kept))["tryons"][:2] == content["tryons"]


def test_a_bare_amount_has_the_unit_of_the_sitting() -> None:
    record = sized(measured().model_copy(update={"unit": "in"}), BLOCK)
    result = tried_on(record, BLOCK, [TypedFinding("snug at full hip", "3/4")])
    assert result.examined[0].finding.by_mm == 19.05


def test_what_it_was_worn_over_is_cut_short_where_it_is_long() -> None:
    result: TriedOn = tried_on(SIZED, BLOCK, [RIDES], "wool " * 40)
    over = result.record.tryons[0].over
    assert over is not None
    assert over.endswith("wool…")
    assert len(over) <= 80
    assert tried_on(SIZED, BLOCK, [RIDES], "  ").record.tryons[0].over is None


def test_what_cannot_be_noted_is_told() -> None:
    assert problem(SIZED) == "no-finding"
    assert problem(measured(), RIDES) == "not-sized"
    assert problem(SIZED, TypedFinding("itches")) == "unknown-finding"
    assert problem(SIZED, TypedFinding("snug at waist", "a bit")) == "entry-unreadable"
    assert problem(SIZED, TypedFinding("gapes at the neckline", "1 in")) == "amount-without-level"
    assert problem(SIZED, TypedFinding("snug at waist", "30 cm")) == "amount-implausible"
    assert problem(SIZED, SNUG, TypedFinding("fits at full hip")) == "findings-contradict"
    assert problem(SIZED, RIDES, garment="camisole") == "sized-for-another-garment"
    assert problem(SIZED, RIDES, over="a\x07") == "over-unprintable"
    assert problem(SIZED, RIDES, made="altered") == "not-tried-on-before"
    short = sized(measured(), BLOCK, "camisole")
    assert problem(short, TypedFinding("fits at high hip")) == "finding-below-hem"
