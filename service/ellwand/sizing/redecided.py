"""What is different in two size decisions on the same customer, in words."""

from dataclasses import dataclass
from typing import Literal

from ellwand.language import gettext, gettext_noop
from ellwand.listing import listed
from ellwand.shown import in_both_units
from ellwand.sizing.block import EASE_LEVELS
from ellwand.sizing.decision import (
    CHANGE_WORDS,
    Change,
    ChangeCode,
    ChangeLevel,
    Decision,
    Grading,
)
from ellwand.sizing.naming import at_words, block_words, fabric_words, garment_words
from ellwand.sizing.wording import amount_words


@dataclass(frozen=True)
class Redecided:
    """One answer that is no longer the same.

    Args:
        title: what was decided, such as "size" or "let out at the full hip".
        old: the earlier answer, None where there was none.
        new: the answer now, None where there is none.
    """

    title: str
    old: str | None
    new: str | None


def redecided(old: Decision, new: Decision) -> tuple[Redecided, ...]:
    """The answers that differ, in the order of a decision.

    Amounts that read the same in both units are the same.

    Args:
        old: the earlier decision.
        new: the decision now.

    Returns:
        None when both say the same.
    """
    before, after = _answers(old), _answers(new)
    rows = (
        Redecided(_title(asked), before.get(asked), after.get(asked))
        for asked in _ASKED
        if asked in before or asked in after
    )
    return tuple(row for row in rows if row.old != row.new)


# What is asked: a thing chosen, or a change or grading at a place.
_Asked = str | tuple[ChangeCode | Literal["grading"], ChangeLevel]

_CHOSEN: dict[str, str] = {
    "block": gettext_noop("block"),
    "garment": gettext_noop("garment"),
    "fabric": gettext_noop("cloth"),
    "length_class": gettext_noop("length class"),
    "size": gettext_noop("size"),
    "cup": gettext_noop("sewing cup"),
    "cut_cup": gettext_noop("cup that is cut"),
}
_CHANGE_LEVELS: tuple[ChangeLevel, ...] = (*EASE_LEVELS, "hem", "sleeve")
# All that can be asked, in the order in which it is told.
_ASKED: tuple[_Asked, ...] = (
    *_CHOSEN,
    *(("grading", level) for level in EASE_LEVELS),
    *((code, level) for code in CHANGE_WORDS for level in _CHANGE_LEVELS),
)


def _title(asked: _Asked) -> str:
    if isinstance(asked, str):
        return gettext(_CHOSEN[asked])
    code, level = asked
    if code == "grading":
        return gettext("grading {there}", there=at_words(level))
    return gettext("{change} {there}", change=gettext(CHANGE_WORDS[code]), there=at_words(level))


def _answers(decision: Decision) -> dict[_Asked, str]:
    """Every answer by what is asked."""
    answers: dict[_Asked, str] = {
        "block": block_words(decision.block),
        "garment": garment_words(decision.garment),
        "fabric": fabric_words(decision.fabric),
        "length_class": decision.length_class.answer,
        "size": decision.size.answer,
        "cup": decision.cup.answer,
    }
    if decision.cut_cup is not None:
        answers["cut_cup"] = decision.cut_cup
    answers |= {("grading", one.level): _grading(one) for one in decision.grading}
    graded = {one.level for one in decision.grading}
    amounts: dict[_Asked, list[str]] = {}
    for change in decision.changes:
        if change.code != "grade" or change.level not in graded:
            amounts.setdefault((change.code, change.level), []).append(_amount(change))
    return answers | {asked: listed(rows) for asked, rows in amounts.items()}


def _grading(grading: Grading) -> str:
    if grading.to_size_at_low == grading.to_size_at_high:
        return gettext("size {size}", size=grading.to_size_at_low)
    return gettext(
        "size {low} to {high}, once taped",
        low=grading.to_size_at_low,
        high=grading.to_size_at_high,
    )


def _amount(change: Change) -> str:
    """An amount; only a grading may make a garment narrower."""
    low, high = change.low_mm, change.high_mm
    if low >= 0:
        return amount_words(low, high)
    if high <= 0:
        return gettext("{amount} narrower", amount=amount_words(-high, -low))
    return gettext(
        "from {narrower} narrower to {wider} wider",
        narrower=in_both_units(-low),
        wider=in_both_units(high),
    )
