"""A card as HTML, for the body of a message.

One simple document: no script, no picture, no link, nothing from outside. Mail programs drop style
sheets, so what little style there is stands at the table cells, and all is readable without it.

Source: WHATWG HTML for tables and their headers; which style survives is common practice, no
source.
"""

from collections.abc import Iterator, Sequence
from html import escape

from ellwand.card.letter import NOTHING_MEASURED, OPENING, Letter, LetterPart

LANGUAGE = "en"
TITLE = "Measurement card"

_CELL = ' style="border:1px solid #c9d0d4;padding:4px 8px;text-align:left;vertical-align:top"'
_HEADS = ("Measurement", "Centimetres", "Inches", "Standing", "How it was found")


def card_html(letter: Letter) -> str:
    """A card as one HTML document, with the same words as its plain text.

    Args:
        letter: from `letter_of`.
    """
    body = [f"<h1>{TITLE}</h1>", *(_paragraph(text) for text in OPENING)]
    if letter.whom:
        body.append(_paragraph(letter.whom))
    body += ["<h2>Measurements</h2>", *_measurements(letter)]
    body += ["<h2>Size</h2>", *_decision(letter)]
    for part in letter.parts:
        body += _part(part)
    return "\n".join(
        (
            "<!DOCTYPE html>",
            f'<html lang="{LANGUAGE}">',
            f'<head><meta charset="utf-8"><title>{TITLE}</title></head>',
            "<body>",
            *body,
            "</body>",
            "</html>",
            "",
        )
    )


def _measurements(letter: Letter) -> Iterator[str]:
    if not letter.rows:
        yield _paragraph(NOTHING_MEASURED)
        return
    rows = [(row.name, row.cm, row.inches, row.standing, row.how) for row in letter.rows]
    yield from _table("Measurements with their 95 % error bounds", _HEADS, rows)
    yield "<dl>"
    for name, words in letter.legend:
        yield f"<dt>{escape(name)}</dt><dd>{escape(words)}</dd>"
    yield "</dl>"


def _decision(letter: Letter) -> Iterator[str]:
    if letter.undecided:
        yield _paragraph(letter.undecided)
    if letter.decision:
        yield from _table("The size decision", ("Decided", "Answer"), letter.decision)


def _table(caption: str, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """A table whose first column names each row."""
    yield '<table style="border-collapse:collapse">'
    yield f"<caption>{escape(caption)}</caption>"
    cells = "".join(f'<th scope="col"{_CELL}>{escape(head)}</th>' for head in heads)
    yield f"<thead><tr>{cells}</tr></thead>"
    yield "<tbody>"
    for name, *others in rows:
        cells = "".join(f"<td{_CELL}>{escape(other)}</td>" for other in others)
        yield f'<tr><th scope="row"{_CELL}>{escape(name)}</th>{cells}</tr>'
    yield "</tbody>"
    yield "</table>"


def _part(part: LetterPart) -> Iterator[str]:
    yield f"<h2>{escape(part.heading)}</h2>"
    yield "<ul>"
    for lead, text in part.items:
        set_off = f"<strong>{escape(lead)}:</strong> " if lead else ""
        yield f"<li>{set_off}{escape(text)}</li>"
    yield "</ul>"


def _paragraph(text: str) -> str:
    return f"<p>{escape(text)}</p>"
