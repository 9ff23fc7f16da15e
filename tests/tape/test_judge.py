import math
from collections.abc import Mapping

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.measurements import KINDS, LEVELS, Estimate
from ellwand.quantity import parse_length
from ellwand.tape import Query, Reading, judge
from ellwand.tape.judge import tail_probability
from ellwand.tape.sentences import MEASURE_ANOTHER

from ..published_sizes import ASTM, STRAIGHT
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


def test_a_reading_is_judged_against_the_other_readings_too() -> None:
    # Photos 760 and 1010, u 20, correlation 0.5; the hip is read 30 mm too large. Given that, the
    # waist is expected at 760 + 200 / 500 * 30, with a variance of 400 - 200^2 / 500.
    found = judged({"full_hip": "104", "waist": "88"}, PHOTOS, joint=tied(0.5))
    (query,) = found["waist"].queries
    assert query.z == pytest.approx((880 - 772) / math.sqrt(320 + 100))
    # 772 +- 1.96 sqrt(320), rounded outward.
    assert "the photos and your other numbers suggest about 77 cm, most likely between 73 cm" in (
        query.sentence
    )
    assert found["full_hip"].queries == ()


def test_without_photos_a_query_says_that_it_is_a_weaker_check() -> None:
    (query,) = judged({"full_bust": "92", "waist": "102", "full_hip": "97"}, {})["waist"].queries
    assert query.rule == "women"
    assert "your other numbers suggest" in query.sentence
    assert "without photos that is only a rough guess" in query.sentence
    (alone,) = judged({"full_bust": "190"}, {})["full_bust"].queries
    assert "most women have between" in alone.sentence
    assert "without photos that is only a rough guess" in alone.sentence


def test_a_reading_outside_the_plausible_range_is_kept_and_queried() -> None:
    found = judged({"full_bust": "36.4"}, {})["full_bust"]
    assert found.taped.value_mm == 364.0
    assert [query.rule for query in found.queries] == ["range"]
    assert found.queries[0].slip == "wrong unit"


def test_repeats_apart_ask_for_one_more_and_name_the_slip() -> None:
    (query,) = judged({"waist": "76|67"}, PHOTOS)["waist"].queries
    assert (query.rule, query.slip, query.corrected_mm) == ("repeats", "digits swapped", 760.0)
    (remark,) = judged({"waist": "76|67|76.5"}, PHOTOS)["waist"].queries
    assert not remark.blocks


@given(st.sampled_from(LEVELS), st.integers(24 * 8, 70 * 8), st.booleans())
def test_an_inch_between_repeats_always_asks_for_one_more(
    code: str, eighths: int, photos: bool
) -> None:
    texts = f"{eighths / 8} in|{eighths / 8 + 1} in"
    (query,) = queries({code: texts}, PHOTOS if photos else {})
    assert (query.rule, query.blocks) == ("repeats", True)
    assert query.advice == MEASURE_ANOTHER


@pytest.mark.parametrize("seen", [{}, PHOTOS])
@pytest.mark.parametrize(
    ("texts", "told", "slip", "corrected_mm"),
    [
        ("1.234|88", "You entered 1.234 cm; for adults", None, None),
        ("88|1.234", "You entered 1.234 cm; for adults", None, None),
        ("88|8.8", "You entered 8.8 cm; for adults", "decimal point lost", 880.0),
        ("88|88 in", "You entered 88 in; for adults", "wrong unit", 880.0),
        ("1.234|2.5", "You entered 1.234 cm and 2.5 cm; for adults", None, None),
    ],
)
def test_a_number_that_no_body_has_is_doubted_as_such_beside_another(
    seen: Mapping[str, Estimate],
    texts: str,
    told: str,
    slip: str | None,
    corrected_mm: float | None,
) -> None:
    (query,) = judged({"high_bust": texts}, seen)["high_bust"].queries
    assert (query.rule, query.blocks) == ("range", True)
    assert query.sentence.startswith(told)
    assert (query.slip, query.corrected_mm) == (slip, corrected_mm)


def test_agreeing_repeats_that_the_photos_contradict_stay_a_query() -> None:
    assert [q.rule for q in queries({"waist": "90|90.5"}, PHOTOS)] == ["estimate"]


def test_one_slip_throws_no_doubt_on_its_neighbour() -> None:
    found = judged({"high_bust": "90", "full_bust": "36.4"}, PHOTOS)
    assert found["high_bust"].queries == ()
    assert [query.rule for query in found["full_bust"].queries] == ["range"]


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


@given(st.integers(20 * 8, 50 * 8), st.integers(1, 3), st.sampled_from([4.0, 8.0, 20.0]))
def test_an_inch_is_told_where_repeats_differ_by_it_and_never_from_photos(
    eighths: int, count: int, u_mm: float
) -> None:
    texts = "|".join([f"{eighths / 8} in"] * count)
    for query in queries({"waist": texts}, {"waist": estimate("waist", 760.0, u_mm)}):
        assert "1 in mark" not in query.told + query.advice


def test_the_tail_of_a_normal_distribution_has_its_published_values() -> None:
    assert tail_probability(1.959964) == pytest.approx(0.05, abs=1e-6)
    assert tail_probability(-2.575829) == pytest.approx(0.01, abs=1e-6)


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


def test_two_contradicting_readings_are_not_both_queried() -> None:
    found = judged({"stature": "168", "full_bust": "92", "waist": "106", "full_hip": "97"}, {})
    assert [code for code, one in found.items() if one.blocked] == ["waist"]
