"""What try-ons have shown of a body, and the next order that starts from it."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from ellwand.listing import listed
from ellwand.measurements import KINDS
from ellwand.sizing.block import EASE_LEVELS, Block, EaseLevel, Garment, Size
from ellwand.sizing.causes import Weighed, weighed
from ellwand.sizing.changes import FRONT_HALVES, LEAST_CHANGE_MM
from ellwand.sizing.decision import Change, ChangeCode, LevelEase
from ellwand.sizing.remedies import Remedy, remedy
from ellwand.sizing.seams import EDGES_PER_SEAM
from ellwand.sizing.size_parts import level_words
from ellwand.sizing.tryon import Finding
from ellwand.sizing.wording import split_words
from ellwand.sizing.worn import Worn, planned
from ellwand.tape import tolerance_mm

Way = Literal["snug", "loose", "fits"]
# Where an amount comes from: measured on her, worked out of the numbers, or from nowhere.
Known = Literal["measured", "numbers", "unknown"]


@dataclass(frozen=True)
class Examined:
    """A finding with its causes and what each asks for.

    Args:
        finding: what was seen.
        causes: the one to look at first before the others, each with its remedy.
    """

    finding: Finding
    causes: tuple[tuple[Weighed, Remedy], ...]


@dataclass(frozen=True)
class Outcome:
    """What a try-on showed at one level.

    Args:
        level: where.
        way: how the garment sat.
        gain_mm: girth that its seams are asked to give now, below zero to take in.
        wanted_mm: girth beyond the drafted size that it should have had; what it had, where
            nothing tells by how much that was wrong.
        known: where that comes from.
    """

    level: EaseLevel
    way: Way
    gain_mm: float
    wanted_mm: float
    known: Known


@dataclass(frozen=True)
class Learnt:
    """What the newest try-on that speaks of a level has taught.

    Args:
        level: where.
        way: how the garment sat.
        girth_mm: body girth that a pattern of her block has to be drafted for there.
        known: where that comes from; what was not measured is a least where it sat snug, and a
            most where it sat loose.
        taped_mm: her girth by tape at that time, None where it was only estimated.
    """

    level: EaseLevel
    way: Way
    girth_mm: float
    known: Known
    taped_mm: float | None


def examined(findings: tuple[Finding, ...], worn: Worn) -> tuple[Examined, ...]:
    """Weigh the causes of each finding and say what they ask for.

    Args:
        findings: of one try-on.
        worn: the numbers of the garment.
    """
    return tuple(
        Examined(
            finding,
            tuple((one, remedy(one, findings, worn)) for one in weighed(finding, findings, worn)),
        )
        for finding in findings
    )


def outcomes(found: Iterable[Examined], worn: Worn) -> dict[EaseLevel, Outcome]:
    """What a try-on showed at each level.

    What was said of a level counts; else the first cause of another finding, where that is a
    matter of girth. Of several, the one that asks for most. Where the plan would have changed a
    level and nobody told whether the garment was cut so, nothing is shown of it.

    Args:
        found: findings with causes and remedies.
        worn: the numbers of the garment.
    """
    rows = tuple(found)
    followed: dict[EaseLevel, Outcome] = {}
    for told in filter(None, (_followed(one, worn) for one in rows if one.finding.level is None)):
        if told.level not in followed or _asks(told) > _asks(followed[told.level]):
            followed[told.level] = told
    said = filter(None, (_said(one, worn) for one in rows))
    shown = followed | {told.level: told for told in said}
    unsure = [level for level, mm in worn.plan_mm.items() if mm and worn.made == "untold"]
    return {level: told for level, told in shown.items() if level not in unsure}


def _asks(told: Outcome) -> tuple[bool, float, Way]:
    """How much an outcome asks for; one with an amount before one without."""
    return told.known != "unknown", abs(told.wanted_mm), told.way


def _said(one: Examined, worn: Worn) -> Outcome | None:
    """What a finding says of its own level."""
    level, code = one.finding.level, one.finding.code
    if level not in EASE_LEVELS:
        return None
    if code == "fits":
        return Outcome(level, "fits", 0.0, worn.sewn[level].added_mm, "measured")
    own = next(asked for cause, asked in one.causes if cause.cause.level == level)
    way: Way = "snug" if code == "snug" else "loose"
    return _outcome(level, way, own, one.finding.by_mm is not None, worn)


def _followed(one: Examined, worn: Worn) -> Outcome | None:
    """What the first cause of a finding says of a level, where it is a matter of girth."""
    first = next((pair for pair in one.causes if pair[0].possible), None)
    if first is None or first[1].level is None:
        return None
    cause, asked = first
    way: Way = "snug" if cause.cause.code in ("tight", "cup-fuller") else "loose"
    return _outcome(first[1].level, way, asked, False, worn)


def _outcome(level: EaseLevel, way: Way, asked: Remedy, measured: bool, worn: Worn) -> Outcome:
    if asked.wanted_mm is None:
        return Outcome(level, way, 0.0, worn.sewn[level].added_mm, "unknown")
    known: Known = "measured" if measured else "numbers"
    return Outcome(level, way, asked.gain_mm, asked.wanted_mm, known)


def with_learnt(
    made: tuple[Change, ...],
    learnt: tuple[Learnt, ...],
    size: Size,
    block: Block,
    garment: Garment,
    ease: tuple[LevelEase, ...],
) -> tuple[tuple[Change, ...], tuple[str, ...]]:
    """Let an order start from what try-ons have shown.

    Where a garment fitted, the pattern gets the same again; where it sat snug or loose by an
    amount measured on her, just that. Without such an amount what the numbers gave is a least
    where it sat snug and a most where it sat loose, and what they plan beyond that stands.

    Args:
        made: the changes that the numbers ask for.
        learnt: by level, from `sitting.learnt`.
        size: the size chosen now, which may be another than at the try-on.
        block: the block.
        garment: the garment ordered now.
        ease: how the size sits at each level.

    Returns:
        The changes, and a sentence for each level that a try-on speaks of.
    """
    before, rows = planned(made), {row.level: row for row in ease}
    said = []
    for one in learnt:
        if one.level not in garment.levels:
            continue
        row = rows.get(one.level)
        if _taped_anew(one, row):
            said.append(
                f"The {KINDS[one.level].name} has been taped anew since the try-on and is another: "
                "what the try-on showed there no longer counts."
            )
            continue
        body = size.body_mm(one.level) if row is None else row.finished_mm - row.drafted_mm
        now, wanted = before.get(one.level, 0.0), one.girth_mm - body
        amount = (
            wanted if one.known == "measured" else (max if one.way == "snug" else min)(now, wanted)
        )
        beyond = level_words(one.level, amount, body, size, block)
        words = f"size {size.name} at the bust, {beyond}"
        said.append(_told(one, words))
        if abs(amount - now) > _SAME_MM:
            made = _replaced(made, one.level, amount, words, garment)
    return made, tuple(said)


def _told(one: Learnt, words: str) -> str:
    name = KINDS[one.level].name
    if one.known == "unknown":
        return (
            f"The last try-on was {one.way} at the {name}, by how much is not noted: look there on "
            "the trial."
        )
    return f"From the last try-on ({one.way} at the {name}): {words}."


# Amounts closer than this are the same on a pattern (judged: less than half a millimetre a seam).
_SAME_MM = 1.0


def pattern_words(changes: tuple[Change, ...], size: Size, block: Block) -> str:
    """What a pattern is, in sizes.

    Args:
        changes: of a decision.
        size: its size.
        block: the block.

    Returns:
        For instance "size 5 at the bust, half a size more at the full hip".
    """
    parts = [
        level_words(level, mm, size.body_mm(level), size, block)
        for level, mm in planned(changes).items()
        if mm
    ]
    return f"size {size.name} at the bust, {listed(parts)}" if parts else f"size {size.name}"


def _taped_anew(one: Learnt, row: LevelEase | None) -> bool:
    """Whether her girth is another now than at the try-on, by more than a tape's own doubt."""
    if one.taped_mm is None or row is None or row.basis == "estimated":
        return False
    return abs(row.low_mm - one.taped_mm) > tolerance_mm(max(row.low_mm, one.taped_mm))


def _replaced(
    made: tuple[Change, ...], level: EaseLevel, amount: float, words: str, garment: Garment
) -> tuple[Change, ...]:
    """The changes with one level's own replaced by what the try-on showed."""
    kept = [c for c in made if c.level != level or c.code in ("lengthen", "shorten")]
    if abs(amount) < LEAST_CHANGE_MM:
        return tuple(kept)
    way = "wider" if amount > 0 else "narrower"
    whole, half = split_words(abs(amount), FRONT_HALVES)
    reason = f"As the last try-on showed: {words}, {whole} {way} than drafted"
    if level == "full_bust":
        code: ChangeCode = "full-bust-adjustment" if amount > 0 else "small-bust-adjustment"
        size_mm, parts = abs(amount), FRONT_HALVES
        reason += f", {half} in each half of the front."
    else:
        code, size_mm, parts = "grade", amount, EDGES_PER_SEAM * garment.side_seams
        reason += ", blended along the side seams."
    kept.append(Change(code, level, size_mm, size_mm, parts, reason))
    return tuple(sorted(kept, key=_place))


def _place(change: Change) -> int:
    """Length first, then from the bust down, as a pattern is changed."""
    return -1 if change.code in ("lengthen", "shorten") else EASE_LEVELS.index(change.level)
