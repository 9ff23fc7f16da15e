"""Several garments and blocks beside each other, and which of them is closest to a customer."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ellwand.language import gettext, gettext_noop
from ellwand.measurements import Estimate
from ellwand.shown import in_both_units
from ellwand.sizing.block import Block
from ellwand.sizing.choose import decide
from ellwand.sizing.decision import Decision
from ellwand.sizing.naming import block_words, garment_words
from ellwand.sizing.reach import beyond_mm
from ellwand.tape import Confirmed


@dataclass(frozen=True)
class Compared:
    """One garment of one block on one customer.

    Args:
        decision: what it comes to.
        beyond_mm: by how much her high bust lies beyond the block's sizes, 0 within them; above 0
            when it is larger.
        work_mm: how much is added and taken at all levels to make it fit, at the worse end of a
            bound.
    """

    decision: Decision
    beyond_mm: float
    work_mm: float


@dataclass(frozen=True)
class Comparison:
    """Garments beside each other.

    Args:
        rows: in the order asked for.
        closest: index of the one that is closest.
        reason: why, or that none fits, with the distances.
    """

    rows: tuple[Compared, ...]
    closest: int
    reason: str


def compare(
    confirmed: Mapping[str, Confirmed],
    estimates: Mapping[str, Estimate],
    choices: Sequence[tuple[Block, str]],
) -> Comparison:
    """Decide for each of several garments, and name the closest.

    The closest has her high bust within its sizes, because shoulders are the hardest to change, and
    of those needs the least change in all.

    Args:
        confirmed: confirmed and kept measurements by code.
        estimates: estimates by code.
        choices: blocks, each with the name of one of its garments; at least one.

    Raises:
        EntryProblem: something that sizing needs is not confirmed, or there is no such garment.
    """
    rows = tuple(_compared(confirmed, estimates, block, name) for block, name in choices)
    closest = min(range(len(rows)), key=lambda n: (abs(rows[n].beyond_mm), rows[n].work_mm))
    return Comparison(rows, closest, _reason(rows, closest))


def _compared(
    confirmed: Mapping[str, Confirmed], estimates: Mapping[str, Estimate], block: Block, name: str
) -> Compared:
    decision = decide(confirmed, estimates, block, name)
    # What is let out of a garment that is cut already is no part of a new one.
    amounts = [
        max(abs(change.low_mm), abs(change.high_mm))
        for change in decision.changes
        if change.code != "let-out"
    ]
    return Compared(decision, beyond_mm(confirmed["high_bust"].value_mm, block), sum(amounts))


# By whether another one lies beyond its sizes, and whether the closest has to be changed.
_CLOSEST = {
    (True, True): gettext_noop(
        "{closest} is closest: the high bust lies within its sizes, and not within those of every "
        "other; it needs the least change in all, {work}."
    ),
    (True, False): gettext_noop(
        "{closest} is closest: the high bust lies within its sizes, and not within those of every "
        "other; nothing has to be changed."
    ),
    (False, True): gettext_noop(
        "{closest} is closest: the high bust lies within its sizes, and it needs the least change "
        "in all, {work}."
    ),
    (False, False): gettext_noop(
        "{closest} is closest: the high bust lies within its sizes, and nothing has to be changed."
    ),
}


def _reason(rows: Sequence[Compared], closest: int) -> str:
    row = rows[closest]
    name = called(row)
    if row.beyond_mm:
        return gettext(
            "None of them fits, because the high bust lies beyond the sizes: {distances}. "
            "{closest} is the least far away; its shoulders have to be drafted anew.",
            distances="; ".join(_distance(one) for one in rows),
            closest=name,
        )
    if len(rows) == 1:
        return gettext("{closest} has the high bust within its sizes.", closest=name)
    text = _CLOSEST[any(one.beyond_mm for one in rows), bool(row.work_mm)]
    return gettext(text, closest=name, work=in_both_units(row.work_mm))


def _distance(row: Compared) -> str:
    """How far her high bust lies beyond the sizes of a row."""
    distance, garment = in_both_units(abs(row.beyond_mm)), called(row)
    if row.beyond_mm > 0:
        return gettext("{distance} too large for {garment}", distance=distance, garment=garment)
    return gettext("{distance} too small for {garment}", distance=distance, garment=garment)


def called(row: Compared) -> str:
    """A garment with its block, as it is called in a row."""
    return f"{block_words(row.decision.block)}, {garment_words(row.decision.garment)}"
