"""Entries of length: the grammar as a table, and what must hold for any text."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.errors import EntryProblem
from ellwand.quantity import (
    DENOMINATORS,
    LONGEST_ENTRY,
    MM_PER,
    LargeUnit,
    Unit,
    converted,
    parse_length,
    parse_mass,
)
from tests.typed import typed

HEIGHT: tuple[LargeUnit, ...] = ("m", "ft")
DISTANCE: tuple[LargeUnit, ...] = ("m",)

READ: list[tuple[str, str, Unit]] = [
    ("92.5", "92.5", "cm"),
    ("92,5", "92.5", "cm"),
    ("92.5 cm", "92.5", "cm"),
    ("92.5CM", "92.5", "cm"),
    ("92,5 cm.", "92.5", "cm"),
    ("  92.5   cm ", "92.5", "cm"),
    ("92.5\u00a0cm", "92.5", "cm"),
    ("925 mm", "925", "mm"),
    ("925 millimetres", "925", "mm"),
    ("92.5 centimeters", "92.5", "cm"),
    ("36 3/8 in", "291/8", "in"),
    ("36-3/8 in", "291/8", "in"),
    ("36\u20113/8 in", "291/8", "in"),
    ("36 - 3/8 inches", "291/8", "in"),
    ("36\u215c in", "291/8", "in"),
    ("36 \u215c\u2033", "291/8", "in"),
    ('36 3/8"', "291/8", "in"),
    ("36 3/8''", "291/8", "in"),
    ("36 3/8\u201d", "291/8", "in"),
    ("36 3\u20448 in", "291/8", "in"),
    ("36.375 in", "291/8", "in"),
    ("36 12/32 in", "291/8", "in"),
    ("36 in.", "36", "in"),
    ("36 inch", "36", "in"),
    ("36 Inches", "36", "in"),
    ("\u00bd in", "1/2", "in"),
    ("1/2 in", "1/2", "in"),
    ("92 1/2", "92.5", "cm"),
    ("\uff19\uff12.5", "92.5", "cm"),
    ("92,50", "92.5", "cm"),
]


@pytest.mark.parametrize(("text", "value", "unit"), READ)
def test_an_entry_of_the_grammar_is_read_exactly(text: str, value: str, unit: Unit) -> None:
    length = parse_length(text, "cm")
    assert (length.value, length.unit) == (Fraction(value), unit)
    assert length.raw == text


REFUSED: list[tuple[str, str]] = [
    ("", "entry-empty"),
    ("   ", "entry-empty"),
    ("nan", "entry-unreadable"),
    ("inf", "entry-unreadable"),
    ("-5", "entry-unreadable"),
    ("\u22125 cm", "entry-unreadable"),
    ("+5", "entry-unreadable"),
    ("0", "entry-unreadable"),
    ("0.0 cm", "entry-unreadable"),
    ("1e3", "entry-unreadable"),
    ("9**9**3 cm", "entry-unreadable"),
    ("1,234", "entry-thousands"),
    ("1,234.5 mm", "entry-thousands"),
    ("1.234,5 mm", "entry-unreadable"),
    ("1 234 mm", "entry-unreadable"),
    ("1'234 mm", "entry-unreadable"),
    ("1_000", "entry-unreadable"),
    ("12 m", "entry-unreadable"),
    ("1.68 m", "entry-unreadable"),
    ("3 ft 1 in", "entry-unreadable"),
    ("36'", "entry-unreadable"),
    ("36 3/7 in", "entry-unreadable"),
    ("36 9/8 in", "entry-unreadable"),
    ("36 0/8 in", "entry-unreadable"),
    ("36 \u2153 in", "entry-unreadable"),
    ("36.5 3/8 in", "entry-unreadable"),
    ("363\u20448", "entry-unreadable"),
    ("36 3/8 in cm", "entry-unreadable"),
    ("92.5 km", "entry-unreadable"),
    ("about 92", "entry-unreadable"),
    ("92.5.1", "entry-unreadable"),
    ("92.", "entry-unreadable"),
    ("123456", "entry-unreadable"),
    ("92.1234567", "entry-unreadable"),
    ("\u0669\u0662", "entry-unreadable"),
    ("9" * (LONGEST_ENTRY + 1), "entry-too-long"),
]


@pytest.mark.parametrize(("text", "code"), REFUSED)
def test_anything_else_is_refused_with_an_example_to_type(text: str, code: str) -> None:
    with pytest.raises(EntryProblem) as caught:
        parse_length(text, "cm")
    assert caught.value.code == code
    assert '"92.5"' in caught.value.advice


def test_a_refusal_never_repeats_what_was_typed() -> None:
    with pytest.raises(EntryProblem) as caught:
        parse_length("about 87654", "cm")
    assert "87654" not in str(caught.value)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("1.68 m", 1680.0),
        ("1,68m", 1680.0),
        ("168", 1680.0),
        ("5 ft 6 in", 1676.4),
        ("5'6\"", 1676.4),
        ("5\u20196\u201d", 1676.4),
        ("5\u2032 6\u2033", 1676.4),
        ("5'6", 1676.4),
        ("5 feet 6 inches", 1676.4),
        ("5 ft 6 1/2 in", 1689.1),
        ("5 ft 6\u00bd", 1689.1),
        ("6 ft", 1828.8),
        ("66 in", 1676.4),
        ("1m65", 1650.0),
        ("1 m 65", 1650.0),
        ("1m 65cm", 1650.0),
        ("1 Meter 65", 1650.0),
        ("1 m 05", 1050.0),
        ("5 Fu\u00df 6 Zoll", 1676.4),
        ("5 FUSS 6", 1676.4),
    ],
)
def test_a_height_may_be_in_metres_or_feet(text: str, mm: float) -> None:
    assert parse_length(text, "cm", HEIGHT).mm == mm


@pytest.mark.parametrize(
    "text", ["5 ft 12 in", "5.5 ft", "5 ft 6 cm", "ft 6", "1 m 6", "1 m 065", "3 m 10", "1,680 m"]
)
def test_a_height_in_no_common_spelling_is_refused(text: str) -> None:
    with pytest.raises(EntryProblem, match="5 ft 6 in"):
        parse_length(text, "cm", HEIGHT)


@pytest.mark.parametrize("text", ["5'13", "5 ft 12 in", "5'13\"", "4 ft 12 1/2"])
def test_a_foot_of_inches_beside_feet_is_told_so(text: str) -> None:
    with pytest.raises(EntryProblem, match="inches go up to 11"):
        parse_length(text, "cm", HEIGHT)
    with pytest.raises(EntryProblem, match="no feet"):
        parse_length("5 ft 11", "cm")


@pytest.mark.parametrize("text", ["5 ft 60 cm", "5' 13/10", "ft 13"])
def test_what_is_no_foot_of_inches_is_not_told_so(text: str) -> None:
    with pytest.raises(EntryProblem, match="cannot be read"):
        parse_length(text, "cm", HEIGHT)


def test_a_distance_may_be_in_metres_but_not_in_feet() -> None:
    assert parse_length("0.3 m", "cm", DISTANCE).mm == 300.0
    with pytest.raises(EntryProblem, match="30 cm"):
        parse_length("1 ft", "cm", DISTANCE)
    with pytest.raises(EntryProblem, match="30 cm"):
        parse_length("1 m 20", "cm", DISTANCE)


def test_a_bare_number_takes_the_unit_it_is_told() -> None:
    assert parse_length("36 3/8", "in").mm_exact == Fraction(923925, 1000)
    assert parse_length("925", "mm").mm == 925.0


def test_an_inch_is_25_4_mm_and_a_pound_0_45359237_kg_exactly() -> None:
    # International yard and pound agreement, 1959.
    assert parse_length("1 in", "cm").mm_exact == Fraction(254, 10)
    assert parse_mass("1 lb").kg_exact == Fraction("0.45359237")
    assert parse_mass("1 st").kg_exact == 14 * Fraction("0.45359237")


def test_the_units_library_converts_as_the_core_counts() -> None:
    for unit, mm in MM_PER.items():
        assert converted(Fraction(1), unit, "mm") == mm
    assert converted(Fraction(1), "m", "cm") == 100
    assert converted(Fraction(1), "ft", "in") == 12


UNITS: st.SearchStrategy[Unit] = st.sampled_from(["mm", "cm", "in"])
DECIMALS = st.builds(
    lambda whole, rest, places: Fraction(whole) + Fraction(rest % 10**places, 10**places),
    st.integers(0, 99_999),
    st.integers(0, 999_999),
    st.integers(0, 6),
)
FRACTIONS = st.builds(
    lambda whole, above, below: Fraction(whole) + Fraction(above % below, below),
    st.integers(0, 99_999),
    st.integers(1, 31),
    st.sampled_from(DENOMINATORS),
)


@given((DECIMALS | FRACTIONS).filter(bool), UNITS)
def test_what_is_written_is_read_again(value: Fraction, unit: Unit) -> None:
    again = parse_length(typed(value, unit), "mm")
    assert (again.value, again.unit) == (value, unit)


ODDITIES = st.text(
    alphabet="0123456789 .,/-'\"infcmt\u2044\u215c\u00bd\u2033\u2032\ufdfa", max_size=22
)


@given(st.text() | ODDITIES, UNITS, st.sampled_from([(), DISTANCE, HEIGHT]))
def test_any_text_gives_a_length_or_an_entry_problem(
    text: str, unit: Unit, also: tuple[LargeUnit, ...]
) -> None:
    try:
        length = parse_length(text, unit, also)
    except EntryProblem as problem:
        assert problem.advice
        return
    assert length.value > 0
    written = typed(length.value, length.unit)
    assert len(written) <= LONGEST_ENTRY
    again = parse_length(written, unit)
    assert (again.value, again.unit) == (length.value, length.unit)


@pytest.mark.parametrize(
    ("text", "kg"),
    [
        ("70 kg", "70"),
        ("70kg", "70"),
        ("70,5 KG", "70.5"),
        ("70 1/2 kg", "70.5"),
        ("\uff17\uff10 \u338f", "70"),
        ("70 kilos", "70"),
        ("70 kilogrammes", "70"),
        ("154 lb", "69.85322498"),
        ("154 lbs.", "69.85322498"),
        ("154 pounds", "69.85322498"),
        ("11 st", "69.85322498"),
        ("11 stone", "69.85322498"),
        ("11 st 4 lb", "71.66759446"),
        ("11st 4", "71.66759446"),
        ("11 stones 4 pounds", "71.66759446"),
        ("11 st 4\u00bd lb", "71.894390645"),
    ],
)
def test_a_weight_is_read_exactly_in_kilograms_pounds_or_stones(text: str, kg: str) -> None:
    mass = parse_mass(text)
    assert (mass.kg_exact, mass.raw) == (Fraction(kg), text)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("70", "weight-without-unit"),
        ("154,5", "weight-without-unit"),
        ("136 Pfund", "weight-in-pfund"),
        ("136 Pfd.", "weight-in-pfund"),
        ("", "entry-empty"),
        ("1,540 lb", "entry-thousands"),
        ("7" * (LONGEST_ENTRY + 1), "entry-too-long"),
        ("0 kg", "entry-unreadable"),
        ("0 st 0 lb", "entry-unreadable"),
        ("-70 kg", "entry-unreadable"),
        ("7e1 kg", "entry-unreadable"),
        ("nan kg", "entry-unreadable"),
        ("about 70 kg", "entry-unreadable"),
        ("70 kg 500 g", "entry-unreadable"),
        ("70000 g", "entry-unreadable"),
        ("70 cm", "entry-unreadable"),
        ("70 kg lb", "entry-unreadable"),
        ("11.5 st", "entry-unreadable"),
        ("11 st 14 lb", "entry-unreadable"),
        ("11 st 4 kg", "entry-unreadable"),
        ("st 4", "entry-unreadable"),
        ("kg", "entry-unreadable"),
        ("5 ft", "entry-unreadable"),
    ],
)
def test_any_other_weight_is_refused_with_an_example_and_not_repeated(text: str, code: str) -> None:
    with pytest.raises(EntryProblem) as caught:
        parse_mass(text)
    assert caught.value.code == code
    assert '"70 kg"' in caught.value.advice
    assert "length" not in str(caught.value)
    assert "about" not in str(caught.value)


@given(st.text(max_size=25) | st.from_regex(r"[0-9 .,/a-z]{1,20}", fullmatch=True))
def test_any_text_is_a_weight_or_an_entry_problem(text: str) -> None:
    try:
        mass = parse_mass(text)
    except EntryProblem:
        return
    assert mass.kg_exact > 0


@given(st.integers(1, 39), st.integers(0, 13))
def test_stones_and_pounds_are_as_many_pounds(stones: int, pounds: int) -> None:
    in_pounds = parse_mass(f"{14 * stones + pounds} lb")
    assert parse_mass(f"{stones} st {pounds} lb").kg_exact == in_pounds.kg_exact
