"""Ease at each level as a picture: one strip a level, told by shape and not by colour."""

import math

from ellwand.measurements import KINDS
from ellwand.quantity import in_both_units
from ellwand.sizing import Decision, LevelEase

# Room at both ends of the scale, and one of its steps.
_ROOM_MM, _STEP_MM = 15.0, 50.0
_PLACES = 4


def ease_strips(decision: Decision) -> dict[str, object]:
    """The ease that the chosen size leaves at each level, before any change.

    Args:
        decision: with at least one level.

    Returns:
        Places from 0 (left) to 1: for each level its least and drafted ease and both ends of
        hers, which are one where the tape has spoken; steps of the scale; a heading, and all of
        it in words.
    """
    ends = [
        mm
        for row in decision.ease
        for mm in (row.least_mm, row.drafted_mm, row.ease_at_low_mm, row.ease_at_high_mm)
    ]
    low, high = min(0.0, *ends) - _ROOM_MM, max(0.0, *ends) + _ROOM_MM

    def at(mm: float) -> float:
        return round((mm - low) / (high - low), _PLACES)

    steps = range(math.ceil(low / _STEP_MM), math.floor(high / _STEP_MM) + 1)
    told = "; ".join(f"{KINDS[row.level].name} {_ease(row)}" for row in decision.ease)
    return {
        "heading": "Ease, garment less body, before any change",
        "rows": [
            {
                "name": KINDS[row.level].name,
                "least": at(row.least_mm),
                "drafted": at(row.drafted_mm),
                "from": at(row.ease_at_high_mm),
                "to": at(row.ease_at_low_mm),
                "words": _ease(row),
            }
            for row in decision.ease
        ],
        "steps": [
            {"at": at(step * _STEP_MM), "words": _minus(f"{step * _STEP_MM / 10:g}")}
            for step in steps
        ],
        "alt": f"Ease of size {decision.size.name} at each level: {told}.",
    }


def _ease(row: LevelEase) -> str:
    if row.ease_at_low_mm == row.ease_at_high_mm:
        return _minus(in_both_units(row.ease_at_low_mm))
    return _minus(f"{row.ease_at_high_mm / 10:.1f} to {row.ease_at_low_mm / 10:.1f} cm")


def _minus(words: str) -> str:
    return words.replace("-", "\N{MINUS SIGN}")
