"""Ease at each level as strips: places of what card and picture draw, and all of it in words."""

import math
from dataclasses import dataclass

from ellwand.language import gettext
from ellwand.listing import capital
from ellwand.measurements import KINDS
from ellwand.shown import FirstUnit, in_both_units, in_unit, shown_first, sign_of
from ellwand.sizing.decision import Decision, LevelEase

# Room at both ends of the scale.
_ROOM_MM = 15.0
# A step of the scale by the unit that is shown first: in that unit, and in millimetres.
_STEP: dict[FirstUnit, tuple[int, float]] = {"cm": (5, 50.0), "in": (2, 50.8)}
_PLACES = 4


@dataclass(frozen=True)
class Strip:
    """One level; places run from 0, at the left, to 1.

    Args:
        name: of the level, as it begins a line.
        least: the least ease.
        drafted: the drafted ease.
        start: hers at the upper end of a bound, where least is left.
        end: hers at the lower end; the same where the tape has spoken.
        words: hers in words.
        beside: the same beside the scale, where a bound is in its unit alone.
    """

    name: str
    least: float
    drafted: float
    start: float
    end: float
    words: str
    beside: str


@dataclass(frozen=True)
class ScaleStep:
    """One step of the scale.

    Args:
        at: its place.
        words: ease in the unit that is shown first.
    """

    at: float
    words: str


@dataclass(frozen=True)
class Strips:
    """The ease that the chosen size leaves at each level, before any change.

    Args:
        heading: what it is.
        rows: from the top.
        steps: of the scale.
        unit: what the steps count.
        alt: all of it in a sentence.
    """

    heading: str
    rows: tuple[Strip, ...]
    steps: tuple[ScaleStep, ...]
    unit: str
    alt: str


def ease_strips(decision: Decision) -> Strips:
    """Lay the ease of a decision out as strips.

    Args:
        decision: with at least one level.
    """
    ends = [
        mm
        for row in decision.ease
        for mm in (row.least_mm, row.drafted_mm, row.ease_at_low_mm, row.ease_at_high_mm)
    ]
    low, high = min(0.0, *ends) - _ROOM_MM, max(0.0, *ends) + _ROOM_MM

    def at(mm: float) -> float:
        return round((mm - low) / (high - low), _PLACES)

    rows = tuple(
        Strip(
            name=capital(gettext(KINDS[row.level].name)),
            least=at(row.least_mm),
            drafted=at(row.drafted_mm),
            start=at(row.ease_at_high_mm),
            end=at(row.ease_at_low_mm),
            words=_ease(row),
            beside=_beside_scale(row),
        )
        for row in decision.ease
    )
    size, step_mm = _STEP[shown_first()]
    steps = range(math.ceil(low / step_mm), math.floor(high / step_mm) + 1)
    told = "; ".join(f"{gettext(KINDS[row.level].name)} {_ease(row)}" for row in decision.ease)
    return Strips(
        heading=gettext("Ease, garment less body, before any change"),
        rows=rows,
        steps=tuple(ScaleStep(at(step * step_mm), _minus(str(step * size))) for step in steps),
        unit=gettext("{unit} of ease", unit=sign_of(shown_first())),
        alt=gettext(
            "Ease of size {size} at each level: {told}.", size=decision.size.name, told=told
        ),
    )


def _ease(row: LevelEase) -> str:
    if row.ease_at_low_mm == row.ease_at_high_mm:
        return _minus(in_both_units(row.ease_at_low_mm))
    low, high = (in_both_units(mm) for mm in (row.ease_at_high_mm, row.ease_at_low_mm))
    return _minus(gettext("{low} to {high}", low=low, high=high))


def _beside_scale(row: LevelEase) -> str:
    """The same where there is little room, beside a scale in one unit."""
    if row.ease_at_low_mm == row.ease_at_high_mm:
        return _ease(row)
    unit = shown_first()
    low, high = (
        _minus(in_unit(mm, unit).rpartition(" ")[0])
        for mm in (row.ease_at_high_mm, row.ease_at_low_mm)
    )
    return gettext("{low} to {high} {unit}", low=low, high=high, unit=sign_of(unit))


def _minus(words: str) -> str:
    return words.replace("-", "\N{MINUS SIGN}")
