"""A card as a web page: to be read on a screen of any size, heard, or printed.

The words are those of the message (`card.as_html`); what paper has besides is drawn: ease, code,
and her outline where she wants it. No script, and nothing from outside but the style sheet.

Source: WHATWG HTML; WCAG 2.2 for headings, tables and reflow.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from html import escape
from pathlib import Path

from ellwand.card.as_html import STYLED, decision, measurements, paragraph, part
from ellwand.card.content import CardContent
from ellwand.card.digest import digest_of, grouped
from ellwand.card.letter import PAGE, LetterPart, letter_of
from ellwand.card.outline import outline_of, outline_svg
from ellwand.card.page import CHANGED_LATER, notes
from ellwand.card.qr import code_of, code_text
from ellwand.card.wording import CODE_WORDS, TITLE
from ellwand.language import gettext, spoken_language
from ellwand.shown import glued
from ellwand.sizing import Decision, ease_chart, ease_strips

CARD_STYLE = Path(__file__).with_name("card.css")


def style_sheet() -> str:
    """The style of the page; it needs nothing else."""
    return CARD_STYLE.read_text("utf-8")


@dataclass(frozen=True)
class Linked:
    """What a page of a service fetches from there.

    Args:
        style: address of the style sheet.
        icon: address of the icon.
    """

    style: str
    icon: str


def card_page(content: CardContent, linked: Linked | None = None) -> str:
    """A card as one HTML document that says all that paper says.

    Args:
        content: the card.
        linked: what is fetched; None puts the style into the document, so that the file stands
            alone.

    Returns:
        The document; its title holds no name and no measurement.

    Raises:
        ValueError: a length is not finite.
    """
    looks = (
        (f"<style>\n{style_sheet()}</style>",)
        if linked is None
        else (
            f'<link rel="icon" href="{escape(linked.icon)}" type="image/svg+xml">',
            f'<link rel="stylesheet" href="{escape(linked.style)}">',
        )
    )
    head = (
        '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        '<meta name="color-scheme" content="light dark">',
        '<meta name="referrer" content="no-referrer">',
        f"<title>{escape(gettext(TITLE))}</title>",
        *looks,
    )
    return "\n".join(
        (
            "<!DOCTYPE html>",
            f'<html lang="{spoken_language()}">',
            "<head>",
            *head,
            "</head>",
            "<body>",
            "<main>",
            *_body(content),
            "</main>",
            "</body>",
            "</html>",
            "",
        )
    )


def _body(content: CardContent) -> Iterator[str]:
    letter = letter_of(content, PAGE)
    yield f"<h1>{escape(gettext(TITLE))}</h1>"
    # On paper it is written by hand; on a screen there is nothing to write on.
    yield f'<p class="name">{escape(gettext("Name:"))}</p>'
    if letter.whom:
        yield paragraph(letter.whom)
    yield from (paragraph(text) for text in letter.opening)
    yield from _section("size", decision(letter, STYLED))
    yield from _section("measurements", measurements(letter, STYLED))
    yield '<div class="more">'
    for told in letter.parts:
        yield from _section("", (*part(told), *_picture(told, content.decision)))
    yield from _drawn(content)
    yield "</div>"


def _picture(told: LetterPart, decided: Decision | None) -> Iterator[str]:
    """The strips of ease, below the same in words."""
    if decided is not None and told.heading == ease_strips(decided).heading:
        yield f'<figure class="drawn">{ease_chart(decided).strip()}</figure>'


def _drawn(content: CardContent) -> Iterator[str]:
    """What paper shows besides its words."""
    if content.drawing is not None:
        outline = outline_of(content.drawing)
        lines = (f"<h2>{escape(outline.heading)}</h2>", f"<figure>{outline_svg(outline)}</figure>")
        yield from _section("outline", (*lines, paragraph(outline.text)))
    digest = digest_of(content)
    svg = code_of(code_text(content, digest)).svg
    words = escape(gettext(CODE_WORDS))
    known = svg.replace("<svg ", f'<svg role="img" aria-label="{words}" ', 1)
    figure = f'<figure class="drawn code">{known}</figure>'
    figures = f'<p class="figures">{grouped(digest)}</p>'
    yield from _section("", (f"<h2>{escape(gettext('The code'))}</h2>", figure, figures))
    if content.decision is not None:
        names = (f"<li>{escape(name)}</li>" for name in notes(content.decision))
        heading = f"<h2>{escape(gettext(CHANGED_LATER))}</h2>"
        yield from _section("notes", (heading, "<ul>", *names, "</ul>"))


def _section(kind: str, lines: Iterable[str]) -> Iterator[str]:
    yield f'<section class="{kind}">' if kind else "<section>"
    yield from (glued(line) for line in lines)
    yield "</section>"
