import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ellwand.quantity import Length, Unit, format_length
from ellwand.tape import Reading, SlipName, enter
from ellwand.tape.slips import RATES, SOUND_RATE, UNDO


def undone(slip: SlipName, text: str, unit: Unit = "cm") -> list[float]:
    return [way.mm for way in UNDO[slip](enter("full_bust", text, unit))]


CASES: list[tuple[SlipName, str, float]] = [
    ("wrong unit", "36.375", 923.925),
    ("wrong unit", "92.5 in", 925.0),
    ("wrong unit", "92.5 mm", 925.0),
    ("decimal point lost", "925", 925.0),
    ("decimal point lost", "9.25", 925.0),
    ("tape doubled", "46.25", 925.0),
    ("tape doubled", "185", 925.0),
    ("tape read from its other end", "57.5", 925.0),
    ("tape read from its other end", "23 5/8 in", 923.925),
    ("counted from the 10 cm mark", "102.5", 925.0),
    ("counted from the 10 cm mark", "37 3/8 in", 923.925),
    ("digits swapped", "29.5", 925.0),
    ("digits swapped", "95.2", 925.0),
    ("digits swapped", "63 3/8 in", 923.925),
    ("tape crooked or loose", "96.5", 925.0),
]


@pytest.mark.parametrize(("slip", "text", "mm"), CASES)
def test_each_slip_is_undone(slip: SlipName, text: str, mm: float) -> None:
    assert any(way == pytest.approx(mm) for way in undone(slip, text))


def test_digits_of_a_fraction_are_not_swapped() -> None:
    assert undone("digits swapped", "36 3/8 in") == [pytest.approx(63.375 * 25.4)]


@pytest.mark.parametrize("text", ["9 in", "\u00bd in", "99", "90.0 mm"])
def test_swapping_never_gives_the_reading_itself_or_nothing(text: str) -> None:
    reading = enter("full_bust", text, "cm")
    assert reading.mm not in undone("digits swapped", text)


@settings(deadline=None)
@given(
    st.sampled_from(list(UNDO)),
    st.integers(1, 99_999_99).map(lambda n: Fraction(n, 100)),
    st.sampled_from(["mm", "cm", "in"]),
)
def test_what_a_slip_undoes_to_is_a_length_and_its_weights_are_shares(
    slip: SlipName, value: Fraction, unit: Unit
) -> None:
    length = Length("", value, unit)
    ways = UNDO[slip](Reading("waist", format_length(length), length.mm, unit))
    assert all(way.mm > 0 for way in ways)
    scale = [way.mm / length.mm if "digits" not in slip else 1.0 for way in ways]
    if slip in ("wrong unit", "decimal point lost", "tape doubled"):
        shares = [math.exp(w.log_weight) / s for w, s in zip(ways, scale, strict=True)]
    else:
        shares = [math.exp(way.log_weight) for way in ways]
    assert sum(shares) <= 1 + 1e-9


def test_slips_are_rare_against_sound_readings() -> None:
    assert set(RATES) == {*UNDO, "fields exchanged"}
    assert SOUND_RATE > 0.9
