"""The card's JSON as a record: its keys, their types and what they mean.

Keys stay as they are within one version; a reader passes over those that it does not know.
"""

from datetime import date
from typing import Final, Literal

from pydantic import BaseModel, ConfigDict

from ellwand.card.content import CardContent, CardFinding, CardQuery, CardRow, CardTryOn, ordered
from ellwand.girth.joint import BUST_DIFFERENCE, COVERAGE_FACTOR_95
from ellwand.measurements import KINDS, Estimate
from ellwand.sitting import Standing
from ellwand.sizing import Decision, Made
from ellwand.tape import MeasuredBy, Taken, TechnicalError, Worn

CARD_FORMAT: Final = "ellwand-card"
CARD_VERSION: Final = 3
# A nanometre: it takes off the noise of binary fractions and keeps any fraction of an inch.
_MM_PLACES = 6
# A millionth of the mean, which nobody can measure.
_SHARE_PLACES = 6


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, allow_inf_nan=False, use_attribute_docstrings=True)


class Way(_Part):
    """How tape entries were taken; one out of a few answers each, so that no name is in it."""

    measured_by: MeasuredBy
    """Who held the tape: the customer herself, or somebody with her."""
    worn: Worn
    """What lay under it, of several the last of this list; thick is a blouse or more."""


class Row(_Part):
    """One measurement."""

    code: str
    """Code name of the measurement."""
    name: str
    """Its name in words."""
    value_mm: float
    """The value in millimetres, not rounded as it is on paper."""
    low_mm: float | None
    """Lower end of its 95 % interval, null when none is known."""
    high_mm: float | None
    """Upper end of it, null when none is known."""
    standing: Standing
    """How far it can be relied on."""
    how: str
    """How it was found, a few words."""
    reason: str | None
    """The customer's reason for keeping it against a query, else null."""
    taken_on: date | None = None
    """Day of the oldest tape entry that it rests on; version 1 had none."""
    taken_until: date | None = None
    """Day of the latest one; versions 1 and 2 had none."""
    taken: tuple[Way, ...] = ()
    """How these entries were taken, each way once; versions 1 and 2 had none."""


class OpenQuery(_Part):
    """An open query."""

    code: str
    """The measurement in doubt."""
    sentence: str
    """What is doubtful."""
    advice: str
    """What to do."""


class Repeats(_Part):
    """How far repeats of the same hands scatter."""

    value_mm: float
    """Technical error of measurement in millimetres."""
    share: float
    """The same as a share of the mean reading."""
    measurements: int
    """How many measurements were repeated."""


class Difference(_Part):
    """Full bust minus high bust, as long as it rests on photos."""

    value_mm: float
    """Best value in millimetres."""
    low_mm: float
    """Lower end of its 95 % interval."""
    high_mm: float
    """Upper end of it."""
    u_mm: float | None = None
    """Standard uncertainty; version 1 had none."""


class Seen(_Part):
    """What was seen at a try-on."""

    words: str
    """As the trade says it."""
    by_mm: float | None
    """Girth that was pinched or is lacking, null where it was not measured."""


class TryOn(_Part):
    """A try-on."""

    garment: str
    """The garment's name in its block."""
    size: str
    """The size that it was cut in at the bust."""
    made: Made
    """How it was cut."""
    over: str | None
    """What it was worn over, in the customer's words."""
    findings: tuple[Seen, ...]
    """What was seen."""


class CardDocument(_Part):
    """A measurement card."""

    format: Literal["ellwand-card"]
    """What kind of file this is."""
    version: Literal[1, 2, 3]
    """Version of the format."""
    rows: tuple[Row, ...]
    """The measurements, from the top of the card."""
    queries: tuple[OpenQuery, ...]
    """Open queries."""
    decision: Decision | None
    """The size decision, null while there is none."""
    undecided: str | None
    """Why there is no decision yet, else null."""
    scale_note: str
    """What the scale of the photos rests on, may be empty."""
    warnings: tuple[str, ...]
    """What else to know about the photos and numbers."""
    outside: tuple[str, ...]
    """What of this body lies outside what the estimates stand for, in words."""
    bust_difference: Difference | None
    """Full bust minus high bust as long as it rests on photos, else null."""
    repeats: Repeats | None = None
    """How far repeats with the tape scatter; version 1 had none."""
    tryons: tuple[TryOn, ...] = ()
    """What was seen at try-ons, in the order of entry; version 1 had none."""


def document_of(content: CardContent) -> CardDocument:
    """A card as its JSON holds it: the same in whatever language the card speaks.

    Args:
        content: the card; whom it is for, its day and how it is printed are left out.

    Raises:
        ValueError: a length is not finite, or a measurement has no such name.
    """
    content = content.written or content
    rows = ordered(content.rows)
    return CardDocument(
        format=CARD_FORMAT,
        version=CARD_VERSION,
        rows=tuple(_row(row) for row in rows),
        queries=tuple(
            OpenQuery(code=query.code, sentence=query.sentence, advice=query.advice)
            for query in content.queries
        ),
        # Anew through its checks, so that a whole number becomes a number with a point.
        decision=content.decision.to_json() if content.decision else None,  # type: ignore[arg-type]
        undecided=None if content.decision else content.undecided,
        scale_note=content.scale_note,
        warnings=content.warnings,
        outside=content.outside,
        bust_difference=_difference(content.bust_difference),
        repeats=_repeats(content.repeats),
        tryons=tuple(_tryon(entry) for entry in content.tryons),
    )


def content_of_document(document: CardDocument) -> CardContent:
    """The card that a document tells of.

    Args:
        document: of any version.

    Returns:
        The card without whom it is for; measurements that this version does not know are left out.
    """
    difference = document.bust_difference
    return CardContent(
        rows=tuple(
            CardRow(
                row.code, row.value_mm, row.low_mm, row.high_mm, row.standing, row.how, row.reason,
                row.taken_on, row.taken_until,
                tuple(Taken(way.measured_by, way.worn) for way in row.taken),
            )
            for row in document.rows
            if row.code in KINDS
        ),
        queries=tuple(
            CardQuery(query.code, query.sentence, query.advice)
            for query in document.queries
            if query.code in KINDS
        ),
        decision=document.decision,
        undecided=document.undecided or "",
        scale_note=document.scale_note,
        warnings=document.warnings,
        outside=document.outside,
        repeats=None
        if document.repeats is None
        else TechnicalError(**document.repeats.model_dump()),
        bust_difference=None if difference is None else _estimate(difference),
        tryons=tuple(
            CardTryOn(
                one.garment, one.size, one.made, one.over,
                tuple(CardFinding(seen.words, seen.by_mm) for seen in one.findings),
            )
            for one in document.tryons
        ),
    )  # fmt: skip


def _row(row: CardRow) -> Row:
    return Row(
        code=row.code,
        name=KINDS[row.code].name,
        value_mm=_plain_mm(row.value_mm),
        low_mm=None if row.low_mm is None else _plain_mm(row.low_mm),
        high_mm=None if row.high_mm is None else _plain_mm(row.high_mm),
        standing=row.standing,
        how=row.how,
        reason=row.reason,
        taken_on=row.on,
        taken_until=row.until,
        taken=tuple(Way(measured_by=way.measured_by, worn=way.worn) for way in row.taken),
    )


def _difference(difference: Estimate | None) -> Difference | None:
    if difference is None:
        return None
    return Difference(
        value_mm=_plain_mm(difference.value_mm),
        low_mm=_plain_mm(difference.low_mm),
        high_mm=_plain_mm(difference.high_mm),
        u_mm=_plain_mm(difference.u_mm),
    )


def _estimate(difference: Difference) -> Estimate:
    u_mm = difference.u_mm
    if u_mm is None:
        u_mm = (difference.high_mm - difference.low_mm) / (2 * COVERAGE_FACTOR_95)
    value, low, high = difference.value_mm, difference.low_mm, difference.high_mm
    return Estimate(BUST_DIFFERENCE, value, u_mm, low, high, ())


def _repeats(found: TechnicalError | None) -> Repeats | None:
    if found is None:
        return None
    return Repeats(
        value_mm=_plain_mm(found.value_mm),
        share=round(found.share, _SHARE_PLACES),
        measurements=found.measurements,
    )


def _tryon(entry: CardTryOn) -> TryOn:
    return TryOn(
        garment=entry.garment,
        size=entry.size,
        made=entry.made,
        over=entry.over,
        findings=tuple(
            Seen(words=one.words, by_mm=None if one.by_mm is None else _plain_mm(one.by_mm))
            for one in entry.findings
        ),
    )


def _plain_mm(length_mm: float) -> float:
    # A whole number would else be written without its point, and 925 and 925.0 are one length.
    return round(float(length_mm), _MM_PLACES)
