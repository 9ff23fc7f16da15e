"""The act after the try-on: note what was seen, and say what it comes from and what to do."""

from collections.abc import Sequence
from typing import NamedTuple

from ellwand.errors import EntryProblem
from ellwand.quantity import parse_length
from ellwand.sitting.actions import confirmed
from ellwand.sitting.deciding import sized
from ellwand.sitting.learning import learnt
from ellwand.sitting.printable import is_printable
from ellwand.sitting.record import Sitting
from ellwand.sitting.tryon_entry import TryOnEntry, TryOnFinding, TryOnGirth
from ellwand.sitting.typed import Typed
from ellwand.sizing import (
    Block,
    Decision,
    Examined,
    Finding,
    Learnt,
    Made,
    Outcome,
    Sewn,
    Worn,
    decision_from_json,
    examined,
    finding_named,
    has_plan,
    outcomes,
    refuse_contradictions,
    worn,
)
from ellwand.sizing.block import EASE_LEVELS, EaseLevel

LONGEST_OVER = 80


class TypedFinding(NamedTuple):
    """A finding as typed.

    Args:
        words: like "snug at full hip".
        by: how much was pinched or is lacking, like "3/4 in", None where it was not measured.
    """

    words: str
    by: str | None = None


class TriedOn(NamedTuple):
    """What came of a try-on.

    Args:
        record: the sitting with the try-on.
        worn: the numbers of the garment.
        examined: each finding with its causes and what they ask for.
        learnt: what the try-ons so far have shown.
        next_order: the decision that the same order would get now.
    """

    record: Sitting
    worn: Worn
    examined: tuple[Examined, ...]
    learnt: tuple[Learnt, ...]
    next_order: Decision


def tried_on(
    record: Sitting,
    block: Block,
    typed: Sequence[TypedFinding],
    over: str | None = None,
    garment: str | None = None,
    made: Made | None = None,
) -> TriedOn:
    """Note a try-on and examine what was seen; the size decision stays as it is.

    Args:
        record: a sitting with a size decision.
        block: the block of that decision.
        typed: what was seen, at least one.
        over: what it was worn over, in her words; None where she did not say.
        garment: its name, None for the one of the decision.
        made: how it was cut or altered, None where nobody said; that matters only where the size
            decision changes the pattern.

    Returns:
        The new record, and what the findings come from.

    Raises:
        EntryProblem: there is no decision for this garment, a finding or amount cannot be read,
            or nothing was tried on that could have been altered.
    """
    decision = _decision(record, garment)
    made = made or ("untold" if has_plan(decision) else "planned")
    entries = _findings(record, typed)
    findings = tuple(entry.finding() for entry in entries)
    refuse_contradictions(findings)
    before = _altered(record, decision) if made == "altered" else {}
    body = worn(decision, block, confirmed(record), made, before)
    _refuse_below_hem(findings, body)
    found = examined(findings, body)
    entry = TryOnEntry(
        garment=decision.garment,
        block=block.name,
        size=decision.size.name,
        made=made,
        over=_over(over),
        findings=entries,
        girths=_girths(body, outcomes(found, body)),
    )
    new = record.model_copy(update={"tryons": (*record.tryons, entry)})
    again = decision_from_json(sized(new, block, decision.garment).decision)
    return TriedOn(new, body, found, learnt(new, block), again)


def _decision(record: Sitting, garment: str | None) -> Decision:
    if record.decision is None:
        raise EntryProblem(
            "not-sized",
            "There is no size decision that the garment could have been cut by.",
            "Run `ellwand size` first, with the block and the garment that was tried on.",
        )
    decision = decision_from_json(record.decision)
    if garment is not None and garment != decision.garment:
        raise EntryProblem(
            "sized-for-another-garment",
            "The size was decided for another garment than this one.",
            "Run `ellwand size` with --garment for the one that was tried on, then try again.",
        )
    return decision


def _findings(record: Sitting, typed: Sequence[TypedFinding]) -> tuple[TryOnFinding, ...]:
    """What was seen, as the file holds it; the same thing said twice stands once."""
    if not typed:
        raise EntryProblem(
            "no-finding",
            "There is no finding to note.",
            'Say what was seen, like "rides up at the back", or "fits at full hip".',
        )
    found: dict[TryOnFinding, None] = {}
    for words, by in typed:
        length = None if by is None else parse_length(by, record.unit)
        one = finding_named(words, None if length is None else length.mm)
        amount = None if length is None else Typed.of(length)
        found[TryOnFinding(code=one.code, level=one.level, by=amount)] = None
    return tuple(found)


def _refuse_below_hem(findings: Sequence[Finding], body: Worn) -> None:
    hem = body.garment.levels
    if any(one.level in EASE_LEVELS and one.level not in hem for one in findings):
        raise EntryProblem(
            "finding-below-hem",
            "This garment ends above the level that a finding is about.",
            "Leave that finding out, or name the garment that was tried on.",
        )


def _altered(record: Sitting, decision: Decision) -> dict[EaseLevel, Sewn]:
    """What the garment has by now, when its last try-on was followed."""
    cut = (decision.garment, decision.block, decision.size.name)
    tried = [one for one in record.tryons if (one.garment, one.block, one.size) == cut]
    if not tried or tried[-1].made == "untold":
        raise EntryProblem(
            "not-tried-on-before",
            "No try-on of this garment as it was cut is noted, so nothing is known to alter.",
            "Note that first, with --made planned or --made plain.",
        )
    return {level: one.altered() for level, one in tried[-1].girths.items()}


def _girths(body: Worn, shown: dict[EaseLevel, Outcome]) -> dict[EaseLevel, TryOnGirth]:
    girths = {}
    for level, sewn in body.sewn.items():
        known, told = body.levels.get(level), shown.get(level)
        wanted = None if told is None else told.wanted_mm
        girths[level] = TryOnGirth(
            added_mm=round(sewn.added_mm, 2),
            let_out_mm=round(sewn.let_out_mm, 2),
            gain_mm=0.0 if told is None else round(told.gain_mm, 2),
            way=None if told is None else told.way,
            girth_mm=None if wanted is None else round(body.body_mm(level) + wanted, 2),
            known=None if told is None else told.known,
            taped_mm=None if known is None else known.taped_mm,
        )
    return girths


def _over(text: str | None) -> str | None:
    """What it was worn over as one line, cut short where it is long."""
    line = " ".join((text or "").split())
    if not is_printable(line):
        raise EntryProblem(
            "over-unprintable",
            "What it was worn over holds characters that cannot be printed.",
            "Type it again in plain text.",
        )
    if len(line) > LONGEST_OVER:
        line = f"{line[: LONGEST_OVER - 1].rstrip()}…"
    return line or None
