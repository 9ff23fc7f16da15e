"""Every word of the card is said: in a made-up language that brackets all texts, none is left bare.

What a sitting holds in words, names of a block and what she wrote herself stay as they are; what
size engine and tape say is asked of them, and has tests of its own.
"""

import io
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from gettext import NullTranslations
from importlib import import_module

import pytest
from pypdf import PdfReader

from ellwand.card import (
    CardContent,
    CardFinding,
    CardTryOn,
    card_forms,
    card_message,
    card_page,
    card_pdf,
    content_of,
    marker_sheets_pdf,
)
from ellwand.card.content import CardQuery
from ellwand.card.drawing import body_drawing
from ellwand.language import Language, speaking
from ellwand.measurements import Estimate
from ellwand.sitting import Sitting, keep, read, sized, with_findings, with_taking
from ellwand.sizing import demo_block, designation_words, ease_strips
from ellwand.tape import scatter, taken_words

from ..html_read import Read
from ..sitting.invented import findings
from .test_drawing import record as drawn_record

OPEN, CLOSE = "⟦", "⟧"


class Bracketed(NullTranslations):
    """A language in which each text stands in brackets."""

    def gettext(self, message: str) -> str:
        """A text."""
        return f"{OPEN}{message}{CLOSE}"

    def ngettext(self, one: str, other: str, number: int) -> str:
        """A text that is counted."""
        return self.gettext(one if number == 1 else other)

    def pgettext(self, context: str, message: str) -> str:
        """A form of a name; the decimal mark stays a mark."""
        return message if context == "decimal mark" else self.gettext(message)


@pytest.fixture(autouse=True)
def bracketed(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Whoever speaks German speaks that language."""

    def found(language: Language, _: str) -> NullTranslations:
        return NullTranslations() if language == "en" else Bracketed()

    # By its path, because the package has a function of the same name.
    monkeypatch.setattr(import_module("ellwand.language.spoken"), "translations", found)
    with speaking("de"):
        yield


def of_a_sitting() -> CardContent:
    """A card with all that a sitting can put on it, drawn, with a try-on and a doubtful scale."""
    with speaking("en"):
        record = with_findings(Sitting(), findings(correlation=0.5, outside=("full hip",)))
        record = with_taking(record, "herself", "bra")
        for code, texts in {
            "stature": ["168"], "high_bust": ["90", "90.4"], "full_bust": ["96", "96.2"],
            "waist": ["76"], "high_hip": ["29"], "hand": ["20"],
        }.items():  # fmt: skip
            record = read(record, code, texts, on=date(2026, 11, 3)).record
        record = read(with_taking(record, "somebody"), "waist", ["77"], on=date(2026, 11, 5)).record
        record = sized(keep(record, "hand", "my own hand"), demo_block())
        drawing = drawn_record().findings
    seen = CardTryOn(
        "blouse", "5", "planned", "my own shirt",
        (CardFinding(f"{OPEN}snug at the hip{CLOSE}", 19.05),),
    )  # fmt: skip
    assert drawing is not None
    return replace(
        content_of(record),
        tryons=(seen,),
        drawing=body_drawing(drawing),
        bust_difference=Estimate("bust_difference", 50.0, 20.0, 10.8, 89.2, ()),
        customer="Ada Example",
    )


def held_words(content: CardContent) -> set[str]:
    """What is in words already, or is said by others than the card."""
    found = {"Ada Example", "my own hand", "my own shirt", "blouse", "ellwand"}
    for row in content.rows:
        found |= {taken_words(way) for way in row.taken}
    found |= {part for query in content.queries for part in (query.sentence, query.advice)}
    found |= {words for words in content.warnings if not words.startswith(OPEN)}
    if content.repeats:
        found.add(scatter(content.repeats))
    made = content.decision
    if made:
        strips = ease_strips(made)
        found |= {strips.heading, strips.alt, *(row.name for row in strips.rows)}
        found |= {row.words for row in strips.rows}
        found |= {part for step in made.reasons for part in (step.title, step.answer, step.reason)}
        found |= {*made.warnings, *made.cautions, made.trial, made.block, made.block_note}
        found |= {designation_words(made.designation)}
        found |= {choice.answer for choice in (made.size, made.cup, made.length_class)}
        found |= {choice.name for choice in (made.size, made.cup)}
        found |= {str(choice.alternative) for choice in (made.size, made.cup)}
    return {" ".join(words.split()) for words in found if words}


def bare(text: str, known: set[str]) -> list[str]:
    """Words outside of all brackets, without those that are known and without units."""
    depth, outside = 0, []
    for char in text:
        depth += char == OPEN
        outside.append(char if depth == 0 else " ")
        depth -= char == CLOSE
        assert depth >= 0
    assert depth == 0
    left = " ".join("".join(outside).split())
    for words in sorted(known, key=len, reverse=True):
        for one in {words, words[:1].upper() + words[1:], words.upper()}:
            left = left.replace(one, " ")
    units = {"cm", "in", "mm"}
    return [word for word in re.findall(r"[^\W\d_]{2,}", left) if word not in units]


def without(text: str, known: set[str]) -> str:
    """A text without what others said, which may lie around brackets."""
    plain = " ".join(text.replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").split())
    for words in sorted(known, key=len, reverse=True):
        for one in {words, words[:1].upper() + words[1:], words.upper()}:
            if len(one) > 12:
                plain = plain.replace(one, " ")
    return plain


def printed(pdf: bytes) -> str:
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


def figures_in(text: str) -> set[str]:
    """The figures of the digest, which are no words."""
    return set(re.findall(r"\b[0-9a-f]{4}(?: [0-9a-f]{4}){3}\b", text))


def test_on_paper() -> None:
    content = of_a_sitting()
    known = held_words(content)
    text = printed(card_pdf(content))
    assert text.count(OPEN) > 60
    assert bare(without(text, known), known | figures_in(text)) == []
    empty = printed(card_pdf(CardContent((), undecided=f"{OPEN}later{CLOSE}")))
    assert bare(empty, figures_in(empty)) == []


def test_as_a_page_and_as_a_message() -> None:
    content = of_a_sitting()
    known = held_words(content)
    forms = card_forms(content)
    labels = [value for _, name, value in Read(card_page(content)).attributes
              if name == "aria-label"]  # fmt: skip
    # The size engine draws its own chart.
    others = re.compile(r"<style>.*?</style>|<svg[^>]*aria-labelledby.*?</svg>", re.DOTALL)
    page = Read(others.sub("", card_page(content)))
    for words in (" ".join(page.words), " ".join(Read(forms.html).words), forms.text, *labels):
        assert OPEN in words
        assert bare(without(words, known), known | figures_in(words)) == []
    assert card_message(forms, "a@b.example")["Subject"] == f"{OPEN}Measurement card{CLOSE}"


def test_on_the_sheets_to_print() -> None:
    text = printed(marker_sheets_pdf("a4"))
    assert text.count(OPEN) > 20
    assert bare(text, {"ellwand"}) == []


def test_a_bare_word_would_be_found() -> None:
    query = CardQuery("waist", "Nobody said this.", "")
    text = printed(card_pdf(CardContent((), queries=(query,))))
    assert "Nobody" in bare(text, set())
