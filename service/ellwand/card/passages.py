"""The texts that stand below the girths, in the order of their weight."""

from dataclasses import dataclass
from datetime import date

from ellwand.card.content import CardContent, CardRow, CardTryOn, ordered
from ellwand.card.figures import in_words
from ellwand.card.wording import name_of, shortened
from ellwand.language import gettext, gettext_noop
from ellwand.measurements import Estimate
from ellwand.shown import in_both_units
from ellwand.sitting import FRESH_WEEKS
from ellwand.sizing import (
    Decision,
    Made,
    block_words,
    designation_words,
    garment_words,
    listed,
    note_words,
)
from ellwand.tape import scatter, taken_words

# A heading with its texts, each with what it starts with.
Group = tuple[str, list[tuple[str, str]]]

_MADE: dict[Made, str] = {
    "planned": gettext_noop("cut with the changes"),
    "plain": gettext_noop("cut without the changes"),
    "altered": gettext_noop("altered after the try-on before"),
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
        (gettext("Open queries"), [(name_of(query.code), f"{query.sentence} {query.advice}")
                                   for query in content.queries]),
        (gettext("Not certain"), [("", warning) for warning in warnings]),
        (gettext("Kept against a query"),
         [(name_of(row.code), gettext("“{words}”", words=shortened(row.reason)))
          for row in ordered(content.rows) if row.reason is not None]),
        (gettext("Sewing cup from photos, rough"),
         [("", _cup_words(difference))] if difference else []),
        (gettext("Seen at the try-on"), [_tryon(entry) for entry in content.tryons]),
    ]  # fmt: skip


def _reasons(decision: Decision | None) -> list[Group]:
    """The size with its reasons."""
    if decision is None:
        return []
    steps, words = decision.reasons, designation_words(decision.designation)
    block, note = block_words(decision.block), note_words(decision.block_note)
    eased = 3 + len(decision.ease)
    return [
        (gettext("Changes"), [(step.answer, step.reason) for step in steps[eased:-1]]),
        (gettext("Sew first"), [("", decision.trial)]),
        (gettext("Mind"), [("", caution) for caution in decision.cautions]),
        (gettext("Why this size"), [(step.title, step.reason) for step in steps[:3]]),
        (gettext("Ease at each level"),
         [(f"{name_of(row.level)}: {step.answer}", step.reason)
          for row, step in zip(decision.ease, steps[3:eased], strict=True)]),
        (gettext("For comparison"), [("", words)] if words else []),
        (gettext("The block"), [(block, note)] if note else []),
    ]  # fmt: skip


def _ground(content: CardContent) -> list[Group]:
    """What the numbers rest on."""
    found: dict[str, list[str]] = {}
    for row in ordered(content.rows):
        found.setdefault(found_words(row), []).append(name_of(row.code))
    return [
        (gettext("How it was found"), [(how, f"{listed(names)}.") for how, names in found.items()]),
        (gettext("With the tape"), [("", scatter(content.repeats))] if content.repeats else []),
        (gettext("Scale of the photos"),
         [("", content.scale_note)] if content.scale_note else []),
    ]  # fmt: skip


def found_words(row: CardRow) -> str:
    """How a measurement was found: with what, by whom, over what, and when.

    Args:
        row: the measurement.

    Returns:
        A few words, such as "tape, 2 readings, measured by herself, in an unpadded bra,
        on 25 November 2026".
    """
    ways = [taken_words(taken) or gettext("untold") for taken in row.taken]
    if len(ways) > 1:
        ways = [gettext("partly {words}", words=words) for words in ways]
    taken = [gettext("measured {taken}", taken=", ".join(ways))] if ways else []
    when = [] if row.on is None else [_when(row.on, row.until or row.on)]
    return ", ".join((row.how, *taken, *when))


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
    return gettext(
        "Taken with the tape {when}. Measure again after {weeks} weeks.",
        when=when,
        weeks=FRESH_WEEKS,
    )


def _when(first: date, last: date) -> str:
    if first == last:
        return gettext("on {day}", day=_day(last))
    if (first.year, first.month) == (last.year, last.month):
        return gettext("from {day} to {last}", day=first.day, last=_day(last))
    return gettext("from {first} to {last}", first=_day(first), last=_day(last))


def _day(day: date) -> str:
    month = gettext(_MONTHS[day.month - 1])
    return gettext("{day} {month} {year}", day=day.day, month=month, year=day.year)


# Not those of the machine's own language: a card is made anywhere.
_MONTHS = (
    gettext_noop("January"),
    gettext_noop("February"),
    gettext_noop("March"),
    gettext_noop("April"),
    gettext_noop("May"),
    gettext_noop("June"),
    gettext_noop("July"),
    gettext_noop("August"),
    gettext_noop("September"),
    gettext_noop("October"),
    gettext_noop("November"),
    gettext_noop("December"),
)


def _cup_words(difference: Estimate) -> str:
    """What the cup is made of, with its bound; no letter, which the bound would not carry."""
    shown = in_words(difference.value_mm, difference.low_mm, difference.high_mm)
    return gettext(
        "Full bust minus high bust: {shown}. The cup itself waits for the tape.", shown=shown
    )


def _tryon(entry: CardTryOn) -> tuple[str, str]:
    seen = [
        one.words
        if one.by_mm is None
        else gettext("{finding} by {amount}", finding=one.words, amount=in_both_units(one.by_mm))
        for one in entry.findings
    ]
    told = [garment_words(entry.garment), gettext("size {name}", name=entry.size)]
    if entry.made in _MADE:
        told.append(gettext(_MADE[entry.made]))
    if entry.over:
        told.append(gettext("worn over {words}", words=shortened(entry.over, 60)))
    return ", ".join(told), f"{'; '.join(seen)}."
