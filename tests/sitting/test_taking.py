"""How readings were taken: told for those to come, true for each, and what follows from it."""

import json
from datetime import date
from pathlib import Path

import pytest

from ellwand.sitting import (
    Sitting,
    Taking,
    dump,
    keep,
    load,
    parse,
    read,
    rejudged,
    sized,
    taken_of,
    with_stature,
    with_taking,
    worn_warnings,
)
from ellwand.sizing import decision_from_json, demo_block
from ellwand.tape import Taken, Worn

FILES = Path(__file__).parent / "files"
HERSELF = with_taking(Sitting(), "herself", "bra")


def bust(high: Worn, full: Worn) -> Sitting:
    """A sitting with all that a size needs, and two bust girths over these."""
    record = Sitting()
    for code, entry in (("stature", "168"), ("waist", "80"), ("full_hip", "107")):
        record = read(record, code, [entry, entry]).record
    record = read(with_taking(record, "herself", high), "high_bust", ["92", "92"]).record
    return read(with_taking(record, worn=full), "full_bust", ["99", "99"]).record


def test_a_new_sitting_says_nothing_of_it() -> None:
    assert Sitting().taking == Taking(measured_by="untold", worn="untold")
    assert taken_of(read(Sitting(), "waist", ["80"]).record, "waist") == ()


def test_each_reading_keeps_how_it_was_taken() -> None:
    record = read(HERSELF, "full_bust", ["92"]).record
    record = read(with_taking(record, "somebody"), "full_bust", ["92.4"]).record
    record = with_taking(record, "untold", "thick")
    assert [row.taking for row in record.readings["full_bust"]] == [
        Taking(measured_by="herself", worn="bra"),
        Taking(measured_by="somebody", worn="bra"),
    ]
    assert taken_of(record, "full_bust") == (Taken("herself", "bra"), Taken("somebody", "bra"))


def test_what_is_not_told_anew_stays_as_it_was() -> None:
    assert with_taking(HERSELF) == HERSELF
    assert with_taking(HERSELF, worn="nothing").taking.measured_by == "herself"
    assert with_taking(HERSELF, "untold").taking == Taking(worn="bra")


def test_readings_that_no_longer_count_tell_nothing() -> None:
    record = read(HERSELF, "waist", ["80", "80"]).record
    record = read(with_taking(record, "somebody"), "waist", ["82"], instead=True).record
    assert taken_of(record, "waist") == (Taken("somebody"),)


def test_one_reading_of_which_nothing_is_known_stands_beside_others() -> None:
    record = read(read(Sitting(), "waist", ["80"]).record, "waist", ["80"]).record
    assert taken_of(record, "waist") == ()
    record = read(with_taking(record, "herself"), "waist", ["80"]).record
    assert taken_of(record, "waist") == (Taken(), Taken("herself"))


def test_a_height_has_no_clothes_and_the_one_for_photos_was_typed_and_not_taken() -> None:
    record = read(HERSELF, "stature", ["168"]).record
    assert taken_of(record, "stature") == (Taken("herself"),)
    assert taken_of(with_stature(HERSELF, "168"), "stature") == ()


def test_remarks_hold_nothing_back_and_stay_through_keeping() -> None:
    record = with_taking(Sitting(), worn="thick")
    result = read(record, "full_bust", ["99"])
    assert [(one.rule, one.blocks) for one in result.queries] == [("worn", False)]
    assert result.record.measurements["full_bust"].standing == "read"
    kept = keep(result.record, "full_bust", "no time for a second")
    assert [one.rule for one in kept.measurements["full_bust"].queries] == ["worn"]


@pytest.mark.parametrize(("high", "full"), [("bra", "close-top"), ("nothing", "bra")])
def test_a_size_warns_of_a_cup_from_two_layers(high: Worn, full: Worn) -> None:
    decided = decision_from_json(sized(bust(high, full), demo_block()).decision)
    plain = decision_from_json(sized(bust("bra", "bra"), demo_block()).decision)
    (told,) = set(decided.warnings) - set(plain.warnings)
    assert told.startswith("High bust and full bust were not measured over the same")
    # It only says so: no number is made up for it.
    assert (decided.size, decided.cup) == (plain.size, plain.cup)


def test_an_answer_taken_anew_takes_the_remark_and_the_decision_away() -> None:
    record = sized(bust("bra", "thick"), demo_block())
    assert len(worn_warnings(record, ["high_bust", "full_bust"])) == 2
    again = read(with_taking(record, worn="bra"), "full_bust", ["99", "99"], instead=True).record
    assert again.measurements["full_bust"].queries == ()
    assert again.decision is None
    assert worn_warnings(again, ["high_bust", "full_bust"]) == ()


def test_a_size_says_nothing_of_what_it_does_not_use() -> None:
    record = read(with_taking(bust("bra", "bra"), worn="thick"), "underbust", ["80"]).record
    assert worn_warnings(record, ["underbust"]) != ()
    decision = decision_from_json(sized(record, demo_block()).decision)
    assert not any("blouse or thicker" in one for one in decision.warnings)


@pytest.mark.parametrize("file", sorted(FILES.glob("v[123]*.json")), ids=lambda file: file.name)
def test_files_from_before_tell_nothing_and_are_judged_without_it(file: Path) -> None:
    record = load(file)
    assert record.taking == Taking()
    assert all(taken_of(record, code) == () for code in record.readings)
    rules = {one.rule for held in rejudged(record).measurements.values() for one in held.queries}
    assert "worn" not in rules


def test_what_a_later_version_knows_of_it_stays_with_each_reading() -> None:
    content = json.loads(dump(HERSELF))
    content["taking"]["later"] = [1]
    record = parse(json.dumps(content).encode())
    record = read(with_taking(record, worn="nothing"), "waist", ["80"], on=date(2031, 5, 4)).record
    assert record.taking.model_extra == {"later": [1]}
    assert record.readings["waist"][0].taking.model_extra == {"later": [1]}
