"""The card in the words of a message: complete, the same in text and HTML, safe to show."""

import io
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader

from ellwand.card import CardContent, CardQuery, CardRow, card_pdf, content_of
from ellwand.card.as_html import card_html
from ellwand.card.as_text import card_text
from ellwand.card.letter import OPENING, letter_of
from ellwand.card.passages import passages
from ellwand.card.wording import FINE_PRINT, STANDING_WORDS
from ellwand.listing import capital
from ellwand.measurements import KINDS
from ellwand.shown import FirstUnit, showing_first
from ellwand.sitting import Sitting, keep, read, sized, with_findings
from ellwand.sizing import demo_block, ease_strips
from ellwand.tape import Taken

from ..html_read import Read
from ..sitting.invented import findings
from .test_measurement_card import nothing, overfull, plain


def real() -> CardContent:
    """A sitting with photos, readings of every standing, and a decision."""
    record = with_findings(Sitting(), findings())
    for code, texts in {
        "stature": ["168"],
        "high_bust": ["90", "90.4"],
        "full_bust": ["96", "96.2"],
        "waist": ["76"],
        "full_hip": ["102", "102.4"],
        "high_hip": ["29"],
        "hand": ["20"],
    }.items():
        record = read(record, code, texts).record
    return content_of(sized(keep(record, "hand", "my own <b>hand</b> & tape"), demo_block()))


CONTENTS = {"plain": plain(), "overfull": overfull(), "nothing": nothing(), "real": real()}
ORDERS: dict[FirstUnit, tuple[int, int]] = {"cm": (0, 1), "in": (1, 0)}
EVERY = pytest.mark.parametrize("content", CONTENTS.values(), ids=CONTENTS)


def text_of(content: CardContent) -> str:
    return card_text(letter_of(content))


def html_of(content: CardContent) -> Read:
    return Read(card_html(letter_of(content)))


def numbers(text: str) -> Counter[str]:
    return Counter(re.findall(r"\d+(?:[.,/]\d+)*", text))


def flat(text: str) -> str:
    return " ".join(text.split())


def nearest(value_mm: float, step_mm: Fraction) -> int:
    return int(Fraction(str(value_mm)) / step_mm + Fraction(1, 2))


def outward(row: CardRow, shown: int, step_mm: Fraction) -> int:
    """Steps to the farther end of the bound, rounded up."""
    low, high = Fraction(str(row.low_mm)), Fraction(str(row.high_mm))
    steps = max(high - shown * step_mm, shown * step_mm - low) / step_mm
    return -int(-steps // 1)


def eighths(count: int) -> str:
    whole, rest = divmod(count, 8)
    part = str(Fraction(rest, 8)) if rest else ""
    return " ".join(one for one in (str(whole) if whole or not part else "", part) if one)


def expected(row: CardRow) -> tuple[str, str]:
    """Figures worked out here, from the millimetres."""
    mm, inch = Fraction(1), Fraction(254, 80)
    tenths, parts = nearest(row.value_mm, mm), nearest(row.value_mm, inch)
    cm_bound, in_bound = outward(row, tenths, mm), outward(row, parts, inch)
    return (
        f"{tenths / 10:.1f} ± {cm_bound / 10:.1f} cm",
        f"{eighths(parts)} ± {eighths(in_bound)} in",
    )


def test_figures_worked_out_by_hand() -> None:
    # 98.2 ± 0.98 cm: 38.66 in is nearest to 38 5/8; its bound of 0.386 in reaches 0.42 in beyond.
    row = CardRow("full_bust", 982.0, 972.2, 991.8, "confirmed", "tape, 2 readings")
    assert expected(row) == ("98.2 ± 1.0 cm", "38 5/8 ± 1/2 in")
    line = "- Full bust: 98.2 ± 1.0 cm (38 5/8 ± 1/2 in), confirmed; tape, 2 readings\n"
    assert line in text_of(CardContent((row,)))
    bare = replace(row, low_mm=None, high_mm=None, standing="read")
    assert "- Full bust: 98.2 cm (38 5/8 in), read; tape, 2 readings\n" in text_of(
        CardContent((bare,))
    )


def test_inches_come_first_in_text_and_table_for_who_measures_in_inches() -> None:
    row = CardRow("full_bust", 982.0, 972.2, 991.8, "confirmed", "tape, 2 readings")
    heads = ["Measurement", "Centimetres", "Inches", "Standing", "How it was found"]
    shown = list(expected(row))
    for unit, order in ORDERS.items():
        with showing_first(unit):
            text, read = text_of(CardContent((row,))), html_of(CardContent((row,)))
        first, other = (shown[at] for at in order)
        assert f"- Full bust: {first} ({other}), confirmed" in text
        (table, *_) = [one for one in read.tables if one.caption.startswith("Measurements")]
        cells = [[flat(cell[2]) for cell in line] for line in table.rows]
        assert cells[0] == [heads[0], *(heads[1 + at] for at in order), *heads[3:]]
        assert cells[1][1:3] == [first, other]


def test_how_it_was_taken_stands_at_the_measurement_in_text_and_table() -> None:
    day = date(2026, 11, 25)
    row = CardRow("full_bust", 982.0, 972.2, 991.8, "confirmed", "tape, 2 readings", None,
                  day, day, (Taken("herself", "bra"),))  # fmt: skip
    how = "tape, 2 readings, measured by herself, in an unpadded bra, on 25 November 2026"
    content = CardContent((row,))
    assert f"confirmed; {how}\n" in text_of(content)
    (table,) = [one for one in html_of(content).tables if one.caption.startswith("Measurements")]
    assert ("td", None, capital(how)) in [cell for cells in table.rows for cell in cells]


@EVERY
def test_every_measurement_stands_in_text_and_table(content: CardContent) -> None:
    text, html = text_of(content), html_of(content)
    tables = {flat(table.caption): table for table in html.tables}
    told = {}
    if content.rows:
        heads, *rows = tables["Measurements with their 95 % error bounds"].rows
        assert [head[:2] for head in heads] == [("th", "col")] * 5
        for first, *others in rows:
            assert first[:2] == ("th", "row")
            assert [cell[:2] for cell in others] == [("td", None)] * 4
            told[first[2]] = [flat(cell[2]) for cell in others]
    assert list(told) == [
        capital(KINDS[code].name) for code in KINDS if code in {row.code for row in content.rows}
    ]
    for row in content.rows:
        cm, inches = expected(row)
        name = capital(KINDS[row.code].name)
        assert told[name][:3] == [cm, inches, capital(row.standing)]
        assert f"- {name}: {cm} ({inches}), {row.standing}; {row.how}" in text
        assert told[name][3].startswith(capital(row.how))
        for words in (text, " ".join(html.words)):
            assert STANDING_WORDS[row.standing] in words
        if row.reason:
            assert row.reason[:250] in told[name][3]
            assert row.reason[:250] in text


@EVERY
def test_decision_queries_and_cautions_stand_in_both(content: CardContent) -> None:
    text, html = flat(text_of(content)), flat(" ".join(html_of(content).words))
    for words in (text, html):
        for query in content.queries:
            assert query.sentence in words
            assert query.advice in words
        for passage in passages(content):
            assert flat(passage.text) in words
        for warning in content.warnings:
            assert flat(warning) in words
        assert FINE_PRINT in words
    decision = content.decision
    if decision is None:
        assert f"No size yet. {content.undecided}" in text
        assert f"No size yet. {content.undecided}" in html
        return
    (table,) = [one for one in html_of(content).tables if one.caption == "The size decision"]
    answers = {row[0][2]: row[1][2] for row in table.rows[1:]}
    for title, choice in (
        ("Size", decision.size),
        ("Sewing cup", decision.cup),
        ("Length class", decision.length_class),
    ):
        answer = choice.name if choice.alternative is None else (
            f"{choice.name}, perhaps {choice.alternative}"
        )  # fmt: skip
        assert answers[title] == answer
        assert f"- {title}: {answer}" in text
    for one in (*decision.cautions, *decision.warnings, decision.trial, decision.block):
        assert flat(one) in text
        assert flat(one) in html


@EVERY
def test_text_and_html_have_the_same_numbers_and_all_of_the_pdf(content: CardContent) -> None:
    text, html = text_of(content), " ".join(html_of(content).words)
    # The table's caption has a number of its own.
    assert numbers(html) - numbers(text) == (Counter({"95": 1}) if content.rows else Counter())
    assert numbers(text) - numbers(html) == Counter()
    pages = PdfReader(io.BytesIO(card_pdf(content))).pages
    printed = " ".join(word for page in pages for word in page.extract_text().split())
    # Marks of a scale and numbers of pages say nothing of her.
    marks = ease_strips(content.decision).steps if content.decision else ()
    scale = {"0", *(number for mark in marks for number in numbers(mark.words))}
    running = {str(number) for number in range(1, len(pages) + 1)}
    assert set(numbers(printed)) <= set(numbers(text)) | scale | running


@EVERY
def test_the_first_words_have_no_number(content: CardContent) -> None:
    """Those that a phone shows beside the subject, about 140 characters (from memory)."""
    for words in (text_of(content), " ".join(html_of(content).words)):
        assert re.search(r"\d", words[:250]) is None
    assert len(" ".join(OPENING)) > 250


@EVERY
def test_html_is_simple_and_brings_nothing_from_outside(content: CardContent) -> None:
    html = html_of(content)
    assert html.declared == "DOCTYPE html"
    assert set(html.tags) <= {
        "html", "head", "meta", "title", "body", "h1", "h2", "p", "table", "caption", "thead",
        "tbody", "tr", "th", "td", "dl", "dt", "dd", "ul", "li", "strong",
    }  # fmt: skip
    assert {(tag, name) for tag, name, _ in html.attributes} <= {
        ("html", "lang"), ("meta", "charset"), ("table", "style"), ("th", "style"),
        ("td", "style"), ("th", "scope"),
    }  # fmt: skip
    assert ("html", "lang", "en") in html.attributes
    for _, name, value in html.attributes:
        assert "url" not in value
        assert name != "style" or len(value) < 100


def test_a_customers_words_are_words_whatever_they_are() -> None:
    row = CardRow("waist", 800.0, 780.0, 820.0, "kept", "tape", "<script>alert(1)</script> & 'so'")
    content = CardContent((row,), customer='<img src="x">', undecided="later")
    html = html_of(content)
    assert "script" not in html.tags
    assert any("<script>alert(1)</script> & 'so'" in words for words in html.words)
    assert '<img src="x">' in html.words
    assert "<script>alert(1)</script> & 'so'" in text_of(content)


# All but halves of characters, which no entrance lets in: a sitting could not be written with them.
ANY = st.text(st.characters(codec=None, exclude_categories=("Cs",)), max_size=60)


def filled(words: Iterator[str]) -> CardContent:
    row = CardRow("waist", 800.0, 780.0, 820.0, "kept", next(words), next(words))
    query = CardQuery("waist", next(words), next(words))
    decision = plain().decision
    assert decision is not None
    named = replace(decision, block=next(words), block_note=next(words))
    return CardContent((row,), (query,), named, customer=next(words), taken_on=next(words))


@given(st.lists(ANY, min_size=8, max_size=8))
def test_no_words_make_a_line_a_tag_or_a_control_character(words: list[str]) -> None:
    harmless, content = filled(iter(["x"] * 8)), filled(iter(words))
    # Words that come to nothing leave their line out; none adds one.
    assert Counter(html_of(content).tags) <= Counter(html_of(harmless).tags)
    text = text_of(content)
    assert all(char == "\n" or char.isprintable() for char in text)
    assert text.count("\n") <= text_of(harmless).count("\n")
    text.encode()
