"""What `ellwand size` says of a decision: lines for people, JSON for programs."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict

from ellwand.measurements import KINDS
from ellwand.sizing import (
    Compared,
    Comparison,
    Decision,
    LevelEase,
    called,
)

_COMPARED_HEAD = ("", "size", "cup", "grading", "change, cm", "high bust")
_EASE_HEAD = ("ease, cm", "body", "left", "least", "drafted", "")


def size_lines(decision: Decision) -> list[str]:
    """The decision, step by step.

    Args:
        decision: the size decision.
    """
    note = f": {decision.block_note}" if decision.block_note else ""
    lines = [f"{decision.block}{note}", f"Garment: {decision.garment.replace('-', ' ')}", ""]
    # Size and cup stand second and third.
    chances = {1: decision.size_probabilities, 2: decision.cup_probabilities}
    for number, step in enumerate(decision.reasons):
        lines.append(f"{step.title}: {step.answer}. {step.reason}")
        if len(chances.get(number, ())) > 1:
            lines.append(f"  {_chances(chances[number])}")
    lines += ["", *_table([_EASE_HEAD, *(_ease_row(row) for row in decision.ease)]), ""]
    return lines + [f"{remark.title}: {remark.reason}" for remark in decision.remarks]


def size_json(decision: Decision) -> str:
    """The decision as JSON; what was chosen stands by its name.

    Args:
        decision: the size decision.
    """
    return json.dumps({"decision": _plain(decision)}, indent=2, allow_nan=False)


def _plain(decision: Decision) -> dict[str, object]:
    choices = {
        "size": decision.size,
        "cup": decision.cup,
        "length_class": decision.length_class,
    }
    return asdict(decision) | {
        **{name: choice.name for name, choice in choices.items()},
        "alternatives": {name: choice.alternative for name, choice in choices.items()},
        "reasons": [asdict(step) for step in decision.reasons],
    }


def comparison_lines(comparison: Comparison) -> list[str]:
    """Garments beside each other as a table, and the closest.

    Args:
        comparison: as it was made.
    """
    rows = [_COMPARED_HEAD, *(_compared_row(row) for row in comparison.rows)]
    return [*_table(rows), "", comparison.reason]


def comparison_json(comparison: Comparison) -> str:
    """The same as JSON.

    Args:
        comparison: as it was made.
    """
    compared = [
        {
            "block": row.decision.block,
            "garment": row.decision.garment,
            "beyond_mm": row.beyond_mm,
            "work_mm": row.work_mm,
            "decision": _plain(row.decision),
        }
        for row in comparison.rows
    ]
    told = {"compared": compared, "closest": comparison.closest, "reason": comparison.reason}
    return json.dumps(told, indent=2, allow_nan=False)


def _compared_row(row: Compared) -> tuple[str, ...]:
    decision = row.decision
    beyond = "" if not row.beyond_mm else f"{abs(row.beyond_mm) / 10:.1f} cm beyond"
    sizes = [f"{KINDS[one.level].name} {one.to_size_at_high}" for one in decision.grading]
    return (
        called(row),
        decision.size.name,
        decision.cup.name,
        ", ".join(sizes),
        f"{row.work_mm / 10:.1f}",
        beyond,
    )


def _chances(chances: Mapping[str, float]) -> str:
    """Probabilities in words, given the doubt of the tape."""
    told = (f"{name} {100 * chance:.0f} %" for name, chance in chances.items() if chance >= 0.005)
    return f"Given the doubt of the tape: {', '.join(told)}."


def _table(rows: Sequence[tuple[str, ...]]) -> list[str]:
    """Rows in columns: the first and the last to the left, the others to the right."""
    wide = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    lines = []
    for first, *middle, last in rows:
        cells = (cell.rjust(width) for cell, width in zip(middle, wide[1:], strict=False))
        lines.append("  ".join((first.ljust(wide[0]), *cells, last)).rstrip())
    return lines


def _ease_row(row: LevelEase) -> tuple[str, ...]:
    return (
        KINDS[row.level].name,
        _span(row.low_mm, row.high_mm),
        _span(row.ease_at_high_mm, row.ease_at_low_mm),
        f"{row.least_mm / 10:.1f}",
        f"{row.drafted_mm / 10:.1f}",
        row.fit,
    )


def _span(low_mm: float, high_mm: float) -> str:
    """A number, or the two ends of a bound, in centimetres."""
    low, high = f"{low_mm / 10:.1f}", f"{high_mm / 10:.1f}"
    return low if low == high else f"{low} to {high}"
