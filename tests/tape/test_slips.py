from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.quantity import Length, Unit, run_together
from ellwand.tape import Reading, SlipName, enter
from ellwand.tape.slips import (
    NAMELESS_SD_MM,
    SLIPS,
    SOUND_RATE,
    TYPED_TWICE,
    UNDO,
    Undone,
    undo_all,
)
from tests.typed import typed


def ways(slip: SlipName, text: str, unit: Unit = "cm", code: str = "full_bust") -> list[Undone]:
    return UNDO[slip](enter(code, text, unit))


def undone(slip: SlipName, text: str, unit: Unit = "cm") -> list[float]:
    return [way.mm for way in ways(slip, text, unit)]


CASES: list[tuple[SlipName, str, float]] = [
    ("wrong unit", "36.375", 923.925),
    ("wrong unit", "92.5 in", 925.0),
    ("wrong unit", "925", 925.0),
    ("wrong unit", "92.5 mm", 925.0),
    ("decimal point lost", "925", 925.0),
    ("decimal point lost", "9.25", 925.0),
    ("tape doubled", "46.25", 925.0),
    ("tape doubled", "185", 925.0),
    ("tape read from its other end", "57.5", 925.0),
    ("tape read from its other end", "23 5/8 in", 923.925),
    ("counted from the 10 cm mark", "102.5", 925.0),
    ("counted from the 10 cm mark", "37 3/8 in", 923.925),
    ("a ten misread", "82.5", 925.0),
    ("a ten misread", "26 3/8 in", 923.925),
    ("a ten misread", "46 3/8 in", 923.925),
    ("digits swapped", "29.5", 925.0),
    ("digits swapped", "95.2", 925.0),
    ("digits swapped", "63 3/8 in", 923.925),
    ("digits swapped", "011", 1010.0),
    ("tape crooked or loose", "96.5", 925.0),
]


@pytest.mark.parametrize(("slip", "text", "mm"), CASES)
def test_each_slip_is_undone(slip: SlipName, text: str, mm: float) -> None:
    assert any(way == pytest.approx(mm) for way in undone(slip, text))


@pytest.mark.parametrize("unit", ["cm", "in"])
@pytest.mark.parametrize("text", ["56", "5.6", "5,6"])
def test_a_height_may_be_feet_and_inches_typed_as_one_number(text: str, unit: Unit) -> None:
    assert pytest.approx(1676.4) in [way.mm for way in ways("wrong unit", text, unit, "stature")]


@pytest.mark.parametrize("text", ["56 cm", "62", "5.12", "3.6", "5 ft 6"])
def test_what_is_no_such_number_is_not_taken_for_one(text: str) -> None:
    assert run_together(text) is None


def test_digits_of_a_fraction_are_not_swapped() -> None:
    assert undone("digits swapped", "36 3/8 in") == [pytest.approx(63.375 * 25.4)]


@pytest.mark.parametrize("text", ["9 in", "\u00bd in", "99", "90.0 mm"])
def test_swapping_never_gives_the_reading_itself_or_nothing(text: str) -> None:
    reading = enter("full_bust", text, "cm")
    assert reading.mm not in undone("digits swapped", text)


def test_nobody_means_a_number_that_begins_with_a_nought() -> None:
    assert 116.0 not in undone("digits swapped", "1016")
    assert undone("digits swapped", "101") == [1100.0]
    assert all(way.gain > 1 for way in ways("digits swapped", "011"))


def test_the_form_of_a_number_speaks_for_the_unit_that_was_meant() -> None:
    (eighths, _), (tenths, _) = ways("wrong unit", "36 3/8"), ways("wrong unit", "36.4")
    assert eighths.gain > 500 * tenths.gain
    (named, _) = ways("wrong unit", "36 3/8 cm")
    assert named.share < eighths.share


def test_a_whole_number_has_lost_its_point_and_a_decimal_has_it_in_the_wrong_place() -> None:
    for text, mm in (("925", 925.0), ("9.25", 925.0)):
        best = max(ways("decimal point lost", text), key=lambda way: way.share)
        assert best.mm == pytest.approx(mm)


@pytest.mark.parametrize(
    ("code", "text", "unit", "bust_mm"),
    [
        ("underbust", "75", "cm", 900.0),
        ("full_bust", "34", "in", 34 * 25.4 + 150),
        ("waist", "40", "cm", 920.0),
        ("full_hip", "8", "in", (31.5 + 5.44) * 25.4),
    ],
)
def test_a_size_only_hints_at_the_bust(code: str, text: str, unit: Unit, bust_mm: float) -> None:
    found = ways("size typed for a girth", text, unit, code)
    assert any(way.mm == pytest.approx(bust_mm) for way in found)
    assert all(way.of == "full_bust" and way.sd_mm >= 60 for way in found)


@pytest.mark.parametrize("text", ["75.5", "41", "77", "36 1/2"])
def test_what_is_no_size_is_not_taken_for_one(text: str) -> None:
    assert ways("size typed for a girth", text) == []


def test_a_height_has_no_slips_of_a_tape_around_the_body() -> None:
    height = undo_all(enter("stature", "168", "cm"))
    assert set(height) == {"wrong unit", "a ten misread", "digits swapped", "decimal point lost"}
    metres = undo_all(enter("stature", "1.68", "cm"))["wrong unit"]
    assert any(way.mm == pytest.approx(1680.0) for way in metres)


@given(
    st.sampled_from(list(UNDO)),
    st.integers(1, 99_999_99).map(lambda n: Fraction(n, 100)),
    st.sampled_from(["mm", "cm", "in"]),
)
def test_what_a_slip_undoes_to_is_a_length_and_its_weights_are_shares(
    slip: SlipName, value: Fraction, unit: Unit
) -> None:
    length = Length("", value, unit)
    found = UNDO[slip](Reading("waist", typed(value, unit), length.mm, unit))
    assert all(way.mm > 0 and way.gain > 0 and way.sd_mm >= 0 for way in found)
    assert all(0 < way.share <= 1 for way in found)


@given(st.floats(100, 2000))
def test_a_doubled_tape_shows_half_or_twice_and_twice_seldom_beyond_its_length(mm: float) -> None:
    half, twice = (
        next(way for way in UNDO["tape doubled"](Reading("waist", "1", shown, "mm"))
             if way.mm == pytest.approx(mm))
        for shown in (mm / 2, mm * 2)
    )  # fmt: skip
    assert half.share + twice.share == pytest.approx(1)
    assert (twice.share < half.share) == (2 * mm > 1500)


def test_slips_are_rare_against_sound_readings() -> None:
    assert set(SLIPS) == {*UNDO, "fields exchanged"}
    assert SOUND_RATE > 0.85
    assert all(
        0 < habit.rate < 0.05 and 0 <= habit.again <= 1 for habit in (*SLIPS.values(), TYPED_TWICE)
    )
    assert sum(share for share, _ in NAMELESS_SD_MM) == pytest.approx(1)
