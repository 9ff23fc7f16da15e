"""The card as a web page: all that paper says, for eyes, ears and printers, from nowhere else."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from ellwand.card import CardContent, CardRow, Linked, card_page, digest_of, grouped, style_sheet
from ellwand.card.drawing import body_drawing
from ellwand.card.letter import PAGE, letter_of
from ellwand.card.wording import FINE_PRINT, OUTLINE_WORDS, STANDING_WORDS
from ellwand.language import speaking
from ellwand.listing import capital
from ellwand.sizing import ease_strips

from ..html_read import Read
from ..page.colours import EDGE_CONTRAST, TEXT_CONTRAST, contrast, schemes
from .test_drawing import record
from .test_letter import CONTENTS, expected, flat, numbers
from .test_measurement_card import nothing, overfull, plain

LINKED = Linked("/page/card.css", "/page/icon.svg")
EVERY = pytest.mark.parametrize("content", CONTENTS.values(), ids=CONTENTS)
# Those of paragraphs and tables, and of drawings.
TAGS = {
    "html", "head", "meta", "link", "title", "body", "main", "section", "div", "h1", "h2", "p",
    "table", "caption", "thead", "tbody", "tr", "th", "td", "dl", "dt", "dd", "ul", "li", "strong",
    "figure", "svg", "defs", "pattern", "path", "rect", "text", "polyline",
}  # fmt: skip


def drawn() -> CardContent:
    """A card with an outline on it."""
    findings = record().findings
    assert findings is not None
    return replace(plain(), drawing=body_drawing(findings))


@EVERY
def test_it_says_every_word_of_the_message_but_those_of_a_message(content: CardContent) -> None:
    words = flat(" ".join(Read(card_page(content, LINKED)).words))
    letter = letter_of(content, PAGE)
    for row in letter.rows:
        for told in (row.name, row.cm, row.inches, capital(row.standing), capital(row.how)):
            assert flat(told) in words
    for part in letter.parts:
        assert part.heading in words
        assert all(flat(text) in words for _, text in part.items)
    # No line ends within a length.
    assert re.search(r"\d (?:\d+/\d|cm\b|in\b)", card_page(content, LINKED)) is None
    assert all(answer in words for _, answer in letter.decision)
    assert FINE_PRINT in words
    assert "message" not in words
    assert "attached" not in words


@EVERY
def test_its_measurements_are_a_table_with_heads_and_a_caption(content: CardContent) -> None:
    tables = {flat(table.caption): table for table in Read(card_page(content)).tables}
    if not content.rows:
        assert tables == {}
        return
    heads, *rows = tables["Measurements with their 95 % error bounds"].rows
    assert [head[:2] for head in heads] == [("th", "col")] * 5
    shown = {row[0][2]: [flat(cell[2]) for cell in row[1:4]] for row in rows}
    assert all(row[0][:2] == ("th", "row") for row in rows)
    for one in content.rows:
        assert [*expected(one), capital(one.standing)] in shown.values()


@EVERY
def test_headings_begin_at_one_and_none_is_left_out(content: CardContent) -> None:
    levels = [int(tag[1]) for tag in Read(card_page(content)).tags if re.fullmatch(r"h\d", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert set(levels[1:]) == {2}


@EVERY
def test_its_title_language_and_address_tell_nothing_of_her(content: CardContent) -> None:
    page = card_page(content, LINKED)
    assert re.findall(r"<title>(.*?)</title>", page) == ["Measurement card"]
    read = Read(page)
    assert ("html", "lang", "en") in read.attributes
    assert ("meta", "name", "viewport") in read.attributes
    assert ("meta", "content", "no-referrer") in read.attributes


@EVERY
def test_a_service_may_serve_it_under_its_policy(content: CardContent) -> None:
    """No script, no style within, nothing from another place."""
    read = Read(card_page(content, LINKED))
    assert set(read.tags) <= TAGS
    names = {name for _, name, _ in read.attributes}
    assert "style" not in names
    assert not any(name.startswith("on") for name in names)
    assert [value for _, name, value in read.attributes if name in ("href", "src")] == [
        LINKED.icon, LINKED.style,
    ]  # fmt: skip
    named = [value for _, name, value in read.attributes if name == "id"]
    assert len(named) == len(set(named))


def test_a_file_from_the_command_stands_alone() -> None:
    alone = card_page(plain())
    assert style_sheet() in alone
    assert "<link" not in alone
    assert not re.search(r"url\((?!#)|@import|https?://(?!www\.w3\.org/2000/svg)", alone)


def test_the_same_card_gives_the_same_page() -> None:
    assert card_page(plain(), LINKED) == card_page(plain(), LINKED)


def test_figures_code_and_ease_are_there_for_who_hears_them() -> None:
    content = plain()
    assert content.decision is not None
    read = Read(card_page(content))
    assert grouped(digest_of(content)) in read.words
    labels = [value for tag, name, value in read.attributes if (tag, name) == ("svg", "aria-label")]
    assert len(labels) == 1
    assert labels[0].startswith("QR code")
    assert ease_strips(content.decision).alt in flat(card_page(content))
    assert read.tags.count("svg") == 2
    # Without a decision there is neither ease nor anything to change at a try-on.
    assert Read(card_page(nothing())).tags.count("svg") == 1
    assert "try-on" not in card_page(nothing(), LINKED)


def test_her_outline_is_there_only_where_she_wants_it() -> None:
    assert OUTLINE_WORDS not in card_page(plain())
    page = card_page(drawn(), LINKED)
    assert OUTLINE_WORDS in page
    assert '<svg xmlns="http://www.w3.org/2000/svg"' in page
    read = Read(page)
    assert read.tags.count("polyline") == 4
    # Three levels in both views, each with its number.
    assert [word for word in read.words if word in ("1", "2", "3")] == ["1", "2", "3"] * 2
    labels = [value for tag, name, value in read.attributes if (tag, name) == ("svg", "aria-label")]
    assert any("neck to the thighs" in label for label in labels)


def test_her_words_are_words_whatever_they_are() -> None:
    reason = "</main><script>alert(1)</script> & 'so' </style>"
    row = CardRow("waist", 800.0, 780.0, 820.0, "kept", "tape", reason)
    page = card_page(CardContent((row,), customer='"><img src=x onerror=y>'), LINKED)
    read = Read(page)
    assert {"script", "img"}.isdisjoint(read.tags)
    assert any(reason in words for words in read.words)


def test_numbers_are_those_of_paper_and_no_others() -> None:
    content = plain()
    assert content.decision is not None
    told = numbers(" ".join(Read(card_page(content, LINKED)).words))
    letter = letter_of(content, PAGE)
    said = " ".join((
        *(f"{row.cm} {row.inches} {row.how}" for row in letter.rows), letter.whom,
        *(answer for _, answer in letter.decision), "95",
        *(f"{lead} {text}" for part in letter.parts for lead, text in part.items),
    ))  # fmt: skip
    scale = {
        number for mark in ease_strips(content.decision).steps for number in numbers(mark.words)
    }
    assert set(told) <= set(numbers(said)) | scale


STYLE = style_sheet()


@pytest.mark.parametrize("scheme", schemes(STYLE), ids=["light", "dark"])
def test_it_can_be_read_in_light_and_dark(scheme: dict[str, str]) -> None:
    for front in ("ink", "soft", "madder", "moss"):
        assert contrast(scheme[front], scheme["paper"]) >= TEXT_CONTRAST
    assert contrast(scheme["ink"], scheme["paper"]) >= EDGE_CONTRAST


def test_its_colours_are_those_of_the_page() -> None:
    page = (Path(__file__).parents[2] / "web" / "page" / "style.css").read_text("utf-8")
    for own, of_page in zip(schemes(STYLE), schemes(page), strict=True):
        assert {name: of_page.get(name) for name in own} == own


def test_each_standing_has_a_sign_of_its_own_that_is_not_read_out() -> None:
    signs = re.findall(r'::before \{ content: "(\\25\w\w)\\a0"; content: "\1\\a0" / ""; \}', STYLE)
    assert len(signs) == len(set(signs)) == len(STANDING_WORDS)


def begins_small(words: str) -> bool:
    """Whether a text begins with a small letter."""
    return words[:1].islower()


@pytest.mark.parametrize("language", ["en", "de"])
def test_no_line_and_no_lead_begins_with_a_small_letter(language: str) -> None:
    with speaking(language):
        letter, page = letter_of(overfull(), PAGE), card_page(overfull(), LINKED)
        figures = grouped(digest_of(overfull()))[0]
    leads = [lead or text for part in letter.parts for lead, text in part.items]
    assert [lead for lead in leads if begins_small(lead)] == []
    firsts = [table.rows[1:] for table in Read(page).tables]
    # What a size is called is the block's own word.
    assert [row[0][2] for rows in firsts for row in rows if begins_small(row[0][2])] == []
    assert [row[-1][2] for row in firsts[1] if begins_small(row[-1][2])] == []
    items = re.findall(r"<(?:li|p|dt|caption|h\d)[^>]*>(?:<strong>)?([^<])", page)
    assert len(items) > len(leads)
    assert [one for one in items if begins_small(one) and one != figures] == []
