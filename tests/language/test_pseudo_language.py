"""The language for tests itself."""

import pytest

from ellwand.language import Noun, gettext, speaking
from tests.pseudo_language import not_said, speak_it


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("⟦Measure again.⟧", []),
        ("⟦Measure the ⟧⟦waist⟧⟦ again, at ⟧92,5 cm⟦.⟧ 36 3/8 in", []),
        ("⟦The size⟧: 12, D+", []),
        ("Measure ⟦again⟧", ["Measure"]),
        ("⟦a⟧ and ⟦b⟧", ["and"]),
    ],
)
def test_what_is_not_in_brackets_was_not_looked_up(text: str, left: list[str]) -> None:
    assert not_said(text) == left


def test_what_she_typed_stands_for_itself() -> None:
    assert not_said("⟦You entered ⟧about forty", "about forty") == []


def test_all_that_is_looked_up_stands_in_brackets(monkeypatch: pytest.MonkeyPatch) -> None:
    speak_it(monkeypatch)
    with speaking("de"):
        said = gettext(
            "Measure the {here} again, not the {other}.", here=Noun("waist"), other="hem"
        )
    assert said == "⟦Measure the ⟧⟦waist⟧⟦ again, not the ⟧hem⟦.⟧"
    assert not_said(said) == ["hem"]
