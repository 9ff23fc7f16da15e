import pytest

from ellwand.errors import EntryProblem
from ellwand.tape import Reading, enter


def test_a_reading_keeps_the_text_as_typed() -> None:
    assert enter("full_bust", " 36 3/8 in", "cm") == Reading(
        "full_bust", " 36 3/8 in", 923.925, "in"
    )


def test_only_a_height_may_be_in_feet_or_metres() -> None:
    assert enter("stature", "5 ft 6 in", "cm").mm == 1676.4
    assert enter("stature", "1.68 m", "cm").mm == 1680.0


@pytest.mark.parametrize("text", ["3 ft", "8 ft 2", "3'", "96.5 m", "1 m", "0.9 metres"])
def test_feet_and_metres_of_a_girth_are_told_from_what_is_no_length(text: str) -> None:
    with pytest.raises(EntryProblem) as caught:
        enter("full_bust", text, "cm")
    assert caught.value.sentence.startswith("A tape measure shows centimetres or inches, no")
    # What a body may have in metres is offered in centimetres.
    meant = {"1 m": "100 cm", "0.9 metres": "90 cm"}.get(text)
    assert (f"If you mean {meant}" if meant else '"92.5" or "36 3/8 in"') in caught.value.advice
    for other in ("0", "0 m", "abc", "96.5 km"):
        with pytest.raises(EntryProblem, match="cannot be read as a length"):
            enter("full_bust", other, "cm")


def test_an_unknown_name_is_refused_with_the_names_there_are() -> None:
    with pytest.raises(EntryProblem) as caught:
        enter("bust", "92", "cm")
    assert caught.value.code == "unknown-measurement"
    assert "full_bust" in caught.value.advice


def test_an_implausible_length_is_still_a_reading() -> None:
    assert enter("full_bust", "9250", "cm").mm == 92500.0
