"""The page of a card: what its template shows, as JSON has it."""

import math
from dataclasses import asdict

from ellwand.card.content import CardContent, CardRow, ordered
from ellwand.card.digest import digest_of, grouped
from ellwand.card.figures import figures
from ellwand.card.outline import outline_of
from ellwand.card.passages import Passage, fresh_words, passages
from ellwand.card.qr import code_of, code_text
from ellwand.card.wording import FINE_PRINT, STANDING_WORDS, glued, shortened
from ellwand.measurements import KINDS
from ellwand.photo.sheets import PAPERS
from ellwand.sizing import Choice, Decision, ease_strips

# What a seamstress changes elsewhere than at a level with ease.
_CHANGED_ELSEWHERE = ("shoulders", "sleeve", "length")


def card_data(content: CardContent) -> dict[str, object]:
    """What the template of the card shows.

    Args:
        content: the card.

    Returns:
        Texts and figures, as JSON has them.

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
        "paper": {"width": paper.width_mm, "height": paper.height_mm},
        "customer": shortened(content.customer, 60),
        "taken_on": shortened(content.taken_on, 30),
        "rows": rows,
        "legend": [
            {"standing": name, "words": words}
            for name, words in STANDING_WORDS.items()
            if name in standings
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
        "fine_print": FINE_PRINT,
    }


def _row(row: CardRow) -> dict[str, object]:
    if not all(math.isfinite(v) for v in (row.value_mm, row.low_mm or 0, row.high_mm or 0)):
        raise ValueError(f"{row.code} is not a finite length")
    shown = figures(row.value_mm, row.low_mm, row.high_mm)
    return {
        "name": KINDS[row.code].name,
        "cm": shown.cm,
        "inches": shown.inches,
        "bound_cm": shown.bound_cm,
        "bound_inches": shown.bound_inches,
        "standing": row.standing,
    }


def _passage(part: Passage) -> dict[str, object]:
    return {
        "heading": part.heading,
        "lead": glued(part.lead),
        "text": glued(part.text),
    }


def _headline(decision: Decision) -> dict[str, object]:
    """The decision in its fewest words."""
    bra = decision.designation.bra
    return {
        "choices": [
            {
                "title": title,
                "answer": shortened(choice.name, 24),
                "below": [*_open(choice), *beside],
            }
            for title, choice, beside in (
                ("size", decision.size, []),
                ("sewing cup", decision.cup, [f"bra cup: {bra}"] if bra else []),
                ("length", decision.length_class, []),
            )
        ],
        "garment": f"{_words(decision.garment)}, {_words(decision.fabric)}",
        "block": shortened(decision.block, 60),
    }


def _open(choice: Choice) -> list[str]:
    """The other choice, where the tape's error leaves it open."""
    other = choice.alternative
    return [] if other is None else [f"perhaps {shortened(other, 24)}"]


def _words(name: str) -> str:
    return shortened(name.replace("-", " "), 40)


def notes(decision: Decision) -> list[str]:
    """What a seamstress may change after the try-on, each with a line to write on."""
    return [*(KINDS[row.level].name for row in decision.ease), *_CHANGED_ELSEWHERE]
