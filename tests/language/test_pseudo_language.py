"""The language for tests itself."""

import pytest

from ellwand.language import Noun, gettext, speaking, spoken_language
from tests.pseudo_language import Bracketed, not_looked_up


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("⟦Measure again.⟧", []),
        ("⟦Measure the ⟦waist⟧ again, at 92,5 cm.⟧ 36 3/8 in", []),
        ("⟦The size⟧: 12, D+", []),
        ("Measure ⟦again⟧", ["Measure"]),
        ("⟦a⟧ and ⟦b⟧", ["and"]),
    ],
)
def test_what_is_not_in_brackets_was_not_looked_up(text: str, left: list[str]) -> None:
    assert not_looked_up(text) == left


def test_her_own_words_stand_for_themselves() -> None:
    assert not_looked_up("⟦You entered⟧ about forty", ["about forty"]) == []


def test_all_that_is_looked_up_stands_in_brackets(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("ellwand.language.spoken.translations", lambda *_: Bracketed())
    with speaking("de"):
        assert spoken_language() == "de"
        said = gettext("Measure the {here} again.", here=Noun("waist"))
    assert said == "⟦Measure the ⟦waist⟧ again.⟧"
