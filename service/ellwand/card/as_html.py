"""A card as HTML, for the body of a message, and the parts of it that a page has, too.

One simple document: no script, no picture, no link, nothing from outside. Mail programs drop style
sheets, so what little style there is stands at the table cells, and all is readable without it.

Source: WHATWG HTML for tables and their headers; which style survives is common practice, no
source.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape
from itertools import zip_longest

from ellwand.card.letter import NOTHING_MEASURED, Letter, LetterPart
from ellwand.card.wording import TITLE
from ellwand.language import gettext, spoken_language
from ellwand.listing import capital
from ellwand.shown import glued, in_order

_CELL = ' style="border:1px solid #c9d0d4;padding:4px 8px;text-align:left;vertical-align:top"'


@dataclass(frozen=True)
class Look:
    """What a table looks like.

    Args:
        table: attributes of the table, with a space before them.
        cell: the same of every cell.
        by_standing: whether a style sheet tells rows apart by their standing.
    """

    table: str
    cell: str
    by_standing: bool = False


IN_MESSAGE = Look(' style="border-collapse:collapse"', _CELL)
STYLED = Look("", "", by_standing=True)


def card_html(letter: Letter) -> str:
    """A card as one HTML document, with the same words as its plain text.

    Args:
        letter: from `letter_of`.
    """
    title = escape(gettext(TITLE))
    body = [f"<h1>{title}</h1>", *(paragraph(text) for text in letter.opening)]
    if letter.whom:
        body.append(paragraph(letter.whom))
    body += measurements(letter, IN_MESSAGE)
    body += decision(letter, IN_MESSAGE)
    for one in letter.parts:
        body += part(one)
    return "\n".join(
        (
            "<!DOCTYPE html>",
            f'<html lang="{spoken_language()}">',
            f'<head><meta charset="utf-8"><title>{title}</title></head>',
            "<body>",
            *(glued(line) for line in body),
            "</body>",
            "</html>",
            "",
        )
    )


def measurements(letter: Letter, look: Look) -> Iterator[str]:
    """The measurements as a table, and what their standings mean."""
    yield f"<h2>{escape(gettext('Measurements'))}</h2>"
    if not letter.rows:
        yield paragraph(gettext(NOTHING_MEASURED))
        return
    rows = [
        (row.name, *in_order(row.cm, row.inches), capital(row.standing_name), capital(row.how))
        for row in letter.rows
    ]
    kinds = [row.standing for row in letter.rows] if look.by_standing else []
    caption = gettext("Measurements with their 95 % error bounds")
    yield from _table(caption, _heads(), rows, look, kinds)
    yield "<dl>"
    for name, words in letter.legend:
        yield f"<dt>{escape(name)}</dt><dd>{escape(words)}</dd>"
    yield "</dl>"


def _heads() -> tuple[str, ...]:
    return (
        gettext("Measurement"),
        *in_order(gettext("Centimetres"), gettext("Inches")),
        gettext("Standing"),
        gettext("How it was found"),
    )


def decision(letter: Letter, look: Look) -> Iterator[str]:
    """The size decision as a table, or why there is none."""
    yield f"<h2>{escape(gettext('Size'))}</h2>"
    if letter.undecided:
        yield paragraph(letter.undecided)
    if letter.decision:
        heads = (gettext("Decided"), gettext("Answer"))
        yield from _table(gettext("The size decision"), heads, letter.decision, look)


def _table(
    caption: str,
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    look: Look,
    kinds: Sequence[str] = (),
) -> Iterator[str]:
    """A table whose first column names each row."""
    yield f"<table{look.table}>"
    yield f"<caption>{escape(caption)}</caption>"
    cells = "".join(f'<th scope="col"{look.cell}>{escape(head)}</th>' for head in heads)
    yield f"<thead><tr>{cells}</tr></thead>"
    yield "<tbody>"
    for (name, *others), kind in zip_longest(rows, kinds):
        cells = "".join(f"<td{look.cell}>{escape(other)}</td>" for other in others)
        known = f' class="{kind}"' if kind else ""
        yield f'<tr{known}><th scope="row"{look.cell}>{escape(name)}</th>{cells}</tr>'
    yield "</tbody>"
    yield "</table>"


def part(told: LetterPart) -> Iterator[str]:
    """Paragraphs under their heading."""
    yield f"<h2>{escape(told.heading)}</h2>"
    yield "<ul>"
    for lead, text in told.items:
        set_off = f"<strong>{escape(lead)}:</strong> " if lead else ""
        yield f"<li>{set_off}{escape(text)}</li>"
    yield "</ul>"


def paragraph(text: str) -> str:
    """A text as a paragraph."""
    return f"<p>{escape(text)}</p>"
