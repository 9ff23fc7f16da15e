import pytest

from ellwand.errors import EntryProblem
from ellwand.sitting import (
    EntriesRefused,
    Sitting,
    active,
    confirmed,
    keep,
    open_queries,
    read,
    repeatability,
    with_findings,
    with_setup,
    with_stature,
)
from ellwand.sitting.typed import TypedWeight
from ellwand.tape import Confirmed

from .invented import GIRTHS_MM, SETUP, findings

PHOTOS = with_findings(Sitting(), findings())


def after(record: Sitting, *acts: tuple[str, str]) -> Sitting:
    """The record after reading entries in; repeats are parted by a bar."""
    for code, texts in acts:
        record = read(record, code, texts.split("|")).record
    return record


def standing(record: Sitting, code: str) -> str:
    return record.measurements[code].standing


def problem(record: Sitting, code: str, *entries: str) -> str:
    with pytest.raises(EntryProblem) as caught:
        read(record, code, entries)
    return caught.value.code


def test_photos_alone_make_estimates_and_no_facts() -> None:
    assert {standing(PHOTOS, code) for code in GIRTHS_MM} == {"estimated"}
    assert PHOTOS.measurements["waist"].value_mm == 760.0
    assert PHOTOS.measurements["waist"].u_mm == 20.0
    assert confirmed(PHOTOS) == {}


def test_one_sound_reading_is_read_and_asks_for_the_second() -> None:
    result = read(PHOTOS, "full_bust", ["37 3/8 in"])
    assert standing(result.record, "full_bust") == "read"
    assert result.queries == []
    assert result.echo[0] == "full bust, reading 1: 94.9 cm (37 3/8 in)"
    assert "second time" in result.echo[-1]
    assert confirmed(result.record) == {}


def test_two_readings_that_agree_are_confirmed_together_or_one_by_one() -> None:
    at_once = read(PHOTOS, "full_bust", ["37 3/8 in", "95.3 cm"])
    one_by_one = after(PHOTOS, ("full_bust", "37 3/8 in"), ("full_bust", "95.3 cm"))
    assert at_once.record == one_by_one
    fact = confirmed(one_by_one)["full_bust"]
    assert fact.value_mm == (949.325 + 953) / 2
    assert fact.reason is None
    assert fact.u_mm < 10
    assert at_once.echo == [
        "full bust, reading 1: 94.9 cm (37 3/8 in)",
        "full bust, reading 2: 95.3 cm (37 1/2 in)",
        "Confirmed by 2 readings: 95.1 cm (37 1/2 in).",
    ]


def test_a_third_reading_settles_two_that_are_an_inch_apart() -> None:
    two = after(PHOTOS, ("waist", "30 in|31 in"))
    assert standing(two, "waist") == "queried"
    assert [query.rule for query in open_queries(two)] == ["repeats"]
    result = read(two, "waist", ["30 1/4 in"])
    three = result.record
    assert standing(three, "waist") == "confirmed"
    assert [row.raw for row in active(three, "waist")] == ["30 in", "30 1/4 in"]
    assert three.measurements["waist"].value_mm == pytest.approx(30.125 * 25.4, abs=1e-4)
    assert result.echo[1:] == [
        "Too far from the others, and no longer counting: 31 in.",
        "Confirmed by 2 readings: 76.5 cm (30 1/8 in).",
    ]


@pytest.mark.parametrize("texts", ["1.234|88|88.4", "88|1.234|88.4", "88|88.4|1.234"])
def test_a_number_that_no_body_has_no_longer_counts_beside_two_others(texts: str) -> None:
    record = Sitting()
    for text in texts.split("|"):
        record = read(record, "high_bust", [text]).record
    assert standing(record, "high_bust") == "confirmed"
    assert [row.raw for row in active(record, "high_bust")] == ["88", "88.4"]


def test_what_stood_beside_a_number_that_no_body_has_is_not_thrown_away_with_it() -> None:
    record = after(Sitting(), ("high_bust", "88"), ("high_bust", "1.234"), ("high_bust", "91"))
    assert [row.raw for row in active(record, "high_bust")] == ["88", "91"]
    assert [query.rule for query in open_queries(record)] == ["repeats"]


def test_two_against_two_that_were_confirmed_ask_for_another() -> None:
    record = after(PHOTOS, ("waist", "76|76.4"), ("waist", "78"))
    assert standing(record, "waist") == "confirmed"
    assert len(active(record, "waist")) == 3
    record = after(record, ("waist", "78.2"))
    assert [query.rule for query in open_queries(record)] == ["repeats"]
    record = after(record, ("waist", "78.4"))
    assert [row.raw for row in active(record, "waist")] == ["78", "78.2", "78.4"]


def test_of_three_readings_near_each_other_all_count() -> None:
    record = after(PHOTOS, ("waist", "76|76.5"), ("waist", "76.9"))
    assert len(active(record, "waist")) == 3
    assert record.measurements["waist"].value_mm == 765.0


def test_a_height_is_confirmed_by_one_reading() -> None:
    record = after(PHOTOS, ("stature", "5 ft 6 in"))
    assert standing(record, "stature") == "confirmed"
    assert confirmed(record)["stature"].value_mm == 1676.4


def test_a_slip_is_queried_and_its_correction_takes_its_place() -> None:
    slipped = after(PHOTOS, ("full_bust", "37.4"))
    assert standing(slipped, "full_bust") == "queried"
    (query,) = open_queries(slipped)
    assert query.slip == "wrong unit"
    assert query.corrected_mm == pytest.approx(949.96)
    result = read(slipped, "full_bust", ["37.4 in"])
    assert standing(result.record, "full_bust") == "read"
    assert [row.superseded for row in result.record.readings["full_bust"]] == [True, False]
    assert [row.raw for row in result.record.readings["full_bust"]] == ["37.4", "37.4 in"]
    assert any("no longer count" in line for line in result.echo)
    assert standing(after(result.record, ("full_bust", "95")), "full_bust") == "confirmed"


def test_a_doubted_reading_that_comes_again_is_a_repeat_and_stays_in_doubt() -> None:
    record = after(PHOTOS, ("full_bust", "87"), ("full_bust", "87.5"))
    assert standing(record, "full_bust") == "queried"
    assert len(active(record, "full_bust")) == 2


def test_a_doubted_reading_is_not_replaced_by_one_in_doubt() -> None:
    record = after(PHOTOS, ("full_bust", "87"), ("full_bust", "80"))
    assert len(active(record, "full_bust")) == 2


def test_earlier_readings_stop_counting_when_she_says_so() -> None:
    record = after(PHOTOS, ("waist", "76|76.5"))
    result = read(record, "waist", ["79"], instead=True)
    assert [row.superseded for row in result.record.readings["waist"]] == [True, True, False]
    assert standing(result.record, "waist") == "read"
    assert read(PHOTOS, "waist", ["76"], instead=True).record == after(PHOTOS, ("waist", "76"))


def test_keeping_makes_a_fact_with_its_reason() -> None:
    record = keep(after(PHOTOS, ("full_bust", "87")), "full_bust", " dressed\n in  a coat ")
    assert standing(record, "full_bust") == "kept"
    assert confirmed(record)["full_bust"] == Confirmed(
        "full_bust", 870.0, 10.0, "dressed in a coat"
    )
    assert open_queries(record) == []
    assert [query.rule for query in record.measurements["full_bust"].queries] == ["estimate"]


def test_one_reading_may_be_kept_without_a_query() -> None:
    record = keep(after(PHOTOS, ("waist", "76")), "waist", "no time for a second")
    assert standing(record, "waist") == "kept"


def test_keeping_lasts_through_new_photos_and_ends_with_the_next_reading() -> None:
    record = keep(after(PHOTOS, ("full_bust", "87")), "full_bust", "sure")
    again = with_findings(record, findings(full_bust=940.0))
    assert standing(again, "full_bust") == "kept"
    more = after(again, ("full_bust", "87.2"))
    assert standing(more, "full_bust") == "queried"
    assert more.measurements["full_bust"].reason is None
    assert [one.reason for one in more.keeps["full_bust"]] == ["sure"]


def test_keeping_the_one_in_doubt_of_two_values_out_of_order_answers_for_both() -> None:
    record = after(Sitting(), ("high_bust", "95|95"), ("full_bust", "90|90"))
    (query,) = open_queries(record)
    (other,) = {"high_bust", "full_bust"} - {query.code}
    assert (query.rule, query.against, standing(record, other)) == ("order", other, "confirmed")
    record = keep(record, query.code, "flat after an operation")
    assert open_queries(record) == []
    assert standing(record, other) == "confirmed"


def test_a_reading_in_doubt_leaves_its_neighbour_confirmed() -> None:
    record = after(Sitting(), ("full_bust", "92|92.5"), ("high_bust", "98"))
    assert standing(record, "high_bust") == "queried"
    assert standing(record, "full_bust") == "confirmed"
    record = after(record, ("high_bust", "88.5"))
    assert standing(record, "high_bust") == "read"


def test_a_weight_narrows_what_women_are_taken_to_have() -> None:
    # 84 cm around the waist is common, but hardly at 50 kg.
    record = after(Sitting(), ("stature", "168"), ("waist", "84"))
    assert standing(record, "waist") == "read"
    light = SETUP.model_copy(update={"weight": TypedWeight(raw="50 kg", kg=50.0)})
    record = after(with_setup(record, light), ("full_hip", "92"))
    assert standing(record, "waist") == "queried"
    (query,) = record.measurements["waist"].queries
    assert "kg" not in query.sentence
    assert "weight" not in query.sentence


def test_the_technical_error_of_a_sitting_leaves_out_what_slipped() -> None:
    assert repeatability(PHOTOS) is None
    record = after(PHOTOS, ("waist", "76|76.6|67"), ("full_bust", "95|95.4"), ("full_hip", "101"))
    found = repeatability(record)
    assert found is not None
    # Differences of 6 and 4 mm: (36 + 16) / 4 = 13.
    assert found.value_mm == pytest.approx(13**0.5)
    assert found.measurements == 2


def test_a_remark_holds_nothing_back() -> None:
    record = after(Sitting(), ("high_bust", "90|90"))
    result = read(record, "full_bust", ["89", "89.5"])
    assert [query.blocks for query in result.queries] == [False]
    assert standing(result.record, "full_bust") == "confirmed"


def test_what_cannot_be_kept_is_told() -> None:
    def refusal(record: Sitting, code: str, reason: str) -> str:
        with pytest.raises(EntryProblem) as caught:
            keep(record, code, reason)
        return caught.value.code

    one = after(PHOTOS, ("waist", "76"))
    assert refusal(one, "bust", "sure") == "unknown-measurement"
    assert refusal(one, "full_bust", "sure") == "no-reading"
    assert refusal(one, "waist", "  ") == "no-reason"
    assert refusal(one, "waist", "x" * 201) == "reason-too-long"
    assert refusal(one, "waist", "a\x07b") == "reason-unprintable"
    assert refusal(one, "waist", "a\ud800b") == "reason-unprintable"
    assert refusal(after(one, ("waist", "76")), "waist", "sure") == "already-confirmed"
    # Half way between both lies a waist that no tape has shown.
    assert refusal(after(one, ("waist", "90")), "waist", "sure") == "readings-differ"
    # Kept, it would be cut into cloth.
    assert refusal(after(Sitting(), ("full_bust", "9")), "full_bust", "sure") == "out-of-range"
    assert refusal(after(one, ("waist", "1.2")), "waist", "sure") == "out-of-range"


def test_one_bad_entry_among_several_reads_none_in() -> None:
    assert problem(PHOTOS, "waist", "76", "about 77") == "entry-unreadable"
    assert problem(PHOTOS, "waist") == "no-entry"
    assert problem(PHOTOS, "bust", "76") == "unknown-measurement"


def test_each_bad_entry_of_several_is_told_by_its_number() -> None:
    with pytest.raises(EntriesRefused) as caught:
        read(PHOTOS, "waist", ["seventy-six", "76,5", "seventy"])
    assert [one.where for one in caught.value.entries] == [("entries", 0), ("entries", 2)]
    assert caught.value.sentence == "Several entries cannot be used."
    assert caught.value.advice.startswith("Entry 1 and Entry 3: ")
    with pytest.raises(EntriesRefused) as caught:
        read(PHOTOS, "waist", ["76", "seventy"])
    assert caught.value.entries[0].where == ("entries", 1)
    assert caught.value.sentence != "Several entries cannot be used."


def test_a_bare_number_takes_the_unit_of_the_sitting() -> None:
    assert after(Sitting(unit="in"), ("waist", "30")).measurements["waist"].value_mm == 762.0


def test_the_height_for_photos_takes_the_place_of_another_and_is_noted_once() -> None:
    record = with_stature(Sitting(), "168")
    assert with_stature(record, "1.68 m") == record
    other = with_stature(record, "5 ft 5 in")
    assert [row.superseded for row in other.readings["stature"]] == [True, False]
    assert other.measurements["stature"].value_mm == 1651.0


@pytest.mark.parametrize("text", ["1.68", "168 in", "16.8"])
def test_photos_are_not_measured_by_an_implausible_height(text: str) -> None:
    with pytest.raises(EntryProblem) as caught:
        with_stature(Sitting(), text)
    assert caught.value.code == "stature-implausible"
    assert text not in caught.value.sentence


def test_new_photos_judge_old_readings_anew() -> None:
    record = after(Sitting(), ("full_bust", "87|87.5"))
    assert standing(record, "full_bust") == "confirmed"
    seen = with_findings(record, findings())
    assert standing(seen, "full_bust") == "queried"
    assert standing(with_findings(seen, findings(full_bust=880.0)), "full_bust") == "confirmed"


def test_the_same_act_on_the_same_record_gives_the_same_record() -> None:
    assert with_findings(PHOTOS, findings()) == PHOTOS
    setup = with_setup(PHOTOS, SETUP)
    assert with_setup(setup, SETUP) == setup


def test_a_decision_falls_with_the_numbers_it_rests_on() -> None:
    record = after(PHOTOS, ("waist", "76"))
    record = record.model_copy(update={"decision": {"size": "40"}})
    assert with_findings(record, findings()).decision == {"size": "40"}
    assert with_setup(record, SETUP).decision == {"size": "40"}
    assert after(record, ("waist", "76.5")).decision is None
    assert with_findings(record, findings(full_bust=960.0)).decision is None
