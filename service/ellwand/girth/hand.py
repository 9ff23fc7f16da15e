"""Lines that she has put right by hand: where they lie now, and how sure a hand is of it.

A level may be moved up or down, which holds for both photos, and an end of a level's line may be
moved out or in, which bends the outline there. A hand says where something is and nothing else, so
what is found at the same place gives the same values, and only its doubt is another.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ellwand.errors import EntryProblem
from ellwand.geometry.levels import Level
from ellwand.geometry.sighting import View
from ellwand.girth.move import Move
from ellwand.language import Noun, gettext_noop
from ellwand.measurements import KINDS, LEVELS, LevelCode

FloatArray = NDArray[np.float64]

# Cause in the budgets.
BY_HAND = gettext_noop("line placed by hand")
# An outline that is wrong at one height is wrong around it, by a fold of cloth or an arm: what the
# hand moves fades out over this distance (judged).
FADES_OVER_MM = 60.0
_BY_LESS = gettext_noop("Move the line by less, or move the other one out of its way first.")
_BESIDE_HIGH_BUST = gettext_noop(
    "Move the line by less, or move the other one out of its way first. That of the high bust is "
    "drawn in the side photo only."
)
# Levels lie at least so far apart (as `geometry.levels` has it for waist and seat).
APART_MM = 8.0


@dataclass(frozen=True)
class Bend:
    """How far the hand has moved one edge of an outline, around one height.

    Args:
        view: the photo.
        level: at whose line.
        end: 0 for the left edge in the photo, 1 for the right.
        at_mm: height over the floor at which it was moved.
        by_mm: how far to the right.
        u_mm: standard uncertainty of where the hand put it.
    """

    view: View
    level: LevelCode
    end: int
    at_mm: float
    by_mm: float
    u_mm: float

    def fading(self, heights_mm: FloatArray) -> FloatArray:
        """How much of it is left at some heights, 0 to 1.

        Args:
            heights_mm: (n) over the floor.
        """
        off = np.clip((heights_mm - self.at_mm) / FADES_OVER_MM, -1, 1)
        return np.asarray(np.cos(np.pi / 2 * off) ** 2, dtype=np.float64)


@dataclass(frozen=True)
class Hand:
    """All that was put right by hand.

    Args:
        levels: standard uncertainty by level that was placed, in mm.
        bends: edges that were moved, in the order of moving.
    """

    levels: Mapping[LevelCode, float] = field(default_factory=dict)
    bends: tuple[Bend, ...] = ()

    def latest(self) -> dict[tuple[View, LevelCode, int], Bend]:
        """The last bend of each end: only that one says how surely the end is placed."""
        return {(bend.view, bend.level, bend.end): bend for bend in self.bends}


def placed(
    found: Mapping[LevelCode, Level], moves: Sequence[Move]
) -> tuple[dict[LevelCode, Level], Hand]:
    """Levels where the hand has put them.

    The high hip is defined by the waist, so it goes with it until it is placed itself.

    Args:
        found: levels as found.
        moves: in the order in which they were made.

    Returns:
        The levels, and what was put right.

    Raises:
        EntryProblem: a level would lie over the one that belongs above it.
    """
    levels, by_hand = dict(found), dict[LevelCode, float]()
    bends: list[Bend] = []
    own: set[LevelCode] = set()
    for move in moves:
        if move.part != "height":
            end = 0 if move.part == "left" else 1
            right = move.by_mm if end else -move.by_mm
            at = levels[move.level].height_mm
            bends.append(Bend(move.view, move.level, end, at, right, move.u_mm))
            continue
        follows = move.level == "waist" and found["waist"].shown and "high_hip" not in own
        for code in (move.level, "high_hip") if follows else (move.level,):
            levels[code] = replace(levels[code], height_mm=levels[code].height_mm + move.by_mm)
            by_hand[code] = move.u_mm
        own.add(move.level)
    _check_order(levels, by_hand, found)
    return levels, Hand(by_hand, tuple(bends))


def _check_order(
    levels: Mapping[LevelCode, Level],
    by_hand: Mapping[LevelCode, float],
    found: Mapping[LevelCode, Level],
) -> None:
    for upper, lower in pairwise(LEVELS):
        apart, before = (one[upper].height_mm - one[lower].height_mm for one in (levels, found))
        # Levels that were found closer together may stay so.
        if apart < min(APART_MM, before) and {upper, lower} & by_hand.keys():
            raise EntryProblem(
                "levels-out-of-order",
                "The {upper} would not lie over the {lower} any more.",
                _BESIDE_HIGH_BUST if upper == "high_bust" else _BY_LESS,
                upper=Noun(KINDS[upper].name),
                lower=Noun(KINDS[lower].name),
            )
