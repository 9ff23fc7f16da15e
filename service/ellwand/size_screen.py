"""What `ellwand size` says of a decision: lines for people, JSON for programs."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict

from ellwand.measurements import KINDS
from ellwand.sizing import Decision, LevelEase

_EASE_HEAD = ("ease, cm", "body", "left", "least", "drafted", "")


def size_lines(decision: Decision) -> list[str]:
    """The decision, step by step.

    Args:
        decision: the size decision.
    """
    note = f": {decision.block_note}" if decision.block_note else ""
    lines = [f"{decision.block}{note}", f"Garment: {decision.garment.replace('-', ' ')}", ""]
    for step in decision.steps():
        lines.append(f"{step.title}: {step.answer}. {step.reason}")
        if step.title in ("Size", "Cup"):
            chances = decision.size_probabilities if step.title == "Size" else (
                decision.cup_probabilities
            )  # fmt: skip
            lines += [f"  {_chances(chances)}"] if len(chances) > 1 else []
    lines += ["", *_ease_lines(decision.ease), ""]
    lines += [f"Mind: {caution}" for caution in decision.cautions]
    return lines + [f"Not certain: {warning}" for warning in decision.warnings]


def size_json(decision: Decision) -> str:
    """The decision as JSON; what was chosen stands by its name.

    Args:
        decision: the size decision.
    """
    choices = {
        "size": decision.size,
        "cup": decision.cup,
        "length_class": decision.length_class,
    }
    plain = asdict(decision) | {
        **{name: choice.name for name, choice in choices.items()},
        "alternatives": {name: choice.alternative for name, choice in choices.items()},
        "reasons": [asdict(step) for step in decision.steps()],
    }
    return json.dumps({"decision": plain}, indent=2, allow_nan=False)


def _chances(chances: Mapping[str, float]) -> str:
    """Probabilities in words, given the doubt of the tape."""
    told = (f"{name} {100 * chance:.0f} %" for name, chance in chances.items() if chance >= 0.005)
    return f"Given the doubt of the tape: {', '.join(told)}."


def _ease_lines(ease: Sequence[LevelEase]) -> list[str]:
    """Ease at each level as a table."""
    rows = [_EASE_HEAD, *(_ease_row(row) for row in ease)]
    wide = [max(len(row[column]) for row in rows) for column in range(len(_EASE_HEAD))]
    return [
        "  ".join(
            (row[0].ljust(wide[0]), *(cell.rjust(w) for cell, w in zip(row[1:-1], wide[1:-1],
                                                                       strict=True)), row[-1])
        ).rstrip()
        for row in rows
    ]  # fmt: skip


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
