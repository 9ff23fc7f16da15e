"""What is said of a card in words, in parts that a message and a page show alike."""

from dataclasses import dataclass
from typing import Final

from ellwand.card.content import CardContent, CardRow, ordered
from ellwand.card.digest import digest_of, grouped
from ellwand.card.figures import figures, in_line
from ellwand.card.passages import found_words, fresh_words, passages
from ellwand.card.wording import (
    FINE_PRINT,
    STANDING_NAMES,
    STANDING_WORDS,
    for_workroom,
    name_of,
    shortened,
)
from ellwand.language import gettext, gettext_noop
from ellwand.listing import capital
from ellwand.shown import sign_of
from ellwand.sitting import Standing
from ellwand.sizing import block_words, ease_strips, fabric_words, garment_words, note_words

# Mail programs show the first words of a message beside its subject, on a locked phone, too: these
# have no measurement in them, and are longer than what is shown there.
OPENING = (
    gettext_noop(
        "This is a measurement card for a garment that is made to measure. It is attached as PDF "
        "to read and print, and as JSON for programs; what follows says the same in words."
    ),
    gettext_noop(
        "What is marked as estimated comes from photos and is no measured fact: cut nothing before "
        "the tape has confirmed it. What is marked as queried is in doubt: have it measured again "
        "first."
    ),
)
CLOSING = gettext_noop(
    "There are no photos in this message. Body measurements are private all the same: hand them on "
    "to nobody who does not sew with them, and delete this message when the garment is done."
)
ON_A_PAGE = gettext_noop(
    "There are no photos here. Body measurements are private all the same: hand them on to nobody "
    "who does not sew with them, and delete copies when the garment is done."
)
NOTHING_MEASURED = gettext_noop("Nothing has been measured yet.")


@dataclass(frozen=True)
class LetterRow:
    """One measurement.

    Args:
        name: as on the card, where it begins a line.
        cm: value and bound in centimetres, such as "92.5 ± 1.6 cm".
        inches: the same in inches, such as "36 3/8 ± 3/4 in".
        standing: how far it can be relied on.
        standing_name: the same in a word.
        how: how it was found, and why it was kept.
    """

    name: str
    cm: str
    inches: str
    standing: Standing
    standing_name: str
    how: str


@dataclass(frozen=True)
class LetterPart:
    """Paragraphs under one heading.

    Args:
        heading: what they are about.
        items: each with the words that it starts with, which may be empty, and its text; the first
            of both has a capital.
    """

    heading: str
    items: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Frame:
    """What stands around a card in words.

    Args:
        opening: paragraphs before it, texts of the catalogues.
        closing: the last one, another.
    """

    opening: tuple[str, ...]
    closing: str


MESSAGE: Final = Frame(OPENING, CLOSING)
PAGE: Final = Frame(OPENING[1:], ON_A_PAGE)


@dataclass(frozen=True)
class Letter:
    """A card in words.

    Args:
        opening: paragraphs before it.
        whom: whom it is for and from which day, may be empty.
        rows: measurements in their usual order.
        legend: each standing that occurs, with what it means.
        decision: title and answer of each line of the size decision, empty without one.
        undecided: why there is no decision, empty with one.
        parts: what stands below, doubts first.
    """

    opening: tuple[str, ...]
    whom: str
    rows: tuple[LetterRow, ...]
    legend: tuple[tuple[str, str], ...]
    decision: tuple[tuple[str, str], ...]
    undecided: str
    parts: tuple[LetterPart, ...]


def letter_of(content: CardContent, frame: Frame = MESSAGE) -> Letter:
    """What is said of a card: everything that stands on it.

    Args:
        content: the card.
        frame: what stands around it.

    Returns:
        Lines without control characters, in which customers' own words are as on the card.
    """
    rows = ordered(content.rows)
    standings = {row.standing for row in rows}
    whom = (
        shortened(content.customer, 60),
        for_workroom(content.workroom),
        shortened(content.taken_on, 30),
    )
    return Letter(
        opening=tuple(gettext(text) for text in frame.opening),
        whom=", ".join(part for part in whom if part),
        rows=tuple(_row(row) for row in rows),
        legend=tuple(
            (capital(gettext(STANDING_NAMES[standing])), gettext(words))
            for standing, words in STANDING_WORDS.items()
            if standing in standings
        ),
        decision=_decision(content),
        undecided="" if content.decision else _undecided(content),
        parts=(
            *_parts(content),
            *_ease(content),
            _for_the_reader(content, gettext(frame.closing)),
        ),
    )


def _undecided(content: CardContent) -> str:
    return _line(f"{gettext('No size yet.')} {content.undecided}")


def _row(row: CardRow) -> LetterRow:
    shown = figures(row.value_mm, row.low_mm, row.high_mm)
    bound_inches = None if shown.bound_inches is None else in_line(shown.bound_inches)
    how = [_line(found_words(row))]
    if row.reason is not None:
        how.append(gettext("kept because “{reason}”", reason=shortened(row.reason)))
    return LetterRow(
        name=capital(name_of(row.code)),
        cm=f"{_bounded(shown.cm, shown.bound_cm)} cm",
        inches=f"{_bounded(in_line(shown.inches), bound_inches)} {sign_of('in')}",
        standing=row.standing,
        standing_name=gettext(STANDING_NAMES[row.standing]),
        how="; ".join(how),
    )


def _bounded(value: str, bound: str | None) -> str:
    return value if bound is None else f"{value} ± {bound}"


def _decision(content: CardContent) -> tuple[tuple[str, str], ...]:
    decision = content.decision
    if decision is None:
        return ()
    named = (block_words(decision.block), note_words(decision.block_note))
    block = ". ".join(part for part in named if part)
    rows = [
        (gettext("size"), decision.size.answer),
        (gettext("sewing cup"), decision.cup.answer),
        (gettext("length class"), decision.length_class.answer),
        (gettext("garment"), garment_words(decision.garment)),
        (gettext("cloth"), fabric_words(decision.fabric)),
        (gettext("block"), block),
    ]
    return tuple((capital(title), _line(answer)) for title, answer in rows)


def _ease(content: CardContent) -> list[LetterPart]:
    """The strips of the card in words."""
    if content.decision is None:
        return []
    strips = ease_strips(content.decision)
    return [LetterPart(strips.heading, tuple((row.name, row.words) for row in strips.rows))]


def _for_the_reader(content: CardContent, closing: str) -> LetterPart:
    """What holds for the whole card, and the figures that its copies are known by."""
    told = [
        fresh_words(content.rows),
        gettext(FINE_PRINT),
        gettext(
            "The card has the figures {figures}, printed and as JSON.",
            figures=grouped(digest_of(content)),
        ),
        closing,
    ]
    return LetterPart(gettext("For the reader"), tuple(("", words) for words in told if words))


def _parts(content: CardContent) -> list[LetterPart]:
    """The passages of the card, those of one heading together."""
    parts: list[LetterPart] = []
    for passage in passages(content):
        lead, text = _line(passage.lead), _line(passage.text)
        item = (capital(lead), text if lead else capital(text))
        if passage.heading or not parts:
            parts.append(LetterPart(_line(passage.heading), (item,)))
        else:
            parts[-1] = LetterPart(parts[-1].heading, (*parts[-1].items, item))
    return parts


def _line(text: str) -> str:
    """A text on one line, whole."""
    return shortened(text, len(text) + 1)
