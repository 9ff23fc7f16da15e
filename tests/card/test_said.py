"""Every word of the card is said: in the language of brackets, none is left bare.

Names of a block and what she wrote herself stay as they are.
"""

import io
import re
from dataclasses import replace
from datetime import date

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
from ellwand.girth.result import Findings
from ellwand.measurements import Estimate
from ellwand.photo.problems import problem
from ellwand.sitting import Sitting, keep, read, sized, with_findings, with_taking
from ellwand.sizing import demo_block, finding_words
from ellwand.sizing.tryon import all_findings
from tests.pseudo_language import not_said, speak_it

from ..html_read import Read
from ..sitting.invented import findings
from .test_drawing import record as drawn_record

# What she and the workroom wrote themselves.
HERS = ("Ada Example", "my own hand", "my own shirt")


@pytest.fixture(autouse=True)
def bracketed(monkeypatch: pytest.MonkeyPatch) -> None:
    """All is said in that language, what sitting, tape and sizes say as well."""
    speak_it(monkeypatch)


def seen() -> Findings:
    """Photos with all that is remarked of photos, as it is kept."""
    found = findings(correlation=0.5, outside=("shape of the outline", "height"))
    side = replace(found.side, problems=(problem("leaning", "warned"),))
    return replace(found, side=side)


def of_a_sitting() -> CardContent:
    """A card with all that a sitting can put on it, drawn, with a try-on and a doubtful scale."""
    record = with_taking(with_findings(Sitting(), seen()), "herself", "bra")
    for code, texts in {
        "stature": ["168"], "high_bust": ["90", "90.4"], "full_bust": ["96", "96.2"],
        "waist": ["76"], "high_hip": ["29"], "hand": ["20"],
    }.items():  # fmt: skip
        record = read(record, code, texts, on=date(2026, 11, 3)).record
    record = read(with_taking(record, "somebody"), "waist", ["77"], on=date(2026, 11, 5)).record
    record = sized(keep(record, "hand", "my own hand"), demo_block())
    drawing = drawn_record().findings
    tried = CardTryOn(
        "blouse", "5", "planned", "my own shirt",
        tuple(CardFinding(finding_words(one), 19.05) for one in all_findings()),
    )  # fmt: skip
    assert drawing is not None
    return replace(
        content_of(record),
        tryons=(tried,),
        drawing=body_drawing(drawing),
        bust_difference=Estimate("bust_difference", 50.0, 20.0, 10.8, 89.2, ()),
        customer="Ada Example",
    )


def printed(pdf: bytes) -> str:
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


def bare(text: str) -> list[str]:
    """Words that no catalogue has; the figures of the digest are none."""
    figures = re.findall(r"\b[0-9a-f]{4}(?: [0-9a-f]{4}){3}\b", text)
    return not_said(" ".join(text.split()), *figures, *HERS)


def test_on_paper() -> None:
    text = printed(card_pdf(of_a_sitting()))
    assert text.count("⟦") > 100
    assert bare(text) == []
    assert bare(printed(card_pdf(CardContent((), undecided="⟦later⟧")))) == []


def test_as_a_page_and_as_a_message() -> None:
    content = of_a_sitting()
    forms = card_forms(content)
    page = Read(re.sub("<style>.*?</style>", "", card_page(content), flags=re.DOTALL))
    labels = [value for _, name, value in page.attributes if name == "aria-label"]
    assert labels
    for words in (" ".join(page.words), " ".join(Read(forms.html).words), forms.text, *labels):
        assert "⟦" in words
        assert bare(words) == []
    assert card_message(forms, "a@b.example")["Subject"] == "⟦Measurement card⟧"


def test_on_the_sheets_to_print() -> None:
    text = printed(marker_sheets_pdf("a4"))
    assert text.count("⟦") > 20
    assert bare(text) == []


def test_a_bare_word_would_be_found() -> None:
    query = CardQuery("waist", "Nobody said this.", "")
    assert bare(printed(card_pdf(CardContent((), queries=(query,))))) == ["Nobody", "said", "this"]
