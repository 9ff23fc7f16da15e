import math
from collections.abc import Mapping

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ellwand.measurements import KINDS, Estimate
from ellwand.tape import Query, Reading, judge
from ellwand.tape.judge import tail_probability

from .figures import PHOTOS, estimate, judged


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


@pytest.mark.parametrize(("text", "count"), [("101.6", 0), ("101.8", 1), ("88.4", 0), ("88.3", 1)])
def test_one_in_a_hundred_sound_readings_lies_outside_the_limit(text: str, count: int) -> None:
    # u 24 and tape 10 make 26; 2.576 x 26 = 67.0 mm around 950.
    found = judged({"full_bust": text}, {"full_bust": estimate("full_bust", 950.0, 24.0)})
    assert len(found["full_bust"].queries) == count


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


def test_high_bust_over_full_bust_puts_both_in_doubt() -> None:
    found = judged({"high_bust": "95", "full_bust": "89.5"}, PHOTOS)
    for code, other in (("high_bust", "full_bust"), ("full_bust", "high_bust")):
        (query,) = found[code].queries
        assert (query.rule, query.against, query.blocks) == ("order", other, True)
        assert query.slip == "fields exchanged"


@pytest.mark.parametrize(("full", "rules"), [("90.0", 0), ("89.9", 1), ("88.4", 1), ("88.3", 2)])
def test_high_bust_may_exceed_full_bust_by_16_mm_with_a_remark_only(full: str, rules: int) -> None:
    # ASTM D5585-11e1, table 1: 5/8 in at size 00.
    found = queries({"high_bust": "90", "full_bust": full}, {})
    assert len(found) == rules
    assert all(query.blocks == (rules == 2) for query in found)


@pytest.mark.parametrize(
    ("entries", "count"),
    [
        ({"underbust": "88", "full_bust": "86"}, 0),
        ({"underbust": "88.1", "full_bust": "86"}, 2),
        ({"waist": "106", "high_hip": "100"}, 0),
        ({"waist": "106.1", "high_hip": "100"}, 2),
        ({"high_hip": "106", "full_hip": "100"}, 0),
        ({"high_hip": "106.1", "full_hip": "100"}, 2),
    ],
)
def test_girths_keep_their_order_within_an_allowance(entries: dict[str, str], count: int) -> None:
    assert len(queries(entries, {})) == count


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


@pytest.mark.parametrize("size", range(12))
def test_no_published_size_is_held_back(size: int) -> None:
    entries = {code: column.split(",")[size] + " in" for code, column in ASTM.items()}
    assert not any(query.blocks for query in queries(entries, {}))


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
