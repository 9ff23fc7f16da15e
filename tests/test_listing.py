import pytest

from ellwand.listing import listed


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
