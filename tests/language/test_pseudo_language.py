"""The language for tests itself."""

import pytest

from ellwand.language import Noun, gettext, ngettext, speaking
from tests.pseudo_language import Bracketed, not_said, speak_it


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("⟦Measure again.⟧", []),
        ("⟦Measure the ⟧⟦waist⟧⟦ again, at ⟧92,5 cm⟦.⟧ 36 3/8 Zoll", []),
        ("⟦The size⟧: 12, D+", []),
        ("Measure ⟦again⟧", ["Measure"]),
        ("⟦a⟧ and ⟦b⟧", ["and"]),
        ("⟦waist⟧ in ⟦cm⟧, 36 in", ["in", "in"]),
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
            "Measure {here:the} again, {taken}, and type what the tape shows.",
            here=Noun("waist"),
            taken="twice",
        )
        counted = ngettext("{number} day before", "{number} days before", 2)
    assert said == "⟦Measure ⟧⟦waist⟧⟦ again, ⟧twice⟦, and type what the tape shows.⟧"
    assert not_said(said) == ["twice"]
    assert counted == "2⟦ days before⟧"


def test_what_german_lacks_comes_out_bare(monkeypatch: pytest.MonkeyPatch) -> None:
    speak_it(monkeypatch)
    assert not_said(gettext("Nobody says this.")) == ["Nobody", "says", "this"]
    # Another domain's text is of no use here.
    assert Bracketed("page").gettext("Before you begin") == "⟦Before you begin⟧"
    assert Bracketed("scripts").gettext("Before you begin") == "Before you begin"
