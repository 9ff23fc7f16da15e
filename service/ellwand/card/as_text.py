"""A card as plain text, for the body of a message."""

from collections.abc import Iterator

from ellwand.card.letter import NOTHING_MEASURED, Letter, LetterPart, LetterRow
from ellwand.card.wording import in_capitals
from ellwand.language import gettext
from ellwand.shown import beside


def card_text(letter: Letter) -> str:
    """A card as plain text that stands alone.

    A paragraph is one line, which mail programs fold to the width of their window; nothing stands
    in columns, because many show text in letters of different widths.

    Args:
        letter: from `letter_of`.
    """
    blocks = [*letter.opening]
    if letter.whom:
        blocks.append(letter.whom)
    blocks += ["\n".join(_measurements(letter)), "\n".join(_decision(letter))]
    blocks += ["\n".join(_part(part)) for part in letter.parts]
    return "\n\n".join(blocks) + "\n"


def _measurements(letter: Letter) -> Iterator[str]:
    yield in_capitals(gettext("Measurements"))
    if not letter.rows:
        yield gettext(NOTHING_MEASURED)
    yield from (_row(row) for row in letter.rows)
    yield from (f"({name}: {words})" for name, words in letter.legend)


def _row(row: LetterRow) -> str:
    length = beside(row.cm, row.inches)
    return f"- {row.name}: {length}, {row.standing_name}; {row.how}"


def _decision(letter: Letter) -> Iterator[str]:
    yield in_capitals(gettext("Size"))
    if letter.undecided:
        yield letter.undecided
    yield from (f"- {title}: {answer}" for title, answer in letter.decision)


def _part(part: LetterPart) -> Iterator[str]:
    yield in_capitals(part.heading)
    yield from (f"- {lead}: {text}" if lead else f"- {text}" for lead, text in part.items)
