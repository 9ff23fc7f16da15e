"""Lengths as they are shown: rounding, the unit of who reads first, the sign of her language."""

import math
import threading
from collections.abc import Callable
from fractions import Fraction

import pytest

from ellwand.card import in_words
from ellwand.language import LANGUAGES, Language, speaking
from ellwand.quantity import Unit, parse_length
from ellwand.shown import (
    folded,
    glued,
    half_up,
    in_both_units,
    in_unit,
    showing_first,
    shown_first,
    sign_of,
)
from ellwand.sizing.wording import bounds_words, edge_words, parted_words, split_words


@pytest.mark.parametrize(
    ("step", "rounded", "shown"),
    [(None, half_up, "36 3/8 in"), (Fraction(1, 2), math.floor, "36 in"),
     (Fraction(1, 2), math.ceil, "36 1/2 in"), (Fraction(1), half_up, "36 in")],
)  # fmt: skip
def test_a_length_is_shown_to_a_step(
    step: Fraction | None, rounded: Callable[[Fraction], int], shown: str
) -> None:
    assert in_unit(925.0, "in", step, rounded) == shown


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (925.0, "92.5 cm (36 3/8 in)"),
        (923.925, "92.4 cm (36 3/8 in)"),
        (914.4, "91.4 cm (36 in)"),
        (924.5, "92.5 cm (36 3/8 in)"),
        (12.7, "1.3 cm (1/2 in)"),
        (1.0, "0.1 cm (0 in)"),
        (-16.0, "-1.6 cm (-5/8 in)"),
        (-0.2, "0.0 cm (0 in)"),
        (1676.4, "167.6 cm (66 in)"),
        # As fine as it was typed, and so are middles; kept to a ten thousandth of a millimetre.
        (265.1125, "26.5 cm (10 7/16 in)"),
        (871.5375, "87.2 cm (34 5/16 in)"),
        (696.9125, "69.7 cm (27 7/16 in)"),
        (25.4 * 10 + 25.4 * 15 / 32, "26.6 cm (10 15/32 in)"),
        (round(-25.4 * 3 / 32, 4), "-0.2 cm (-3/32 in)"),
        # Of a ruler in centimetres nothing lies on a finer mark.
        (265.0, "26.5 cm (10 3/8 in)"),
    ],
)
def test_a_length_is_shown_in_both_units(mm: float, text: str) -> None:
    assert in_both_units(mm) == text


@pytest.mark.parametrize(
    ("mm", "parts", "whole", "each"),
    [
        (120.0, 4, "12.0 cm (4 3/4 in)", "3.0 cm (1 3/16 in)"),
        (70.0, 4, "7.0 cm (2 3/4 in)", "1.8 cm (11/16 in)"),
        (80.0, 4, "8.0 cm (3 1/4 in)", "2.0 cm (13/16 in)"),
        (25.0, 2, "2.5 cm (1 in)", "1.3 cm (1/2 in)"),
        # Of a block that is drafted in inches every part is told as it is.
        (25.4 * 3.125, 4, "7.9 cm (3 1/8 in)", "2.0 cm (25/32 in)"),
    ],
)
def test_in_inches_the_parts_of_an_amount_make_up_the_whole(
    mm: float, parts: int, whole: str, each: str
) -> None:
    assert split_words(mm, parts) == (whole, each)


def test_both_rows_of_a_french_seam_use_up_its_allowance() -> None:
    assert parted_words([8.0, 12.0]) == (
        "2.0 cm (13/16 in)",
        ["0.8 cm (5/16 in)", "1.2 cm (1/2 in)"],
    )


@pytest.mark.parametrize("parts", [2, 4])
def test_parts_in_inches_make_up_the_whole_whatever_the_amount(parts: int) -> None:
    for tenths in range(60, 1500):
        told = (words.partition("(")[2][:-1] for words in split_words(tenths / 1.7, parts))
        whole, each = (parse_length(words, "in").value for words in told)
        assert whole == parts * each
        assert abs(whole - Fraction(tenths / 1.7) / Fraction("25.4")) <= Fraction(parts, 32)


@pytest.mark.parametrize("mm", [float("nan"), float("inf")])
def test_no_number_is_no_length(mm: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        in_both_units(mm)


INCHES_FIRST = [
    (lambda: in_both_units(925.0), "36 3/8 in (92.5 cm)"),
    (lambda: in_both_units(-16.0), "-5/8 in (-1.6 cm)"),
    (lambda: in_words(50.0, 12.0, 88.0), "2 ± 1 5/8 in (5.0 ± 3.8 cm)"),
    (lambda: edge_words(5.0), "3/16 in (0.5 cm)"),
    (lambda: " by ".join(split_words(20.0, 4)), "3/4 in (2.0 cm) by 3/16 in (0.5 cm)"),
    (lambda: bounds_words(881.0, 926.0), "34 5/8 in (88.1 cm) and 36 1/2 in (92.6 cm)"),
]


@pytest.mark.parametrize(("show", "text"), INCHES_FIRST)
def test_inches_come_first_for_who_measures_in_inches(show: Callable[[], str], text: str) -> None:
    with showing_first("in"):
        assert show() == text
    assert show() != text


def test_a_unit_comes_first_inside_and_no_longer_after() -> None:
    with showing_first("in"):
        with showing_first("cm"):
            assert in_both_units(925.0) == "92.5 cm (36 3/8 in)"
        assert in_both_units(925.0) == "36 3/8 in (92.5 cm)"
    assert shown_first() == "cm"


def test_a_mistake_inside_ends_the_order_too() -> None:
    with pytest.raises(ValueError, match="finite"), showing_first("in"):
        in_both_units(math.nan)
    assert shown_first() == "cm"


def test_another_thread_has_its_own_order() -> None:
    seen: list[str] = []
    with showing_first("in"):
        thread = threading.Thread(target=lambda: seen.append(shown_first()))
        thread.start()
        thread.join()
    assert seen == ["cm"]


def test_inches_have_the_sign_of_the_language() -> None:
    assert (sign_of("in"), sign_of("cm"), sign_of("mm")) == ("in", "cm", "mm")
    with speaking("de"):
        assert (sign_of("in"), sign_of("cm"), sign_of("mm")) == ("Zoll", "cm", "mm")
        assert in_both_units(925.0) == "92,5 cm (36 3/8 Zoll)"
        assert in_words(50.0, 12.0, 88.0) == "5,0 ± 3,8 cm (2 ± 1 5/8 Zoll)"
        with showing_first("in"):
            assert in_both_units(925.0) == "36 3/8 Zoll (92,5 cm)"


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("unit", ["cm", "in", "mm"])
def test_what_is_shown_can_be_typed(language: Language, unit: Unit) -> None:
    with speaking(language):
        typed = parse_length(in_unit(923.925, unit), "mm")
    assert typed.unit == unit
    assert in_unit(typed.mm, unit) == in_unit(923.925, unit)


def test_a_number_stays_with_its_unit() -> None:
    told = "92.5_cm (36_3/8_in) ±_1_cm in all, 84_% sure, 70_kg; 3 more in 2 steps"
    assert glued(told.replace("_", " ")) == told.replace("_", "\N{NO-BREAK SPACE}")
    with speaking("de"):
        told = "36_3/8_Zoll in 5_Fuß"
        assert glued(told.replace("_", " ")) == told.replace("_", "\N{NO-BREAK SPACE}")


def test_no_line_of_a_terminal_ends_within_a_length() -> None:
    assert folded("Lengthen by 36 3/8 in", 18, "- ", "  ") == ["- Lengthen by", "  36 3/8 in"]
