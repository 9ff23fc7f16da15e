"""What queries say, read as the customer reads them: numbers in her unit, one thing to do."""

import pytest

from ellwand.shown import showing_first
from ellwand.tape import Query, TechnicalError, scatter
from ellwand.tape.sentences import MEASURE_ANOTHER, SCATTERS, SCATTERS_OR_SLIP

from .figures import PHOTOS, entered, estimate, judged


def the_query(code: str, texts: str, photos: bool = True) -> Query:
    (query,) = judged({code: texts}, PHOTOS if photos else {})[code].queries
    return query


def test_a_whole_query_in_centimetres() -> None:
    query = the_query("full_bust", "105")
    assert query.sentence == (
        "You entered 105 cm; the photos suggest about 95 cm, most likely between 91 cm and 99 cm."
    )
    assert query.cause == (
        "Perhaps the tape began at its 10-cm mark and not at its very end; it would then be 95 cm."
    )
    assert query.told == f"{query.sentence} {query.cause}"
    assert query.advice == (
        "Measure again from the very end of the tape, not from a mark on it. If the tape shows "
        "the same again, keep the value and say how you measured."
    )


def test_a_whole_query_in_inches() -> None:
    query = the_query("full_bust", "27 3/8 in")
    assert query.sentence == (
        "You entered 27 3/8 in; the photos suggest about 37 1/2 in, most likely between 35 1/2 in "
        "and 39 in."
    )
    assert query.cause == (
        "Perhaps you read 10 in less than the tape shows; it would then be 37 3/8 in."
    )
    assert "its first digits above all" in query.advice


def test_readings_that_differ_are_all_named_with_what_is_fine() -> None:
    query = the_query("waist", "76|67")
    assert query.sentence == (
        "You entered 76 cm and 67 cm; they are 9.0 cm apart. Beyond 1.0 cm, one more number has to "
        "decide."
    )
    assert query.cause.startswith(
        "As for 67 cm, perhaps two digits changed places; it would then be 76 cm."
    )
    assert query.advice == MEASURE_ANOTHER
    assert "Beyond 3/8 in, one" in the_query("waist", "30 in|31 in").sentence


def test_of_two_units_that_were_typed_the_one_is_said_that_she_measures_in_now() -> None:
    told = "You entered 30 in and 78.5 cm; they are {apart} apart. Beyond {fine}, one more"
    assert the_query("waist", "30 in|78.5 cm").sentence.startswith(
        told.format(apart="2.3 cm", fine="1.0 cm")
    )
    with showing_first("in"):
        assert the_query("waist", "30 in|78.5 cm").sentence.startswith(
            told.format(apart="7/8 in", fine="3/8 in")
        )


def test_a_slip_that_chance_explains_better_is_told_after_it() -> None:
    query = the_query("waist", "76.1|72.5")
    assert query.sentence.endswith(f"has to decide. {SCATTERS_OR_SLIP}")
    assert query.cause == (
        "As for 72.5 cm, perhaps two digits changed places; it would then be 75.2 cm."
    )
    assert the_query("waist", "76|77.3").told.endswith(f"has to decide. {SCATTERS}")
    assert "chance" not in the_query("waist", "76|81").sentence


SLIPPED = [
    ("full_bust", "36.4", True, "you meant 36.4 in; that would be 92.5 cm", "typed: 36.4 in."),
    ("full_bust", "95 in", True, "you meant 95 cm; that would be 37 3/8 in", "typed: 95 cm."),
    ("stature", "1.68", False, "you meant 1.68 m; that would be 168 cm", "typed: 1.68 m."),
    ("full_bust", "85", True, "10 cm less than the tape shows", "exactly what it shows"),
    ("full_bust", "950", True, "the decimal point is missing", "with its unit"),
    ("full_bust", "9.5", True, "one place off", "point or comma"),
    ("full_bust", "9", True, "the last digit is missing; it would then be 90 cm", "what the tape"),
    ("full_bust", "59", True, "two digits changed places", "digit by digit"),
    ("full_bust", "190", True, "went round twice", "once all the way round"),
    ("full_bust", "47.5", True, "half of the way round", "once all the way round"),
    ("full_hip", "48", True, "its other end", "1, 2, 3"),
    ("waist", "101.4", True, "the number of the full hip", "Measure the waist again, where a"),
    ("full_bust", "142", True, "between 91 cm and 99 cm.", "around the fullest part of the bust"),
    (
        "hand",
        "60",
        False,
        "for adults between 14 cm and 35 cm is possible",
        "once all the way round",
    ),
    ("full_bust", "190", False, "only a rough guess", "digit by digit"),
]


@pytest.mark.parametrize(("code", "text", "photos", "says", "do"), SLIPPED)
def test_a_slip_is_named_in_plain_words_with_one_thing_to_do(
    code: str, text: str, photos: bool, says: str, do: str
) -> None:
    query = the_query(code, text, photos)
    assert says in query.told
    assert do in query.advice
    # What no adult measures is not to be kept.
    kept = query.advice.endswith("keep the value and say how you measured.")
    assert kept == (query.rule != "range")
    assert query.blocks
    assert "{" not in query.told + query.advice


def test_exchanged_numbers_are_told_at_both_fields() -> None:
    found = judged({"waist": "101", "full_hip": "76"}, PHOTOS)
    (waist,), (hip,) = found["waist"].queries, found["full_hip"].queries
    assert "waist and full hip changed places; the waist would then be 76 cm" in waist.cause
    assert "the full hip would then be 101 cm" in hip.cause
    assert waist.advice.startswith("Measure waist and full hip again, and type each")


def test_numbers_out_of_order_are_said_to_have_changed_places_perhaps() -> None:
    found = judged({"stature": "160", "high_bust": "93.5|94", "full_bust": "89.5"}, {})
    (query,) = found["full_bust"].queries
    assert query.rule == "order"
    assert query.cause.endswith(
        "Or perhaps the numbers of full bust and high bust changed places; the full bust would "
        "then be 93.8 cm."
    )
    # Photos that speak against it keep it from being said.
    (query,) = judged({"high_bust": "105", "full_bust": "95"}, PHOTOS)["high_bust"].queries
    assert "changed places" not in query.cause


def test_the_number_of_her_height_is_seen_at_a_girth() -> None:
    for code in ("high_bust", "full_bust", "waist", "full_hip"):
        (query,) = judged({"stature": "160", code: "160"}, {})[code].queries
        assert query.cause == (
            "160 cm is what you typed for the height, too; perhaps it got here by mistake."
        )
        assert "{" not in query.advice
    # Who is as far around as she is tall is believed when the photos show it.
    photos = {"full_hip": estimate("full_hip", 1600.0, 40.0)}
    assert not judged({"stature": "160", "full_hip": "160"}, photos)["full_hip"].queries


def test_what_no_body_has_is_not_said_to_belong_elsewhere() -> None:
    for code in ("waist", "full_hip"):
        (query,) = judged({"waist": "9", "full_hip": "9"}, {})[code].queries
        assert query.cause.startswith("Perhaps the last digit is missing")


def test_a_reading_that_does_not_fit_those_that_agree_is_told_of() -> None:
    found = judged({"high_bust": "88|88.5|188"}, {})["high_bust"]
    (remark,) = found.queries
    assert (remark.rule, remark.blocks) == ("repeats", False)
    assert remark.sentence == (
        "Does not fit the other readings, which agree: 188 cm. The value hardly rests on it."
    )
    assert not judged({"high_bust": "88|88.5|88.2"}, {})["high_bust"].queries


def test_a_number_typed_before_is_said_to_be_that_of_the_other_girth() -> None:
    for texts in ("38 1/4 in", "38 1/4 in|38 1/4 in"):
        found = judged({"full_bust": "38 1/4 in", "waist": texts}, PHOTOS)
        (query,) = found["waist"].queries
        assert query.cause.endswith(
            "38 1/4 in is what you typed for the full bust, too; perhaps it got here by mistake."
        )
        assert query.advice.startswith("Measure the waist again, where a")
        assert (query.slip, query.against, query.corrected_mm) == (
            "fields exchanged", "full_bust", None)  # fmt: skip
        assert found["full_bust"].queries == ()


def test_a_number_typed_before_is_told_beside_a_slip_that_shows_the_same() -> None:
    # 91.2 cm at the full hip is 10 cm less than the photos say, and the number of the high bust.
    entries = {"high_bust": "91.2", "waist": "77", "full_hip": "91.2"}
    (query,) = judged(entries, PHOTOS)["full_hip"].queries
    assert query.cause == (
        "Perhaps you read 10 cm less than the tape shows; it would then be 101.2 cm. Or perhaps "
        "this is the number of the high bust, for which you typed the same."
    )


def test_a_second_slip_nearly_as_likely_is_told_too() -> None:
    # Half of 100 cm and the other end of 150 cm both show 50.
    query = the_query("full_hip", "50.3")
    assert query.cause.startswith("Perhaps ")
    assert "Or perhaps " in query.cause
    assert "its other end" in query.cause
    assert "half of the way round" in query.cause


def test_what_few_figures_have_is_said_with_both_numbers() -> None:
    (remark,) = judged({"high_bust": "95.5", "full_bust": "94.5"}, {})["full_bust"].queries
    assert remark.sentence == (
        "High bust (95.5 cm) is 1.0 cm more than full bust (94.5 cm); that is rare."
    )
    assert not remark.blocks


def test_an_entry_is_repeated_as_it_was_typed() -> None:
    assert "You entered 36,4  cm;" not in the_query("full_bust", " 36,4  cm ").sentence
    assert "You entered 36,4 cm;" in the_query("full_bust", " 36,4  cm ").sentence
    assert entered({"waist": "76"})["waist"][0].raw == "76"


def test_a_number_typed_several_times_is_said_once() -> None:
    assert the_query("waist", "99|99").sentence.startswith("You entered 99 cm twice;")
    assert the_query("waist", "99|99|99").sentence.startswith("You entered 99 cm 3 times;")


def test_the_scatter_of_repeats_has_its_name() -> None:
    assert scatter(TechnicalError(3.81, 0.0043, 4)) == (
        "Repeats of 4 measurements scatter by 0.4 cm (1/8 in), 0.4 %. This is the technical error "
        "of measurement."
    )
    assert scatter(TechnicalError(3.81, 0.0043, 1), named=False) == (
        "Repeats of one measurement scatter by 0.4 cm (1/8 in), 0.4 %."
    )
