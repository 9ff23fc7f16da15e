"""Figures and tables of the report as Markdown."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

NAMES = {
    "high_bust": "high bust",
    "full_bust": "full bust",
    "underbust": "underbust",
    "waist": "waist",
    "high_hip": "high hip",
    "full_hip": "full hip",
    "bust_difference": "full bust minus high bust",
    "navel_waist": "waist at the navel",
}


def number(value: float, unit: str = "mm") -> str:
    """A figure with its unit."""
    return f"{value:g} {unit}".rstrip()


def percent(share: float) -> str:
    """A share as percent."""
    return f"{100 * share:.1f} %"


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """Lines of a table, with an empty one after it."""
    lines = [head, ["---"] * len(head), *rows]
    return [f"| {' | '.join(line)} |" for line in lines] + [""]
