"""What can be done to a sitting: each act takes the record and an input and gives a new record.

After every act the measurements are judged anew from findings, readings and keeps. The standing of
a measurement follows from these rules:

- an estimate without a reading is `estimated`; it leans on girths that the tape has confirmed, too;
- readings with a query that blocks are `queried`, unless the customer has kept the value: `kept`;
- two readings that agree are `confirmed` (a height needs one, people know it); one alone is `read`.
  Where a new one settles readings that differed, what is too far from those that agree is marked as
  no longer counting.

Keeping lasts until the next reading of the measurement. A decision is dropped as soon as a
measurement changes, because it would rest on other numbers.
"""

from collections.abc import Collection, Mapping, Sequence
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, NamedTuple

from ellwand.errors import EntryProblem
from ellwand.language import Noun, gettext
from ellwand.listing import listed
from ellwand.measurements import KINDS, Estimate
from ellwand.shown import in_both_units
from ellwand.sitting.findings import entry_of
from ellwand.sitting.height import HEIGHT, height_of_photos
from ellwand.sitting.left_out import left_out
from ellwand.sitting.part import carried
from ellwand.sitting.record import (
    FindingsEntry,
    KeepEntry,
    Measurement,
    QueryEntry,
    ReadingEntry,
    Setup,
    Sitting,
    SittingUnit,
    Standing,
    Taking,
)
from ellwand.sitting.refused_entries import READINGS, Entries
from ellwand.sitting.taking import worn_of
from ellwand.sitting.tightening import tightened
from ellwand.tape import (
    Confirmed,
    Judged,
    Query,
    Reading,
    TechnicalError,
    agreeing,
    as_typed,
    check_code,
    enter,
    judge,
    length_meant,
    summarise,
    technical_error,
    tolerance_mm,
    worn_remarks,
)

if TYPE_CHECKING:
    from ellwand.girth.result import Findings

UNTOLD = Taking()


class ReadResult(NamedTuple):
    """What came of reading tape entries in.

    Args:
        record: the sitting with the readings.
        queries: doubts and remarks about this measurement.
        echo: lines that say back what was read, in both units, and what comes next.
    """

    record: Sitting
    queries: list[Query]
    echo: list[str]


def with_unit(record: Sitting, unit: SittingUnit) -> Sitting:
    """Set the unit that bare numbers are taken in from now on; what was typed before stays."""
    return record.model_copy(update={"unit": unit})


def with_setup(record: Sitting, setup: Setup) -> Sitting:
    """Note how the photos were taken."""
    return record.model_copy(update={"setup": carried(setup, record.setup)})


def with_stature(record: Sitting, text: str) -> Sitting:
    """Note the height that photos are judged by; a new one takes the place of those before.

    Args:
        record: the sitting.
        text: what was typed.

    Raises:
        EntryProblem: the text is not a height, or none that photos can be measured by.
    """
    reading = height_of_photos(text, record.unit)
    if any(row.mm == reading.mm for row in active(record, HEIGHT)):
        return record
    return rejudged(_appended(_superseded(record, HEIGHT), [reading]))


def with_findings(record: Sitting, findings: "Findings") -> Sitting:
    """Note what the photos gave, in place of what earlier photos gave, and judge anew."""
    return with_entry(record, entry_of(findings, record.setup))


def with_entry(record: Sitting, entry: FindingsEntry) -> Sitting:
    """The same from findings that are in the form of the file already."""
    return rejudged(record.model_copy(update={"findings": carried(entry, record.findings)}))


def read(
    record: Sitting,
    code: str,
    entries: Sequence[str],
    instead: bool = False,
    on: date | None = None,
) -> ReadResult:
    """Read tape entries of one measurement in; all of them, or none when one is no length.

    Entries are repeats of those before. They take the place of readings in doubt when they are
    not in doubt themselves and don't agree with them, or when the customer says so. Where they
    settle readings that differed, those too far from the ones that agree no longer count; neither
    does one that no body has, beside two that a body may have.

    Args:
        record: the sitting.
        code: key of `KINDS`.
        entries: one or more texts as typed.
        instead: whether all earlier readings of the measurement no longer count.
        on: the day of the entry.

    Returns:
        The new record, the queries about this measurement, and what to say back.

    Raises:
        EntryProblem: no such measurement, or no entry.
        EntriesRefused: one or more texts are no length.
    """
    check_code(code)
    if not entries:
        raise EntryProblem(
            "no-entry", "There is no reading to take in.", 'Type one behind the name, like "92.5".'
        )
    readings = _entered(code, entries, record.unit)
    before = active(record, code)
    replaces = bool(before) and (instead or _corrects(record, readings))
    kept_on = _superseded(record, code) if replaces else record
    added = _appended(kept_on, readings, on, record.taking)
    # One that differs from readings that agreed stays: a second like it may prove it right.
    differed = before and not replaces and not summarise([row.mm for row in before]).agree
    apart = left_out(active(added, code), settles=bool(differed))
    new = rejudged(_superseded(added, code, {row.mm for row in apart}))
    told = new.measurements[code]
    first = len(record.readings.get(code, ())) + 1
    echo = [
        gettext(
            "{name}, reading {number}: {value}",
            name=Noun(KINDS[code].name),
            number=number,
            value=in_both_units(one.mm),
        )
        for number, one in enumerate(readings, first)
    ]
    if replaces:
        echo.append(gettext("Earlier readings no longer count; they stay in the file."))
    if apart:
        echo.append(
            gettext(
                "Too far from the others, and no longer counting: {typed}.",
                typed=listed([as_typed(row) for row in apart]),
            )
        )
    echo.append(_next_step(told, len(active(new, code))))
    return ReadResult(new, [query.query(code) for query in told.queries], echo)


def _entered(code: str, entries: Sequence[str], unit: SittingUnit) -> list[Reading]:
    """Entries as they are understood, or what is wrong with each that is not."""
    gathered = Entries()
    readings = [
        gathered.read(
            (READINGS, number),
            partial(enter, code, text, unit),
            partial(length_meant, code, text, unit),
        )
        for number, text in enumerate(entries)
    ]
    gathered.check()
    return [one for one in readings if one]


def confirmed(record: Sitting) -> dict[str, Confirmed]:
    """The measurements that count as facts, by code."""
    return {
        code: Confirmed(code, held.value_mm, held.u_mm, held.reason)
        for code, held in record.measurements.items()
        if held.standing in ("confirmed", "kept")
    }


def open_queries(record: Sitting) -> list[Query]:
    """The doubts that hold measurements back, in the order of the measurements."""
    return [
        query.query(code)
        for code, held in record.measurements.items()
        if held.standing == "queried"
        for query in held.queries
        if query.blocks
    ]


def repeatability(record: Sitting) -> TechnicalError | None:
    """How far her repeats of the same measurement scatter; a repeat that slipped does not count.

    Args:
        record: the sitting.

    Returns:
        The technical error of measurement of the sitting, None where no repeats agree.
    """
    rows = {code: [row.mm for row in active(record, code)] for code in KINDS}
    return technical_error(agreeing(mms) for mms in rows.values() if mms and summarise(mms).agree)


def active(record: Sitting, code: str) -> list[Reading]:
    """The readings of a measurement that count, in the order of entry."""
    return [row.reading(code) for row in record.readings.get(code, ()) if not row.superseded]


def rejudged(record: Sitting) -> Sitting:
    """Derive every measurement anew; codes that this version does not know stay as they are."""
    judged = _judged(record, {code: active(record, code) for code in KINDS})
    kept = {code for code in judged if _keeping(record, code)}
    taped = {code: _taped(record, code, one, kept) for code, one in judged.items()}
    new = _estimated(record, taped) | taped
    measurements = {
        code: carried(new[code], record.measurements.get(code)) for code in KINDS if code in new
    }
    unknown = {code: one for code, one in record.measurements.items() if code not in KINDS}
    measurements.update(unknown)
    same = _unworded(measurements) == _unworded(record.measurements)
    decision = record.decision if same else None
    return record.model_copy(update={"measurements": measurements, "decision": decision})


def _unworded(measurements: Mapping[str, Measurement]) -> dict[str, Measurement]:
    """Measurements without the words of their queries, which follow from the rest and a language.

    The workroom may speak another than the customer, and a decision rests on numbers alone.
    """
    bare = {"sentence": "", "advice": "", "cause": ""}
    return {
        code: held.model_copy(
            update={"queries": tuple(one.model_copy(update=bare) for one in held.queries)}
        )
        for code, held in measurements.items()
    }


def _judged(record: Sitting, rows: Mapping[str, Sequence[Reading]]) -> dict[str, Judged]:
    """Judge readings against the photos of the sitting, or against women of her weight."""
    joint = record.findings.together() if record.findings else None
    weight = record.setup.weight if record.setup else None
    return judge(rows, _estimates(record), joint, weight.kg if weight else None)


def _estimates(record: Sitting) -> dict[str, Estimate]:
    """What photos gave, as far as this version knows it."""
    return {code: one for code, one in record.estimates().items() if code in KINDS}


def _estimated(record: Sitting, taped: Mapping[str, Measurement]) -> dict[str, Measurement]:
    """The measurements that photos make, given those of the tape."""
    given = tightened(record.findings, taped)
    made = {}
    for code, alone in _estimates(record).items():
        estimate = given[code].estimate if code in given else alone
        made[code] = Measurement(
            value_mm=estimate.value_mm,
            u_mm=estimate.u_mm,
            standing="estimated",
            tightened_by=given[code].by if code in given else (),
        )
    return made


def _taped(record: Sitting, code: str, judged: Judged, kept: set[str]) -> Measurement:
    """The measurement that readings make."""
    # Keeping one of two values that are out of order answers the query about both.
    queries = [
        q for q in judged.queries if code in kept or q.rule != "order" or q.against not in kept
    ]
    queries += worn_remarks(code, worn_of(record))
    keeping = _keeping(record, code)
    standing: Standing
    if keeping:
        standing = "kept"
    elif any(query.blocks for query in queries):
        standing = "queried"
    else:
        standing = "confirmed" if judged.taped.agree or code == HEIGHT else "read"
    return Measurement(
        value_mm=round(judged.taped.value_mm, 4),
        u_mm=round(judged.taped.u_mm, 2),
        standing=standing,
        reason=keeping.reason if keeping else None,
        queries=tuple(QueryEntry.of(query) for query in queries),
    )


def _keeping(record: Sitting, code: str) -> KeepEntry | None:
    """The customer's keeping of the present readings, if any."""
    keeps = record.keeps.get(code, ())
    holds = keeps and keeps[-1].readings == len(record.readings.get(code, ()))
    return keeps[-1] if holds else None


def _corrects(record: Sitting, readings: Sequence[Reading]) -> bool:
    """Whether new readings take the place of readings in doubt: sound ones that don't agree."""
    code = readings[0].code
    rows = {other: active(record, other) for other in KINDS}
    old = _judged(record, rows)[code]
    new = _judged(record, {**rows, code: readings})[code]
    in_doubt = any(query.blocks and query.rule != "repeats" for query in old.queries)
    # Where one that no body has stands beside another, only that one is in doubt.
    alike = len({KINDS[code].is_plausible(row.mm) for row in rows[code]}) == 1
    return in_doubt and alike and not new.blocked and not _near(old, new)


def _near(old: Judged, new: Judged) -> bool:
    """Whether two sets of readings agree with each other."""
    apart = abs(old.taped.value_mm - new.taped.value_mm)
    return apart <= tolerance_mm(max(old.taped.value_mm, new.taped.value_mm))


def _superseded(record: Sitting, code: str, lengths_mm: Collection[float] | None = None) -> Sitting:
    """Mark readings of a measurement as no longer counting: all, or those of some lengths."""
    rows = tuple(
        row.model_copy(update={"superseded": True})
        if lengths_mm is None or row.mm in lengths_mm
        else row
        for row in record.readings.get(code, ())
    )
    return record.model_copy(update={"readings": {**record.readings, code: rows}})


def _appended(
    record: Sitting,
    readings: Sequence[Reading],
    on: date | None = None,
    taking: Taking = UNTOLD,
) -> Sitting:
    """Add readings of one measurement behind those before."""
    code = readings[0].code
    rows = tuple(
        ReadingEntry(raw=one.raw, mm=one.mm, unit=one.unit, on=on, taking=taking)
        for one in readings
    )
    both = (*record.readings.get(code, ()), *rows)
    return record.model_copy(update={"readings": {**record.readings, code: both}})


def _next_step(held: Measurement, count: int) -> str:
    """Say how the measurement stands and what comes next."""
    value = in_both_units(held.value_mm)
    match held.standing:
        case "confirmed" if count > 1:
            return gettext("Confirmed by {number} readings: {value}.", number=count, value=value)
        case "confirmed":
            return gettext("Confirmed: {value}.", value=value)
        case "read":
            return gettext("Take the tape off, measure a second time and read that in, too.")
        case _:
            return gettext("Not confirmed yet: see the query.")
