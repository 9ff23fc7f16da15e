"""The page of a card: what its template shows, as JSON has it."""

import math
from collections.abc import Callable
from dataclasses import asdict
from typing import Any

from ellwand.card.content import CardContent, CardRow, ordered
from ellwand.card.digest import digest_of, grouped
from ellwand.card.figures import figures
from ellwand.card.outline import outline_of
from ellwand.card.passages import Passage, fresh_words, passages
from ellwand.card.qr import code_of, code_text
from ellwand.card.wording import (
    CODE_WORDS,
    FINE_PRINT,
    STANDING_NAMES,
    STANDING_WORDS,
    TITLE,
    for_workroom,
    name_of,
    shortened,
)
from ellwand.language import gettext, gettext_noop, spoken_language
from ellwand.listing import capital
from ellwand.photo.sheets import PAPERS
from ellwand.shown import glued, in_order, sign_of
from ellwand.sizing import (
    Choice,
    Decision,
    block_words,
    ease_strips,
    fabric_words,
    garment_words,
    length_words,
)

# What a seamstress changes elsewhere than at a level with ease.
_CHANGED_ELSEWHERE = (
    gettext_noop("shoulders"),
    gettext_noop("sleeve"),
    gettext_noop("length"),
)
CHANGED_LATER = gettext_noop("Changed after the try-on")


def card_data(content: CardContent) -> dict[str, object]:
    """What the template of the card shows.

    Args:
        content: the card.

    Returns:
        Texts and figures, as JSON has them, in the language spoken.

    Raises:
        ValueError: a length is not finite, or a measurement has no such name.
    """
    paper = PAPERS[content.paper]
    standings = {row.standing for row in content.rows}
    rows = [_row(row) for row in ordered(content.rows)]
    digest = digest_of(content)
    code = code_of(code_text(content, digest))
    decision = content.decision
    return {
        "language": spoken_language(),
        "words": _fixed_words(),
        "paper": {"width": paper.width_mm, "height": paper.height_mm},
        "customer": shortened(content.customer, 60),
        "workroom": for_workroom(content.workroom),
        "taken_on": shortened(content.taken_on, 30),
        "rows": rows,
        "units": in_order("cm", "in"),
        "legend": [
            {
                "standing": standing,
                "name": capital(gettext(STANDING_NAMES[standing])),
                "words": gettext(words),
            }
            for standing, words in STANDING_WORDS.items()
            if standing in standings
        ],
        "decision": None if decision is None else _headline(decision),
        "undecided": glued(content.undecided),
        "passages": [_passage(part) for part in passages(content)],
        "ease": None if decision is None else asdict(ease_strips(decision)),
        "drawing": None if content.drawing is None else asdict(outline_of(content.drawing)),
        "notes": [] if decision is None else notes(decision),
        "fresh": fresh_words(content.rows),
        "code": {"modules": code.modules, "svg": code.svg},
        "digest": grouped(digest),
        "fine_print": gettext(FINE_PRINT),
    }


def _fixed_words() -> dict[str, str]:
    """What stands on every card."""
    return {
        "title": gettext(TITLE),
        "name": gettext("Name:"),
        "no_size": gettext("No size yet."),
        "measurement": gettext("Measurement"),
        "inches": sign_of("in"),
        "standing": gettext("Standing"),
        "ease_signs": gettext(
            "Hatched: it strains · grey: least to drafted ease · line: as drafted · black: as it is"
        ),
        "code": gettext(CODE_WORDS),
        "digest": gettext(
            "These figures belong to just these numbers: a copy with others has other figures. The "
            "code holds the numbers and works without a connection."
        ),
        "changed": gettext(CHANGED_LATER),
        # Only the template knows the numbers of pages; it puts them in.
        "page": gettext("page {number} of {count}"),
        "goes_on": gettext("More on page 2"),
    }


def _row(row: CardRow) -> dict[str, object]:
    if not all(math.isfinite(v) for v in (row.value_mm, row.low_mm or 0, row.high_mm or 0)):
        raise ValueError(f"{row.code} is not a finite length")
    shown = figures(row.value_mm, row.low_mm, row.high_mm)
    return {
        "name": capital(name_of(row.code)),
        "cm": shown.cm,
        "inches": shown.inches,
        "bound_cm": shown.bound_cm,
        "bound_inches": shown.bound_inches,
        "standing": row.standing,
        "standing_name": gettext(STANDING_NAMES[row.standing]),
    }


def _passage(part: Passage) -> dict[str, object]:
    return {
        "heading": part.heading,
        "lead": glued(capital(part.lead)),
        "text": glued(part.text if part.lead else capital(part.text)),
    }


def _headline(decision: Decision) -> dict[str, object]:
    """The decision in its fewest words."""
    size, cup, length = (
        _chosen(gettext("size"), decision.size),
        _chosen(gettext("sewing cup"), decision.cup),
        _chosen(gettext("length"), decision.length_class, length_words),
    )
    bra = decision.designation.bra
    if bra:
        cup["below"].append(gettext("bra cup: {cup}", cup=bra))
    garment = capital(shortened(garment_words(decision.garment), 40))
    return {
        "choices": [size, cup, length],
        "garment": f"{garment}, {fabric_words(decision.fabric)}",
        "block": shortened(block_words(decision.block), 60),
    }


def _chosen(title: str, choice: Choice, named: Callable[[str], str] = str) -> dict[str, Any]:
    """A choice, and below it the other one, where the tape's error leaves it open."""
    answer, other = (
        None if name is None else shortened(named(name), 24)
        for name in (choice.name, choice.alternative)
    )
    below = [] if other is None else [gettext("perhaps {name}", name=other)]
    return {"title": title, "answer": answer, "below": below}


def notes(decision: Decision) -> list[str]:
    """What a seamstress may change after the try-on, each with a line to write on."""
    levels = (name_of(row.level) for row in decision.ease)
    return [capital(one) for one in (*levels, *map(gettext, _CHANGED_ELSEWHERE))]
