import pytest

from ellwand.listing import capital, listed


@pytest.mark.parametrize(
    ("words", "row"),
    [
        ([], ""),
        (["waist"], "waist"),
        (["waist", "hip"], "waist and hip"),
        (("bust", "waist", "hip"), "bust, waist and hip"),
    ],
)
def test_words_are_parted_by_commas_and_the_last_by_and(words: list[str], row: str) -> None:
    assert listed(words) == row


@pytest.mark.parametrize(
    ("text", "begun"),
    [
        ("", ""),
        ("high hip", "High hip"),
        ("hoher Hüftumfang", "Hoher Hüftumfang"),
        ("übrig", "Übrig"),
        ("36 3/8 in", "36 3/8 in"),
    ],
)
def test_a_line_begins_with_a_capital_and_the_rest_stays(text: str, begun: str) -> None:
    assert capital(text) == begun
