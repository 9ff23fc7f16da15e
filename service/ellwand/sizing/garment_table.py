"""The garments of a block file, each with its ease; `block_file` reads the rest."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import TypeVar

from ellwand.measurements import KINDS
from ellwand.sizing.block import (
    CUFFS,
    EASE_LEVELS,
    FABRICS,
    HEM_LEVELS,
    SEAMS,
    Cuff,
    EaseLevel,
    EaseRange,
    Fabric,
    Garment,
    Size,
)
from ellwand.sizing.toml_table import Key, LineProblem, Table

Word = TypeVar("Word", bound=str)

# Two are usual; panels with seams of their own make a few more (judged).
MOST_SIDE_SEAMS = 8


def garments_of(table: Table, smallest: Size) -> dict[str, Garment]:
    """Read all garments.

    Args:
        table: of garments by name.
        smallest: the smallest size in the smallest drafted cup, which a knit has to fit.

    Returns:
        By name, in the file's order.

    Raises:
        LineProblem: a line of it cannot be right.
    """
    if not table.names():
        raise LineProblem(
            Key("garment"), "a block needs at least one garment, such as [garment.blouse]"
        )
    return {name: _garment(name, table.table(name), smallest) for name in table.names()}


def _garment(name: str, table: Table, smallest: Size) -> Garment:
    fabric = _one_of(table, "fabric", FABRICS)
    hem = _one_of(table, "hem", HEM_LEVELS)
    levels = EASE_LEVELS[: EASE_LEVELS.index(hem) + 1]
    if "high_hip" in levels and smallest.high_hip_mm is None:
        raise LineProblem(table.key("hem"), "reaches the high hip, which the sizes do not give")
    allowance = table.length_mm("seam_allowance")
    kept = table.length_mm("allowance_kept")
    if kept > allowance:
        raise LineProblem(table.key("allowance_kept"), "must not be more than seam_allowance")
    ease = table.table("ease")
    stretch = _stretch(table, cut_in_knit=ease.has("knit"))
    cuff = _one_of(table, "cuff", CUFFS)
    garment = Garment(
        name=name,
        fabric=fabric,
        hem=hem,
        ease=MappingProxyType(_eases(ease, levels, smallest, stretch)),
        under_layer_mm=table.length_mm("under_layer"),
        seam=_one_of(table, "seam", SEAMS),
        side_seams=table.count("side_seams", MOST_SIDE_SEAMS),
        allowance_mm=allowance,
        allowance_kept_mm=kept,
        hem_allowance_mm=table.length_mm("hem_allowance"),
        cuff=cuff,
        cuff_girth_mm=_cuff_girth_mm(table, cuff),
        stretch=stretch,
    )
    table.finish()
    if fabric not in garment.ease:
        missing = f"{table.key('ease')}.{fabric}"
        raise LineProblem(table.key("fabric"), "its ease is missing: {missing}", missing=missing)
    return garment


def _stretch(table: Table, *, cut_in_knit: bool) -> float | None:
    """How far its knit can stretch; without knit nothing may."""
    if cut_in_knit:
        return table.share("stretch")
    if table.has("stretch"):
        raise LineProblem(table.key("stretch"), "only a garment with ease in knit has a stretch")
    return None


def _cuff_girth_mm(table: Table, cuff: Cuff) -> float | None:
    """The finished girth of a cuff that must pass the hand."""
    if cuff != "closed":
        if table.has("cuff_girth"):
            raise LineProblem(table.key("cuff_girth"), 'only cuff = "closed" has a cuff_girth')
        return None
    girth = table.length_mm("cuff_girth")
    if girth < KINDS["hand"].plausible_mm[0]:
        raise LineProblem(table.key("cuff_girth"), "passes no hand (is the unit right?)")
    return girth


def _eases(
    table: Table, levels: tuple[EaseLevel, ...], smallest: Size, stretch: float | None
) -> dict[Fabric, Mapping[EaseLevel, EaseRange]]:
    fabrics: dict[Fabric, Mapping[EaseLevel, EaseRange]] = {}
    for fabric in FABRICS:
        if not table.has(fabric):
            continue
        entry = table.table(fabric)
        give = stretch if fabric == "knit" else None
        fabrics[fabric] = MappingProxyType(
            {level: _ease(entry.table(level), smallest.body_mm(level), give) for level in levels}
        )
        entry.finish()
    table.finish()
    if not fabrics:
        raise LineProblem(
            table.key("woven"), "ease is needed for one of {names}", names=", ".join(FABRICS)
        )
    return fabrics


def _ease(table: Table, body_mm: float, stretch: float | None) -> EaseRange:
    """Ease at one level, held against what the cloth can give on the smallest body."""
    least = table.signed_length_mm("least")
    drafted = table.signed_length_mm("drafted")
    if drafted < least:
        raise LineProblem(table.key("drafted"), "must not be less than least")
    if least < 0 and stretch is None:
        raise LineProblem(table.key("least"), "only a knit can have less than none")
    # Stretched as far as it goes the garment must reach around: (body + ease) (1 + stretch).
    if stretch is not None and (body_mm + least) * (1 + stretch) < body_mm:
        raise LineProblem(
            table.key("least"), "the knit cannot stretch that far on the smallest size"
        )
    table.finish()
    return EaseRange(least, drafted)


def _one_of(table: Table, name: str, allowed: tuple[Word, ...]) -> Word:
    value = table.choice(name, allowed)
    return next(word for word in allowed if word == value)
