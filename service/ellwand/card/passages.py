"""The texts that stand below the girths, in the order of their weight."""

from dataclasses import dataclass
from datetime import date

from ellwand.card.content import CardContent, CardRow, CardTryOn, ordered
from ellwand.card.figures import in_words
from ellwand.card.wording import shortened
from ellwand.girth.joint import BUST_DIFFERENCE_NAME
from ellwand.measurements import KINDS, Estimate
from ellwand.quantity import in_both_units
from ellwand.sitting import FRESH_WEEKS
from ellwand.sizing import Decision, Made, designation_words, listed
from ellwand.tape import scatter, taken_words

# A heading with its texts, each with what it starts with.
Group = tuple[str, list[tuple[str, str]]]

_MADE: dict[Made, str] = {
    "planned": ", cut with the changes",
    "plain": ", cut without the changes",
    "altered": ", altered after the try-on before",
    "untold": "",
}


@dataclass(frozen=True)
class Passage:
    """A short text below the girths.

    Args:
        heading: heading above it, empty when it goes on under the last one.
        lead: words that it starts with, set off; may be empty.
        text: the text.
    """

    heading: str
    lead: str
    text: str


def passages(content: CardContent) -> tuple[Passage, ...]:
    """What stands beside and below the girths, in the order of its weight: doubts first.

    Args:
        content: the card.

    Returns:
        Passages; the first of each group has the group's heading.
    """
    groups = (*_doubts(content), *_reasons(content.decision), *_ground(content))
    return tuple(
        Passage(heading if number == 0 else "", lead, text)
        for heading, items in groups
        for number, (lead, text) in enumerate(items)
    )


def _doubts(content: CardContent) -> list[Group]:
    """What has to be settled before anything is cut."""
    warnings = [*content.warnings, *(content.decision.warnings if content.decision else ())]
    difference = content.bust_difference
    return [
        ("Open queries", [(KINDS[query.code].name, f"{query.sentence} {query.advice}")
                          for query in content.queries]),
        ("Not certain", [("", warning) for warning in warnings]),
        ("Kept against a query", [(KINDS[row.code].name, f"“{shortened(row.reason)}”")
                                  for row in ordered(content.rows) if row.reason is not None]),
        ("Sewing cup from photos, rough", [("", _cup_words(difference))] if difference else []),
        ("Seen at the try-on", [_tryon(entry) for entry in content.tryons]),
    ]  # fmt: skip


def _reasons(decision: Decision | None) -> list[Group]:
    """The size with its reasons."""
    if decision is None:
        return []
    steps, words = decision.reasons, designation_words(decision.designation)
    eased = 3 + len(decision.ease)
    return [
        ("Changes", [(step.answer, step.reason) for step in steps[eased:-1]]),
        ("Sew first", [("", decision.trial)]),
        ("Mind", [("", caution) for caution in decision.cautions]),
        ("Why this size", [(step.title, step.reason) for step in steps[:3]]),
        ("Ease at each level", [(f"{step.title[len('At the '):]}: {step.answer}", step.reason)
                                for step in steps[3:eased]]),
        ("For comparison", [("", words)] if words else []),
        ("The block", [(decision.block, decision.block_note)] if decision.block_note else []),
    ]  # fmt: skip


def _ground(content: CardContent) -> list[Group]:
    """What the numbers rest on."""
    found: dict[str, list[str]] = {}
    for row in ordered(content.rows):
        found.setdefault(found_words(row), []).append(KINDS[row.code].name)
    return [
        ("How it was found", [(how, f"{listed(names)}.") for how, names in found.items()]),
        ("With the tape", [("", scatter(content.repeats))] if content.repeats else []),
        ("Scale of the photos", [("", content.scale_note)] if content.scale_note else []),
    ]  # fmt: skip


def found_words(row: CardRow) -> str:
    """How a measurement was found: with what, by whom, over what, and when.

    Args:
        row: the measurement.

    Returns:
        A few words, such as "tape, 2 readings, by herself, in an unpadded bra,
        on 25 November 2026".
    """
    ways = [taken_words(taken) or "untold" for taken in row.taken]
    if len(ways) > 1:
        ways = [f"partly {words}" for words in ways]
    when = [] if row.on is None else [_when(row.on, row.until or row.on)]
    return ", ".join((row.how, *ways, *when))


def fresh_words(rows: tuple[CardRow, ...]) -> str:
    """When the girths were taken and how long that counts.

    Args:
        rows: the measurements.

    Returns:
        One sentence; empty where no girth or length has a day. A height does not grow old.
    """
    days = [day for row in rows for day in (row.on, row.until) if day and row.code != "stature"]
    if not days:
        return ""
    when = _when(min(days), max(days))
    return f"Taken with the tape {when}. Measure again after {FRESH_WEEKS} weeks."


def _when(first: date, last: date) -> str:
    if first == last:
        return f"on {_day(last)}"
    same_month = (first.year, first.month) == (last.year, last.month)
    return f"from {first.day if same_month else _day(first)} to {_day(last)}"


def _day(day: date) -> str:
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


# Not the machine's own language: a card is in English wherever it is made.
_MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September",
           "October", "November", "December")  # fmt: skip


def _cup_words(difference: Estimate) -> str:
    """What the cup is made of, with its bound; no letter, which the bound would not carry."""
    shown = in_words(difference.value_mm, difference.low_mm, difference.high_mm)
    return f"{BUST_DIFFERENCE_NAME.capitalize()}: {shown}. The cup itself waits for the tape."


def _tryon(entry: CardTryOn) -> tuple[str, str]:
    seen = [
        one.words if one.by_mm is None else f"{one.words} by {in_both_units(one.by_mm)}"
        for one in entry.findings
    ]
    over = f", worn over {shortened(entry.over, 60)}" if entry.over else ""
    garment = entry.garment.replace("-", " ")
    return f"{garment}, size {entry.size}{_MADE[entry.made]}{over}", f"{'; '.join(seen)}."
