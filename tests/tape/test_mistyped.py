"""Entries that are no length: what is said of them, and what may be meant."""

import pytest

from ellwand.errors import EntryProblem
from ellwand.language import speaking
from ellwand.tape import enter, length_meant


def refused(text: str, code: str = "high_bust") -> EntryProblem:
    with pytest.raises(EntryProblem) as caught:
        enter(code, text, "cm")
    assert caught.value.code == "entry-unreadable"
    return caught.value


@pytest.mark.parametrize(
    "text",
    ["89,5 90", "89,5/90", "89.5; 90", "89 und 90", "89 cm 90 cm", "89,5, 90", "34 1/2 35 1/4",
     "89/90", "89.5 + 90"],
)  # fmt: skip
def test_two_numbers_are_told_to_be_two(text: str) -> None:
    assert refused(text).sentence == "There are two numbers in this entry."
    assert length_meant("high_bust", text, "cm") is None
    with speaking("de"):
        assert str(refused(text)) == (
            "In dieser Eingabe stehen zwei Zahlen. Geben Sie immer nur eine Zahl ein; nach der "
            "zweiten wird danach gefragt."
        )


@pytest.mark.parametrize("text", ["36 3/7", "15/64", "neunzig", "89 5", "1 680", "36 13/7", "9 0"])
def test_what_may_be_one_number_is_not_told_to_be_two(text: str) -> None:
    assert refused(text).sentence == "This cannot be read as a length."
    assert length_meant("high_bust", text, "cm") is None


@pytest.mark.parametrize("text", ["ca. 90", "ca 90", "etwa 90", "about 90", "~90", "Ungefähr 90"])
def test_a_word_before_the_number_is_told_and_the_number_offered(text: str) -> None:
    found = refused(text)
    assert found.sentence == "Only the number can be read here, without a word before it."
    assert found.advice == "If you mean 90, type just that."
    meant = length_meant("high_bust", text, "cm")
    assert meant is not None
    assert (meant.raw, meant.mm) == ("90", 900)


@pytest.mark.parametrize("text", ["89 cm 5", "89cm5", "89 cm 5 mm"])
def test_millimetres_behind_the_centimetres_are_offered_as_one_number(text: str) -> None:
    meant = length_meant("high_bust", text, "in")
    assert meant is not None
    assert (meant.raw, meant.mm) == ("89.5 cm", 895)
    with speaking("de"):
        assert str(refused(text)) == (
            "Zentimeter und Millimeter werden als eine Zahl gelesen. Wenn Sie 89,5 cm meinen, "
            "geben Sie nur das ein."
        )


def test_a_girth_in_metres_is_offered_in_centimetres() -> None:
    with speaking("de"):
        meant = length_meant("full_hip", "1,12 m", "cm")
        told = refused("1,12 m", "full_hip")
        assert told.advice == "Wenn Sie 112 cm meinen, geben Sie nur das ein."
        assert told.sentence.startswith("Ein Maßband zeigt")
    assert meant is not None
    assert (meant.raw, meant.mm) == ("112 cm", 1120)


def test_metres_that_no_body_has_are_not_offered() -> None:
    assert length_meant("full_hip", "12 m", "cm") is None
    assert "Type a number" in refused("12 m", "full_hip").advice


@pytest.mark.parametrize("text", ["89.5.", "89,5.", "89,5. cm"])
def test_a_full_stop_behind_a_decimal_is_passed_over(text: str) -> None:
    assert enter("high_bust", text, "cm").mm == 895


def test_a_full_stop_behind_whole_centimetres_may_stand_for_a_lost_figure() -> None:
    assert refused("89.").sentence == "This cannot be read as a length."
