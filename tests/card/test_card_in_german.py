"""The card in German: paper, page, message and sheets; programs are given the same as ever."""

import io
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from email import message_from_bytes, policy
from email.message import EmailMessage

import pikepdf
import pytest
from pypdf import PdfReader

from ellwand.card import (
    CardContent,
    CardFinding,
    CardRow,
    CardTryOn,
    as_eml,
    card_forms,
    card_json,
    card_message,
    card_page,
    card_pdf,
    content_from_json,
    content_of,
    digest_of,
    digest_of_json,
    grouped,
    marker_sheets_pdf,
    outside_words,
)
from ellwand.card.passages import found_words, fresh_words, passages
from ellwand.card.qr import code_text
from ellwand.card.sheets import PaperCode
from ellwand.card.wording import in_capitals
from ellwand.language import speaking
from ellwand.sitting import Sitting, keep, read, sized, with_findings
from ellwand.sizing import decide, demo_block
from ellwand.tape import Confirmed, Taken

from ..html_read import Read
from ..sitting.invented import findings
from .test_measurement_card import VALUES, lines_on_lines, plain, told

DAY = date(2026, 11, 27)
TO = "cards@loft.example"
Make = Callable[[], CardContent]


def record() -> Sitting:
    """Photos, readings of every standing and a decision, stored in English."""
    kept = with_findings(Sitting(), findings(outside=("full hip",)))
    for code, texts in {
        "stature": ["168"],
        "high_bust": ["90", "90.4"],
        "full_bust": ["96", "96.2"],
        "full_hip": ["102", "102.4"],
        "high_hip": ["29"],
        "hand": ["20"],
    }.items():
        kept = read(kept, code, texts, on=DAY).record
    return sized(keep(kept, "hand", "eine breite Hand"), demo_block())


RECORD = record()


def german() -> CardContent:
    with speaking("de"):
        return content_of(RECORD)


def printed(pdf: bytes) -> str:
    return " ".join(
        " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split()
    )


def test_on_paper() -> None:
    with speaking("de"):
        pdf = card_pdf(german())
    text = printed(pdf)
    for words in (
        "Maßkarte",
        "GRÖẞE",
        "LÄNGE normal",
        "Bluse, Webstoff. Blusen-Grundschnitt zum Probieren",
        "DER GRUNDSCHNITT Blusen-Grundschnitt zum Probieren: Erfundene Zahlen",
        "Maß cm ± Zoll ± Stand",
        "Oberbrustumfang 90,2 ± 1,5",
        "Fraglich: mit dem Maßband, kann falsch sein",
        "OFFENE RÜCKFRAGEN Hoher Hüftumfang: ",
        "TROTZ RÜCKFRAGE BEHALTEN Handumfang: „eine breite Hand“",
        "Maßband, 2 Messwerte, am 27. November 2026: ",
        "MAẞSTAB DER FOTOS Er beruht auf",
        "Mit dem Maßband gemessen am 27. November 2026. Nach 8 Wochen neu messen.",
        "NACH DER ANPROBE GEÄNDERT Brustumfang Taillenumfang Hoher Hüftumfang",
        "Der Schnitt-Cup ist nicht der BH-Cup.",
    ):
        assert words in text
    assert not re.search(r"\d\.\d ± |\d{4}\. Measure", text)
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        assert str(opened.Root.Lang) == "de"
        metadata = opened.Root.Metadata.read_bytes().decode()
    assert "Maßkarte" in metadata
    assert "<pdfuaid:part>1</pdfuaid:part>" in metadata


def test_as_a_page() -> None:
    with speaking("de"):
        page = card_page(german())
    shown = Read(page)
    assert ("html", "lang", "de") in shown.attributes
    assert re.findall("<title>(.*)</title>", page) == ["Maßkarte"]
    (size, measures) = (table.caption for table in shown.tables)
    assert (size, measures.split()[0]) == ("Die Größe", "Maße")
    for words in (
        "Bluse",
        "Webstoff",
        "Zentimeter",
        "behalten, weil: „eine breite Hand“",
        "Der Code",
        "Hinweise",
    ):
        assert any(words in one for one in shown.words)
    # What a style sheet tells rows apart by is a code.
    assert ("tr", "class", "estimated") in shown.attributes
    assert any(value.startswith("QR-Code") for _, name, value in shown.attributes
               if name == "aria-label")  # fmt: skip


def test_as_a_message() -> None:
    with speaking("de"):
        eml = as_eml(card_message(card_forms(german()), TO))
    message = message_from_bytes(eml, policy=policy.default)
    assert isinstance(message, EmailMessage)
    assert message["Subject"] == "Maßkarte"
    parts = {part.get_content_type(): part for part in message.walk()}
    for kind in ("text/plain", "text/html"):
        assert parts[kind]["Content-Language"] == "de"
    text = parts["text/plain"].get_content().replace("\r\n", "\n")
    assert text.startswith("Dies ist eine Maßkarte für ein")
    # Those that a phone shows beside the subject.
    assert re.search(r"\d", text[:250]) is None
    assert "\nMAẞE\n- Körpergröße: 168,0 ± " in text
    assert '<html lang="de">' in parts["text/html"].get_content()
    assert parts["application/json"].get_content() == card_json(content_of(RECORD))


def test_for_programs_it_is_the_same_in_every_language() -> None:
    english, other = content_of(RECORD), german()
    assert english.written is None
    assert other.rows != english.rows
    data = card_json(english)
    assert b"tape, 2 readings" in data
    with speaking("de"):
        assert card_json(other) == data
        assert digest_of(other) == digest_of(english) == digest_of_json(data)
        assert code_text(other, digest_of(other)) == code_text(english, digest_of(english))
        assert card_json(content_from_json(data)) == data
        assert grouped(digest_of(english)) in printed(card_pdf(other))


def test_what_the_sitting_holds_in_words_stays_and_names_in_it_are_said() -> None:
    with speaking("de"):
        words = outside_words(RECORD.findings.outside)  # type: ignore[union-attr]
        assert words.startswith("Außerhalb dessen, wofür die Schätzungen aus Fotos gelten: Hüftumf")
        assert words in german().warnings
    assert german().outside == ("full hip",)
    (query,) = german().queries
    assert query.sentence == content_of(RECORD).queries[0].sentence


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        (DAY, None, "tape, am 27. November 2026"),
        (date(2026, 11, 3), DAY, "tape, vom 3. bis 27. November 2026"),
        (date(2026, 3, 31), date(2026, 5, 2), "tape, vom 31. März 2026 bis 2. Mai 2026"),
    ],
)
def test_days(first: date, last: date | None, words: str) -> None:
    row = CardRow("waist", 800, None, None, "read", "tape", on=first, until=last)
    with speaking("de"):
        assert found_words(row) == words
        assert words.removeprefix("tape, ") in fresh_words((row,))


def test_a_try_on() -> None:
    seen = CardTryOn("blouse", "4", "altered", "ein Hemd", (CardFinding("spannt", 19.05),))
    with speaking("de"):
        (told,) = passages(CardContent((), tryons=(seen,)))
    assert told.heading == "Bei der Anprobe gesehen"
    assert told.lead == (
        "Bluse, Größe 4, nach der vorigen Anprobe geändert, darunter getragen: ein Hemd"
    )
    assert told.text == "spannt, um 1,9 cm (3/4 Zoll)."


def test_a_length_class_that_is_open() -> None:
    taped = {code: Confirmed(code, mm, 9.0) for code, mm in VALUES.items()}
    made = decide({**taped, "stature": Confirmed("stature", 1620.0, 9.0)}, {}, demo_block())
    assert {made.length_class.name, made.length_class.alternative} == {"petite", "regular"}
    with speaking("de"):
        text = printed(card_pdf(CardContent((), decision=made)))
        page = card_page(CardContent((), decision=made))
    names = [{"petite": "kurz", "regular": "normal"}[str(name)]
             for name in (made.length_class.name, made.length_class.alternative)]  # fmt: skip
    assert f"vielleicht {names[1]}" in text
    assert f"<td>{names[0]}" in page


def test_capital_letters_keep_a_word_what_it_is() -> None:
    assert in_capitals("Maße, Größe") == "MAẞE, GRÖẞE"


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_sheets_to_print(paper: PaperCode) -> None:
    with speaking("de"):
        pdf = marker_sheets_pdf(paper)
    pages = [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages]
    first, second, guide = pages
    assert "Blatt 1" in first
    assert "Blatt 2" in second
    assert "Prüfstrecke quer: 150 mm (5,91 Zoll) von Ende zu Ende" in first
    for words in ("Wandabstand", "2,2 bis 3,2 m", "50 bis 60°", "Nur für Erwachsene"):
        assert words in guide
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        assert str(opened.Root.Lang) == "de"
    assert pdf != marker_sheets_pdf(paper)


@pytest.mark.parametrize(
    "make",
    [german, plain, lambda: told(plain(), Taken("herself", "bra"), Taken("somebody"))],
    ids=["real", "everything", "told"],
)
def test_longer_words_need_no_second_page_and_lie_on_no_others(make: Make) -> None:
    with speaking("de"):
        content = make()
        assert len(PdfReader(io.BytesIO(card_pdf(content))).pages) == 1
        assert lines_on_lines(content) == []
        assert lines_on_lines(replace(content, paper="letter")) == []
