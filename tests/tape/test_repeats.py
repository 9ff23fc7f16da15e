import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.tape import agreeing, summarise, technical_error, tolerance_mm
from ellwand.tape.repeats import COMMON_SD_MM, TAPE_SD_MM

GIRTHS = st.floats(100, 2400)


@pytest.mark.parametrize(
    ("mms", "value", "agree"),
    [
        ([920.0], 920.0, False),
        ([920.0, 930.0], 925.0, True),
        ([920.0, 930.1], 925.05, False),
        ([1500.0, 1515.0], 1507.5, True),
        ([1500.0, 1516.0], 1508.0, False),
        ([920.0, 945.4, 922.0], 922.0, True),
        ([920.0, 935.0, 950.0], 935.0, False),
        ([920.0, 290.0, 926.0], 920.0, True),
        ([920.0, 922.0, 940.0, 942.0], 931.0, False),
        ([920.0, 922.0, 926.0, 942.0], 924.0, True),
    ],
)
def test_the_median_counts_and_most_readings_must_lie_close(
    mms: list[float], value: float, agree: bool
) -> None:
    taped = summarise(mms)
    assert taped.value_mm == pytest.approx(value, abs=1e-9)
    assert (taped.agree, taped.count) == (agree, len(mms))


@given(GIRTHS)
def test_two_repeats_that_differ_by_an_inch_always_ask_for_a_third(mm: float) -> None:
    assert not summarise([mm, mm + 25.4]).agree


def test_one_reading_has_the_doubt_of_a_tape() -> None:
    assert summarise([920.0]).u_mm == pytest.approx(TAPE_SD_MM)


def test_equal_repeats_lessen_the_doubt_but_never_below_the_common_part() -> None:
    doubts = [summarise([920.0] * count).u_mm for count in (1, 2, 3, 9, 400)]
    assert doubts == sorted(doubts, reverse=True)
    assert doubts[-1] > COMMON_SD_MM


def test_spread_of_two_counts_by_hand() -> None:
    # Own variance of 920 and 928 is 32; pooled with four readings of variance 75: 332 / 5 = 66.4;
    # a mean of two halves it; the common 25 stays.
    assert summarise([920.0, 928.0]).u_mm == pytest.approx(math.sqrt(25 + 33.2))


def test_one_slip_among_three_does_not_blow_up_the_doubt() -> None:
    assert summarise([920.0, 29.0, 926.0]).u_mm < TAPE_SD_MM
    assert summarise([920.0, 29.0]).u_mm > 100


@given(st.lists(GIRTHS, min_size=1, max_size=7))
def test_the_order_of_entry_does_not_matter(mms: list[float]) -> None:
    assert summarise(mms).value_mm == summarise(mms[::-1]).value_mm
    assert summarise(mms).agree == summarise(sorted(mms)).agree
    assert min(mms) <= summarise(mms).value_mm <= max(mms)


def test_the_tolerance_is_ten_millimetres_or_one_in_a_hundred() -> None:
    assert tolerance_mm(800) == pytest.approx(10, abs=1e-3)
    assert tolerance_mm(1200) == pytest.approx(12, abs=1e-3)


def test_nothing_cannot_be_summarised() -> None:
    with pytest.raises(ValueError, match="no reading"):
        summarise([])


def test_the_technical_error_has_its_published_value() -> None:
    # Differences of 6, 4, 0 and 8 mm: their squares sum to 116, and 116 / 8 is 14.5.
    found = technical_error([(840, 846), (902, 898), (765, 765), (1010, 1002), (900,), ()])
    assert found is not None
    assert found.value_mm == pytest.approx(3.81, abs=0.005)
    assert found.share == pytest.approx(found.value_mm / 878.5)
    assert found.measurements == 4


def test_without_repeats_there_is_no_technical_error() -> None:
    assert technical_error([(840,), ()]) is None


@given(st.lists(st.tuples(GIRTHS, GIRTHS), min_size=1, max_size=9))
def test_the_technical_error_of_pairs_is_that_of_the_formula(
    pairs: list[tuple[float, float]],
) -> None:
    found = technical_error(pairs)
    assert found is not None
    squares = sum((one - other) ** 2 for one, other in pairs)
    assert found.value_mm == pytest.approx(math.sqrt(squares / (2 * len(pairs))), abs=1e-6)


def test_readings_that_agree_leave_out_the_one_that_slipped() -> None:
    assert agreeing([920.0, 290.0, 926.0]) == [920.0, 926.0]
    assert agreeing([920.0, 290.0]) == [920.0, 290.0]
    assert agreeing([920.0]) == [920.0]
