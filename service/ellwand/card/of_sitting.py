"""What a sitting puts on its card."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from ellwand.card.content import (
    CardContent,
    CardFinding,
    CardQuery,
    CardRow,
    CardTryOn,
)
from ellwand.card.drawing import body_drawing
from ellwand.card.wording import name_of
from ellwand.girth.joint import interval_95
from ellwand.language import WRITTEN_IN, gettext, ngettext, speaking, spoken_language
from ellwand.measurements import KINDS
from ellwand.shown import WRITTEN_FIRST, showing_first, shown_first
from ellwand.sitting import (
    FindingsEntry,
    Measurement,
    Sitting,
    TryOnEntry,
    active,
    bust_difference_given_tape,
    by_hand,
    confirmed,
    open_queries,
    repeatability,
    taken_of,
    worn_warnings,
)
from ellwand.sizing import REQUIRED, Decision, decision_from_json, finding_words, listed

# Remark of a photo that `FindingsEntry.outside` has in more words; older sittings have it alone.
UNUSUAL = "unusual-body"


def content_of(record: Sitting, drawing: bool = False, workroom: str = "") -> CardContent:
    """The card of a sitting, complete whatever its state.

    Args:
        record: the sitting.
        drawing: whether she wants her outline on it.
        workroom: name of the workroom that it goes to, may be empty.

    Returns:
        Every measurement with its standing and bound, open queries, and the decision or why
        there is none, in the language spoken, with the unit first that is shown first.

    Raises:
        SittingProblem: the decision in the sitting cannot be read.
    """
    told = _told(record)
    if (spoken_language(), shown_first()) != (WRITTEN_IN, WRITTEN_FIRST):
        # Programs, and the digest that copies are known by, are given the same by every speaker.
        with speaking(WRITTEN_IN), showing_first(WRITTEN_FIRST):
            told = replace(told, written=_told(record))
    drawn = body_drawing(record.findings) if drawing and record.findings else None
    return replace(told, drawing=drawn, workroom=workroom)


def _told(record: Sitting) -> CardContent:
    """All that is told in words and numbers, in the language spoken."""
    missing = [name_of(code) for code in REQUIRED if code not in confirmed(record)]
    decision = None if record.decision is None else decision_from_json(record.decision)
    return CardContent(
        rows=tuple(
            _row(record, code, held) for code, held in record.measurements.items() if code in KINDS
        ),
        queries=tuple(
            CardQuery(query.code, query.told, query.advice) for query in open_queries(record)
        ),
        decision=decision,
        undecided=gettext("Still to be confirmed: {names}.", names=listed(missing))
        if missing
        else gettext("Everything that it needs is confirmed; it has not been decided yet."),
        scale_note=scale_words(record.findings) if record.findings else "",
        warnings=_warnings(record, decision),
        outside=record.findings.outside if record.findings else (),
        repeats=repeatability(record),
        tryons=tuple(_tryon(entry) for entry in record.tryons),
        bust_difference=bust_difference_given_tape(record),
        paper=(record.setup.paper if record.setup else None) or "a4",
    )


def scale_words(findings: FindingsEntry) -> str:
    """What the scale of the photos rests on, one sentence."""
    kinds = {source.source for source in findings.scale.sources}
    if "reference" not in kinds:
        return gettext("It rests on the height as typed alone.")
    if findings.scale.agree:
        return gettext(
            "It rests on the object of known size and the height as typed; the two agree."
        )
    return gettext(
        "The object of known size and the height as typed do not agree; the bounds are wide for "
        "it. Check the height, the paper size and the distance to the wall."
    )


def outside_words(outside: Sequence[str]) -> str:
    """Say plainly that a body is not like those that the estimates stand for.

    Args:
        outside: in which respects, as the sitting holds them; at least one.
    """
    return gettext(
        "Outside what the estimates from photos stand for: {names}. The bounds are wider for it; "
        "rely on the tape.",
        names=listed([gettext(one) for one in outside]),
    )


def photo_warnings(findings: FindingsEntry) -> tuple[str, ...]:
    """What was warned about the photos and the body; what holds for both is told once."""
    front = {one.code: one.advice for one in findings.front.problems}
    side = {one.code: one.advice for one in findings.side.problems}
    told = []
    if findings.outside:
        # Says more than the remark that both photos have of it.
        told.append(outside_words(findings.outside))
        front.pop(UNUSUAL, None)
        side.pop(UNUSUAL, None)
    for code, advice in {**front, **side}.items():
        words = gettext(advice)
        if code in front and code in side:
            told.append(gettext("Photos: {advice}", advice=words))
        elif code in front:
            told.append(gettext("Front photo: {advice}", advice=words))
        else:
            told.append(gettext("Side photo: {advice}", advice=words))
    return tuple(told)


def _warnings(record: Sitting, decision: Decision | None) -> tuple[str, ...]:
    """What is not certain about photos and tape, without what a decision says itself."""
    photos = photo_warnings(record.findings) if record.findings else ()
    said = decision.warnings if decision else ()
    clothes = worn_warnings(record, record.measurements)
    return (*photos, *(words for words in clothes if words not in said))


def _row(record: Sitting, code: str, held: Measurement) -> CardRow:
    estimate = record.findings.estimates.get(code) if record.findings else None
    if held.standing == "estimated" and estimate is not None and not held.tightened_by:
        low, high = estimate.low_mm, estimate.high_mm
    else:
        low, high = interval_95(held.value_mm, held.u_mm)
    first, last = _days(record, code)
    return CardRow(
        code=code,
        value_mm=held.value_mm,
        low_mm=low,
        high_mm=high,
        standing=held.standing,
        how=_how(record, code, held),
        reason=held.reason,
        on=first,
        until=last,
        taken=taken_of(record, code),
    )


def _days(record: Sitting, code: str) -> tuple[date, date] | tuple[None, None]:
    """The days of the oldest and the latest entry that count; none where an entry has no day."""
    days = [row.on for row in record.readings.get(code, ()) if not row.superseded]
    known = [day for day in days if day is not None]
    return (min(known), max(known)) if known and len(known) == len(days) else (None, None)


def _tryon(entry: TryOnEntry) -> CardTryOn:
    findings = [part.finding() for part in entry.findings]
    return CardTryOn(
        garment=entry.garment,
        size=entry.size,
        made=entry.made,
        over=entry.over,
        findings=tuple(CardFinding(finding_words(one), one.by_mm) for one in findings),
    )


def _how(record: Sitting, code: str, held: Measurement) -> str:
    if held.standing == "estimated":
        corrected = by_hand(record.findings).get(code)
        parts = [
            gettext("photos"),
            *([gettext("{parts} corrected by hand", parts=corrected)] if corrected else []),
            *([gettext("using tape readings")] if held.tightened_by else []),
        ]
        return ", ".join(parts)
    count = len(active(record, code))
    if code == "stature" and count == 1:
        return gettext("as told")
    return ngettext("tape, {number} reading", "tape, {number} readings", count)
