"""Lines that she has put right by hand, as the record holds them."""

from collections.abc import Sequence
from typing import ClassVar, Literal

from ellwand.measurements import LevelCode
from ellwand.sitting.part import Part

PointPx = tuple[float, float]
EndsPx = tuple[PointPx, PointPx]


class MoveEntry(Part):
    """One line, or one end of it, that was moved."""

    named_by: ClassVar[tuple[str, ...]] = ("view", "level", "part")

    view: Literal["front", "side"]
    """The photo in which it was moved; a height holds for both."""
    level: LevelCode
    """Whose line."""
    part: Literal["height", "left", "right"]
    """The whole line up or down, or its end on the left or the right of the photo."""
    by_mm: float
    """How far: up, or away from the middle of the body."""
    u_mm: float
    """Standard uncertainty of where the hand put it."""
    from_px: EndsPx
    """Both ends of the line before."""
    to_px: EndsPx
    """Both ends of it afterwards."""


class CorrectionEntry(Part):
    """What was put right at one time, or that an earlier correction no longer counts."""

    named_by: ClassVar[tuple[str, ...]] = ("number",)

    number: int
    """Counts from 1."""
    moves: tuple[MoveEntry, ...] = ()
    """What was moved, in order."""
    undoes: int | None = None
    """Number of the correction that no longer counts."""


def standing(corrections: Sequence[CorrectionEntry]) -> tuple[CorrectionEntry, ...]:
    """The corrections that count, in the order in which they were made."""
    undone = {one.undoes for one in corrections}
    return tuple(one for one in corrections if one.moves and one.number not in undone)
