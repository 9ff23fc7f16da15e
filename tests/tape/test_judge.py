import math
from collections.abc import Mapping

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ellwand.measurements import KINDS, Estimate
from ellwand.quantity import parse_length
from ellwand.tape import Query, Reading, judge
from ellwand.tape.judge import tail_probability

from .figures import PHOTOS, estimate, judged, tied


def queries(entries: dict[str, str], photos: Mapping[str, Estimate]) -> list[Query]:
    return [query for one in judged(entries, photos).values() for query in one.queries]


def test_readings_that_fit_raise_nothing() -> None:
    entries = {"high_bust": "90", "full_bust": "96|95.5", "waist": "77", "full_hip": "101"}
    assert queries(entries, PHOTOS) == []


def test_a_reading_far_from_the_photos_is_a_query_with_its_z() -> None:
    found = judged({"full_bust": "87"}, {"full_bust": estimate("full_bust", 950.0, 24.0)})
    query = found["full_bust"].queries[0]
    assert (query.rule, query.blocks) == ("estimate", True)
    assert query.z == pytest.approx(-80 / 26)
    assert query.probability == pytest.approx(0.00209, abs=1e-5)
    assert "87.0 cm (34 1/4 in)" in query.sentence
    assert "8.0 cm (3 1/8 in) less" in query.sentence


def test_a_reading_is_judged_against_the_other_readings_too() -> None:
    # Photos 760 and 1010, u 20, correlation 0.5; the hip is read 30 mm too large. Given that, the
    # waist is expected at 760 + 200 / 500 * 30, with a variance of 400 - 200^2 / 500.
    found = judged({"full_hip": "104", "waist": "88"}, PHOTOS, joint=tied(0.5))
    (query,) = found["waist"].queries
    assert query.z == pytest.approx((880 - 772) / math.sqrt(320 + 100))
    assert "the photos and your other readings" in query.sentence
    assert "10.8 cm (4 1/4 in) more" in query.sentence
    assert found["full_hip"].queries == ()


def test_without_photos_a_query_says_that_it_is_a_weaker_check() -> None:
    (query,) = judged({"full_bust": "92", "waist": "102", "full_hip": "97"}, {})["waist"].queries
    assert query.rule == "women"
    assert "women with your other readings" in query.sentence
    assert "Without photos this is a weaker check." in query.sentence
    (alone,) = judged({"full_bust": "190"}, {})["full_bust"].queries
    assert "more than women have" in alone.sentence


def test_a_reading_outside_the_plausible_range_is_kept_and_queried() -> None:
    found = judged({"full_bust": "36.4"}, {})["full_bust"]
    assert found.taped.value_mm == 364.0
    assert [query.rule for query in found.queries] == ["range"]
    assert found.queries[0].slip == "wrong unit"
    assert "92.5 cm (36 3/8 in)" in found.queries[0].sentence
    assert "unit" in found.queries[0].advice


def test_repeats_apart_ask_for_one_more_and_name_the_slip() -> None:
    (query,) = judged({"waist": "76|67"}, PHOTOS)["waist"].queries
    assert (query.rule, query.slip, query.corrected_mm) == ("repeats", "digits swapped", 760.0)
    assert "once more" in query.advice
    assert judged({"waist": "76|67|76.5"}, PHOTOS)["waist"].queries == ()


def test_an_inch_between_repeats_asks_for_one_more_even_with_photos() -> None:
    assert [q.rule for q in queries({"waist": "30 in|31 in"}, PHOTOS)] == ["repeats"]


def test_agreeing_repeats_that_the_photos_contradict_stay_a_query() -> None:
    assert [q.rule for q in queries({"waist": "90|90.5"}, PHOTOS)] == ["estimate"]


def test_one_slip_throws_no_doubt_on_its_neighbour() -> None:
    found = judged({"high_bust": "90", "full_bust": "36.4"}, PHOTOS)
    assert found["high_bust"].queries == ()
    assert [query.rule for query in found["full_bust"].queries] == ["range"]


# ASTM D5585-11e1, table 1, misses, inches (as quoted in the project's notes): bust, upper chest,
# underbust, waist (curvy).
ASTM = {
    "full_bust": "31 1/8,31 3/4,33,34 1/8,35 1/4,36 1/4,37 1/4,38 3/4,40 3/8,42 1/8,44,46",
    "high_bust": "31 3/4,32 1/4,33 1/4,34 1/8,35,35 7/8,36 3/4,38,39 1/4,40 5/8,42 1/4,43 7/8",
    "underbust": "25 3/4,26 1/2,27 1/4,28,29,30,31,32 1/2,34,35 3/4,37 5/8,39 5/8",
    "waist": "23 7/8,24 5/8,25 3/8,26 1/8,27,28,29,30 3/4,32 1/2,34 1/2,36 3/4,39",
}


STRAIGHT = "25 3/8,26 1/8,26 7/8,27 5/8,28 1/2,29 1/2,30 1/2,32 1/4,34,36,38 1/4,40 1/2"


@pytest.mark.parametrize("step_mm", [None, 1.0, 5.0, 10.0])
@pytest.mark.parametrize("waist", [ASTM["waist"], STRAIGHT])
@pytest.mark.parametrize("size", range(12))
def test_no_published_size_is_queried(size: int, waist: str, step_mm: float | None) -> None:
    """In inches as printed, and in centimetres to tenths, halves and whole numbers."""
    inches = {code: row.split(",")[size] + " in" for code, row in {**ASTM, "waist": waist}.items()}
    entries = inches
    if step_mm is not None:
        mm = {code: parse_length(text, "in").mm for code, text in inches.items()}
        entries = {code: f"{round(one / step_mm) * step_mm / 10:g}" for code, one in mm.items()}
    for some in (list(entries), ["high_bust", "full_bust"]):
        found = queries({code: entries[code] for code in some}, {})
        assert not any(query.blocks for query in found)
        # Size 00 and 0: the high bust exceeds the full bust, as it does on some bodies.
        assert all(query.rule == "order" for query in found)


def test_an_inch_is_never_said_to_be_found_by_photos() -> None:
    for texts in ("31 in", "32 in", "33 in", "34 in", "78.5", "81", "83.5"):
        for query in queries({"waist": texts}, {"waist": estimate("waist", 760.0, 8.0)}):
            assert "1 in mark" not in query.sentence + query.advice


def test_every_query_says_one_thing_to_do() -> None:
    texts = [
        "36.4",
        "9.5",
        "950",
        "59",
        "47.5",
        "55",
        "105",
        "87",
        "190",
        "30 in|31 in",
        "3",
        "1.2",
        "70",
        "38",
        "85",
    ]
    for text in texts:
        for query in queries({"full_bust": text, "high_bust": "90"}, PHOTOS):
            assert query.advice.endswith(".")
            assert query.sentence.startswith(("Full bust", "High bust"))
            assert "{" not in query.sentence + query.advice


def test_the_tail_of_a_normal_distribution_has_its_published_values() -> None:
    assert tail_probability(1.959964) == pytest.approx(0.05, abs=1e-6)
    assert tail_probability(-2.575829) == pytest.approx(0.01, abs=1e-6)


@settings(deadline=None)
@given(
    st.dictionaries(
        st.sampled_from(list(KINDS)),
        st.lists(st.floats(1e-3, 1e6), min_size=1, max_size=4),
        max_size=6,
    ),
    st.booleans(),
)
def test_any_lengths_can_be_judged(mms: dict[str, list[float]], photos: bool) -> None:
    readings = {code: [Reading(code, "1", mm, "mm") for mm in rows] for code, rows in mms.items()}
    for one in judge(readings, PHOTOS if photos else {}).values():
        assert math.isfinite(one.taped.u_mm)
        for query in one.queries:
            assert query.probability is None or 0 <= query.probability <= 1
            assert query.corrected_mm is None or query.corrected_mm > 0


@pytest.mark.parametrize(
    ("code", "text", "photos", "says"),
    [
        ("full_bust", "36.4", True, "inches were entered as centimetres"),
        ("full_bust", "95 in", True, "centimetres were entered as inches"),
        ("stature", "1.68", False, "metres were entered as centimetres"),
        ("full_bust", "85", True, "read 10 cm too low"),
        ("full_bust", "27 3/8 in", True, "read 10 in too low"),
        ("full_bust", "105", True, "begun at the 10 cm mark"),
        ("full_bust", "190", True, "gone round twice"),
        ("full_bust", "47.5", True, "lain double"),
        ("full_hip", "48", True, "from its other end"),
    ],
)
def test_a_slip_is_named_in_plain_words(code: str, text: str, photos: bool, says: str) -> None:
    (query,) = judged({code: text}, PHOTOS if photos else {})[code].queries
    assert says in query.sentence
    assert query.blocks


def test_two_contradicting_readings_are_not_both_queried() -> None:
    found = judged({"stature": "168", "full_bust": "92", "waist": "106", "full_hip": "97"}, {})
    assert [code for code, one in found.items() if one.blocked] == ["waist"]
