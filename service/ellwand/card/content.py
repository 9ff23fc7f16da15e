"""What stands on a measurement card, and in which words and order."""

import math
import re
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal

from ellwand.card.figures import figures, in_words
from ellwand.girth.joint import BUST_DIFFERENCE_NAME
from ellwand.measurements import KINDS, Estimate
from ellwand.photo.sheets import PAPERS
from ellwand.sizing import Decision, Made, designation_words
from ellwand.tape import TechnicalError, scatter

# The sitting brings its file library along, which a card has no use for.
if TYPE_CHECKING:
    from ellwand.sitting import Standing

# A customer's own words are shown whole up to this length; the sitting file keeps the rest.
LONGEST_WORDS = 300

STANDING_WORDS: "dict[Standing, str]" = {
    "confirmed": "taped, and nothing speaks against it",
    "kept": "taped, and kept for the reason given",
    "read": "taped, not yet settled",
    "queried": "taped, in doubt",
    "estimated": "from photos, no fact until taped",
}

FINE_PRINT = (
    "± is the 95 % error bound, rounded outward. Girths estimated from photos are a rough guide, "
    "no measured fact: cut nothing before the tape has confirmed them. For making clothes only; "
    "this is no medical device and tells nothing about health. The sewing cup is not the bra cup."
)


@dataclass(frozen=True)
class CardRow:
    """One measurement.

    Args:
        code: key of `measurements.KINDS`.
        value_mm: the value that the sitting holds.
        low_mm: lower end of its 95 % interval, None when none is known.
        high_mm: upper end of it, None when none is known.
        standing: how far it can be relied on.
        how: how it was found, a few words, such as "tape, 2 readings".
        reason: the customer's reason for keeping it, else None.
        on: the day of the oldest tape entry that it rests on, None where that is not known.
    """

    code: str
    value_mm: float
    low_mm: float | None
    high_mm: float | None
    standing: "Standing"
    how: str
    reason: str | None = None
    on: date | None = None


@dataclass(frozen=True)
class CardFinding:
    """What was seen at a try-on.

    Args:
        words: as the trade says it, such as "snug at the full hip".
        by_mm: girth that was pinched or is lacking, None where it was not measured.
    """

    words: str
    by_mm: float | None = None


@dataclass(frozen=True)
class CardTryOn:
    """A try-on.

    Args:
        garment: the garment's name in its block.
        size: the size that it was cut in at the bust.
        made: how it was cut.
        over: what it was worn over, in the customer's words, else None.
        findings: what was seen.
    """

    garment: str
    size: str
    made: Made
    over: str | None
    findings: tuple[CardFinding, ...]


@dataclass(frozen=True)
class CardQuery:
    """An open query.

    Args:
        code: the measurement in doubt.
        sentence: what is doubtful.
        advice: what to do.
    """

    code: str
    sentence: str
    advice: str


@dataclass(frozen=True)
class CardContent:
    """All that a card shows.

    Args:
        rows: the measurements, in any order.
        queries: open queries.
        decision: the size decision, None while there is none.
        undecided: why there is no decision yet, for the customer.
        scale_note: what the photos' scale rests on, may be empty.
        warnings: what else to know about the photos and numbers.
        outside: in words, what of this body lies outside what the estimates stand for; a warning
            says so, too.
        repeats: how far repeats with the tape scatter, None while nothing was repeated.
        tryons: what was seen at try-ons, in the order of entry.
        bust_difference: full bust minus high bust as long as it rests on photos, else None.
        customer: whom it is for, may be empty.
        taken_on: day of the sitting, may be empty.
        paper: what it is printed on.
    """

    rows: tuple[CardRow, ...]
    queries: tuple[CardQuery, ...] = ()
    decision: Decision | None = None
    undecided: str = ""
    scale_note: str = ""
    warnings: tuple[str, ...] = ()
    outside: tuple[str, ...] = ()
    repeats: TechnicalError | None = None
    tryons: tuple[CardTryOn, ...] = ()
    bust_difference: Estimate | None = None
    customer: str = ""
    taken_on: str = ""
    paper: Literal["a4", "letter"] = "a4"


@dataclass(frozen=True)
class Passage:
    """A short text below the table.

    Args:
        heading: heading above it, empty when it goes on under the last one.
        lead: words that it starts with, set off; may be empty.
        text: the text.
    """

    heading: str
    lead: str
    text: str


def card_data(content: CardContent) -> dict[str, object]:
    """What the template of the card shows.

    Args:
        content: the card.

    Returns:
        Texts and figures, as JSON has them.
    """
    order = list(KINDS)
    rows = sorted(content.rows, key=lambda row: order.index(row.code))
    paper = PAPERS[content.paper]
    standings = {row.standing for row in rows}
    return {
        "paper": {"width": paper.width_mm, "height": paper.height_mm},
        "customer": shortened(content.customer, 60),
        "taken_on": shortened(content.taken_on, 30),
        "rows": [_row(row) for row in rows],
        "legend": [
            {"standing": name, "words": words}
            for name, words in STANDING_WORDS.items()
            if name in standings
        ],
        "decision": None if content.decision is None else _headline(content.decision),
        "undecided": glued(content.undecided),
        "passages": [
            {"heading": part.heading, "lead": part.lead, "text": glued(part.text)}
            for part in passages(content)
        ],
        "fine_print": FINE_PRINT,
    }


def passages(content: CardContent) -> tuple[Passage, ...]:
    """What stands below the table, in the order of its weight: doubts first.

    Args:
        content: the card.

    Returns:
        Passages; the first of each group has the group's heading.
    """
    groups: list[tuple[str, list[tuple[str, str]]]] = [
        (
            "Open queries",
            [
                (KINDS[query.code].name, f"{query.sentence} {query.advice}")
                for query in content.queries
            ],
        )
    ]
    if content.bust_difference is not None:
        groups.append(
            ("Sewing cup from photos, rough", [("", _cup_words(content.bust_difference))])
        )
    decision = content.decision
    warnings = list(content.warnings)
    if decision is not None:
        steps, words = decision.steps(), designation_words(decision.designation)
        warnings += decision.warnings
        groups += [
            ("Why this size", [(step.title, step.reason) for step in steps[:3]]),
            (
                "Ease, garment less body, before any change",
                [
                    (f"{step.title.removeprefix('At the ')}: {step.answer}", step.reason)
                    for step in steps[3 : 3 + len(decision.ease)]
                ],
            ),
            (
                "Changes",
                [(step.answer, step.reason) for step in steps[3 + len(decision.ease) : -1]],
            ),
            ("Sew first", [("", decision.trial)]),
            ("Mind", [("", caution) for caution in decision.cautions]),
            ("For comparison", [("", words)] if words else []),
        ]
    groups.insert(1, ("Not certain", [("", warning) for warning in warnings]))
    groups.append(("With the tape", [("", scatter(content.repeats))] if content.repeats else []))
    groups.append(("Scale of the photos", [("", content.scale_note)] if content.scale_note else []))
    return tuple(
        Passage(heading if number == 0 else "", lead, text)
        for heading, items in groups
        for number, (lead, text) in enumerate(items)
    )


def shortened(words: str, longest: int = LONGEST_WORDS) -> str:
    """Somebody's own words on one line, cut with a mark where they are very long.

    Args:
        words: any text.
        longest: most characters to keep.

    Returns:
        The text without line breaks and control characters.
    """
    plain = " ".join("".join(c if c.isprintable() else " " for c in words).split())
    if len(plain) <= longest:
        return plain
    return f"{plain[: longest - 1].rstrip()}…"


def glued(text: str) -> str:
    """A text in which no line ends between a number and its unit.

    Args:
        text: any text.

    Returns:
        The text with no-break spaces there.
    """
    return re.sub(r"(?<=\d) (?=(?:mm|cm|m|in)\b)", "\N{NO-BREAK SPACE}", text)


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
        "how": glued(row.how),
        "reason": None if row.reason is None else glued(shortened(row.reason)),
    }


def _cup_words(difference: Estimate) -> str:
    """What the cup is made of, with its bound; no letter, which the bound would not carry."""
    shown = in_words(difference.value_mm, difference.low_mm, difference.high_mm)
    return f"{BUST_DIFFERENCE_NAME.capitalize()}: {shown}. The cup itself waits for the tape."


def _headline(decision: Decision) -> dict[str, object]:
    """The decision in its fewest words."""
    return {
        "choices": [
            {"title": title, "answer": choice.name, "alternative": choice.alternative}
            for title, choice in (
                ("size", decision.size),
                ("sewing cup", decision.cup),
                ("length", decision.length_class),
            )
        ],
        "garment": f"{decision.garment.replace('-', ' ')}, {decision.fabric.replace('-', ' ')}",
        "block": decision.block,
        "note": decision.block_note,
    }
