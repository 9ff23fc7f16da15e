"""What is different in two size decisions on the same customer, in words."""

from dataclasses import dataclass

from ellwand.listing import listed
from ellwand.measurements import KINDS
from ellwand.quantity import in_both_units
from ellwand.sizing.block import EASE_LEVELS, EaseLevel
from ellwand.sizing.decision import (
    CHANGE_WORDS,
    Change,
    ChangeCode,
    ChangeLevel,
    Decision,
    Grading,
)
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
        Redecided(title, before.get(title), after.get(title))
        for title in _TITLES
        if title in before or title in after
    )
    return tuple(row for row in rows if row.old != row.new)


def _place(level: ChangeLevel) -> str:
    return KINDS[level].name if level in KINDS else level


def _grading_title(level: EaseLevel) -> str:
    return f"grading at the {_place(level)}"


def _change_title(code: ChangeCode, level: ChangeLevel) -> str:
    return f"{CHANGE_WORDS[code]} at the {_place(level)}"


_CHANGE_LEVELS: tuple[ChangeLevel, ...] = (*EASE_LEVELS, "hem", "sleeve")
# Every title there can be, in the order in which they are told.
_TITLES = (
    "block",
    "garment",
    "cloth",
    "length class",
    "size",
    "sewing cup",
    "cup that is cut",
    *(_grading_title(level) for level in EASE_LEVELS),
    *(_change_title(code, level) for code in CHANGE_WORDS for level in _CHANGE_LEVELS),
)


def _answers(decision: Decision) -> dict[str, str]:
    """Every answer by its title."""
    answers = {
        "block": decision.block,
        "garment": decision.garment.replace("-", " "),
        "cloth": decision.fabric.replace("-", " "),
        "length class": decision.length_class.answer,
        "size": decision.size.answer,
        "sewing cup": decision.cup.answer,
    }
    if decision.cut_cup is not None:
        answers["cup that is cut"] = decision.cut_cup
    answers |= {_grading_title(one.level): _grading(one) for one in decision.grading}
    graded = {one.level for one in decision.grading}
    amounts: dict[str, list[str]] = {}
    for change in decision.changes:
        if change.code != "grade" or change.level not in graded:
            amounts.setdefault(_change_title(change.code, change.level), []).append(_amount(change))
    return answers | {title: listed(rows) for title, rows in amounts.items()}


def _grading(grading: Grading) -> str:
    if grading.to_size_at_low == grading.to_size_at_high:
        return f"size {grading.to_size_at_low}"
    return f"size {grading.to_size_at_low} to {grading.to_size_at_high}, once taped"


def _amount(change: Change) -> str:
    """An amount; only a grading may make a garment narrower."""
    low, high = change.low_mm, change.high_mm
    if low >= 0:
        return amount_words(low, high)
    if high <= 0:
        return f"{amount_words(-high, -low)} narrower"
    return f"from {in_both_units(-low)} narrower to {in_both_units(high)} wider"
