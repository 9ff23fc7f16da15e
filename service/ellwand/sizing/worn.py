"""The numbers of a garment as it was tried on: what it was cut to, on this body."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from ellwand.errors import EntryProblem
from ellwand.girth.joint import COVERAGE_FACTOR_95
from ellwand.sizing.block import EASE_LEVELS, Block, EaseLevel, Garment, Size
from ellwand.sizing.decision import Change, Decision, LevelEase
from ellwand.sizing.seams import EDGES_PER_SEAM
from ellwand.tape import Confirmed

# planned: cut with the changes of the size decision; plain: in the chosen size without them;
# altered: since the last try-on let out or taken in as that one said; untold: nobody said which.
Made = Literal["planned", "plain", "altered", "untold"]


@dataclass(frozen=True)
class Sewn:
    """What a garment has beyond its drafted size at one level.

    Args:
        added_mm: girth beyond the size as drafted, below zero where it is narrower.
        let_out_mm: how much of that came out of the seam allowance afterwards.
    """

    added_mm: float = 0.0
    let_out_mm: float = 0.0


@dataclass(frozen=True)
class LevelWorn:
    """How the garment sits at one level, as far as numbers tell.

    Args:
        sewn: what it has beyond the drafted size.
        body_mm: girth that the size is drafted for.
        taped_mm: her girth by tape, None where it is only estimated.
        ease_mm: likeliest ease, counted from the under-layer.
        u_mm: its standard uncertainty.
        least_mm: with less ease than this the garment strains.
        drafted_mm: the ease that it is drafted with.
    """

    sewn: Sewn
    body_mm: float
    taped_mm: float | None
    ease_mm: float
    u_mm: float
    least_mm: float
    drafted_mm: float


@dataclass(frozen=True)
class Worn:
    """A garment as it was tried on.

    Args:
        block: the block that it was cut from.
        garment: the garment.
        size: the size chosen.
        levels: what is known at each level of the garment.
        sewn: what it has beyond the drafted size, at every level of the garment.
        made: how it was cut or altered; what is untold is judged as cut without the plan.
        plan_mm: girth that the plan of the decision adds, by level.
        confirmed: taped measurements by code.
        front_mm: full bust minus high bust that its front is made for.
        difference_mm: hers.
        u_difference_mm: standard uncertainty of hers.
        back_mm: back waist length that it is made for, None where the block does not say.
    """

    block: Block
    garment: Garment
    size: Size
    levels: Mapping[EaseLevel, LevelWorn]
    sewn: Mapping[EaseLevel, Sewn]
    made: Made
    plan_mm: Mapping[EaseLevel, float]
    confirmed: Mapping[str, Confirmed]
    front_mm: float
    difference_mm: float
    u_difference_mm: float
    back_mm: float | None

    def spare_mm(self, level: EaseLevel) -> float:
        """What each edge of a side seam can still be let out by.

        A French seam was trimmed when it was sewn, so that nothing is left.
        """
        if self.garment.seam == "french":
            return 0.0
        used = self.sewn[level].let_out_mm / self.edges
        return max(0.0, self.garment.allowance_mm - self.garment.allowance_kept_mm - used)

    def body_mm(self, level: EaseLevel) -> float:
        """The body girth that the size is drafted for at a level."""
        known = self.levels.get(level)
        return self.size.body_mm(level) if known is None else known.body_mm

    @property
    def edges(self) -> int:
        """How many edges the side seams have."""
        return EDGES_PER_SEAM * self.garment.side_seams


# Whether a change adds its amount to the girth or takes it; others change no girth of a pattern.
_ADDS = {
    "grade": 1,
    "draw-out": 1,
    "full-bust-adjustment": 1,
    "small-bust-adjustment": -1,
}


def planned(changes: tuple[Change, ...]) -> dict[EaseLevel, float]:
    """The girth that changes to a pattern add at each level, below zero where they take it.

    Args:
        changes: of a decision; letting out concerns a garment that is cut already.

    Returns:
        Millimetres by level; the middle where an estimate leaves two ends.
    """
    return {
        level: sum(_ADDS[one.code] * (one.low_mm + one.high_mm) / 2 for one in here)
        for level in EASE_LEVELS
        if (here := [one for one in changes if one.level == level and one.code in _ADDS])
    }


def has_plan(decision: Decision) -> bool:
    """Whether a decision changes the pattern, so that it matters whether it was cut so."""
    return any(change.code != "let-out" for change in decision.changes)


def worn(
    decision: Decision,
    block: Block,
    confirmed: Mapping[str, Confirmed],
    made: Made,
    before: Mapping[EaseLevel, Sewn],
) -> Worn:
    """Put the numbers of a garment together as it was tried on.

    Args:
        decision: what it was cut by.
        block: the block of that decision.
        confirmed: taped measurements by code.
        made: how it was cut or altered.
        before: for an altered garment, what it has by now at each level.

    Returns:
        The garment on her body.

    Raises:
        EntryProblem: the decision was made on another block.
    """
    size, garment = _cut_in(decision, block)
    plan = planned(decision.changes)
    added = plan if made == "planned" else {}
    sewn = {
        level: before.get(level, Sewn()) if made == "altered" else Sewn(added.get(level, 0.0))
        for level in garment.levels
    }
    levels = {row.level: _level(row, size, sewn[row.level], confirmed) for row in decision.ease}
    bust = levels["full_bust"]
    return Worn(
        block=block,
        garment=garment,
        size=size,
        levels=levels,
        sewn=sewn,
        made=made,
        plan_mm=plan,
        confirmed=confirmed,
        front_mm=bust.body_mm + bust.sewn.added_mm - size.high_bust_mm,
        difference_mm=decision.difference_mm,
        u_difference_mm=decision.u_difference_mm,
        back_mm=_back(decision, block, size, made in ("planned", "altered")),
    )


def _cut_in(decision: Decision, block: Block) -> tuple[Size, Garment]:
    size = next((size for size in block.sizes if size.name == decision.size.name), None)
    garment = block.garments.get(decision.garment)
    if block.name != decision.block or size is None or garment is None:
        raise EntryProblem(
            "decided-on-another-block",
            "The size was decided on another block than this one.",
            "Name the block of the size decision with --block.",
        )
    return size, garment


def _level(row: LevelEase, size: Size, sewn: Sewn, confirmed: Mapping[str, Confirmed]) -> LevelWorn:
    taped = confirmed.get(row.level)
    middle = (row.ease_at_low_mm + row.ease_at_high_mm) / 2
    bound = (row.high_mm - row.low_mm) / 2
    return LevelWorn(
        sewn=sewn,
        body_mm=row.finished_mm - row.drafted_mm,
        taped_mm=None if taped is None else taped.value_mm,
        ease_mm=middle + sewn.added_mm,
        u_mm=bound / COVERAGE_FACTOR_95 if taped is None else taped.u_mm,
        least_mm=row.least_mm,
        drafted_mm=row.drafted_mm,
    )


def _back(decision: Decision, block: Block, size: Size, with_plan: bool) -> float | None:
    """The back waist length of the garment: size, length class, and what the plan changes."""
    if size.back_waist_length_mm is None:
        return None
    of_class = sum(
        entry.back_waist_change_mm
        for entry in block.length_classes
        if entry.name == decision.length_class.name
    )
    signs = {"lengthen": 1.0, "shorten": -1.0}
    changed = sum(signs.get(c.code, 0.0) * c.low_mm for c in decision.changes)
    return size.back_waist_length_mm + of_class + (changed if with_plan else 0.0)
