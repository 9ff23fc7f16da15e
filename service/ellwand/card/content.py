"""All that a measurement card tells, whether on paper or as JSON."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from ellwand.card.drawing import BodyDrawing
from ellwand.measurements import KINDS, Estimate
from ellwand.sitting import Standing
from ellwand.sizing import Decision, Made
from ellwand.tape import Taken, TechnicalError


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
        until: the day of the latest one, None where that is not known.
        taken: how its entries were taken, each way once; none where nothing is known of it.
    """

    code: str
    value_mm: float
    low_mm: float | None
    high_mm: float | None
    standing: Standing
    how: str
    reason: str | None = None
    on: date | None = None
    until: date | None = None
    taken: tuple[Taken, ...] = ()


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
        drawing: her outline, None unless she wants it on her card; it is never in JSON.
        customer: whom it is for, may be empty.
        taken_on: day of the sitting, may be empty.
        workroom: name of the workroom that it goes to, may be empty; it is never in JSON.
        paper: what it is printed on.
        written: the same in the language that files for programs are written in; None where this
            is it.
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
    drawing: BodyDrawing | None = None
    customer: str = ""
    taken_on: str = ""
    workroom: str = ""
    paper: Literal["a4", "letter"] = "a4"
    written: "CardContent | None" = None


def ordered(rows: tuple[CardRow, ...]) -> list[CardRow]:
    """Measurements in the order of their names, from height down."""
    order = list(KINDS)
    return sorted(rows, key=lambda row: order.index(row.code))
