"""From confirmed numbers to a size: length class by stature, size by high bust, cup by difference.

Source: common practice, no source, for choosing the size by high bust and the cup by full bust
minus high bust: by full bust alone the shoulders of a fuller-cupped customer come out too wide.
"""

import math
from collections.abc import Mapping
from dataclasses import replace

from ellwand.errors import EntryProblem
from ellwand.language import gettext
from ellwand.listing import listed
from ellwand.measurements import KINDS, Estimate
from ellwand.sizing.block import Block, Fabric, Garment, LengthClass
from ellwand.sizing.cautions import cautions, trial
from ellwand.sizing.chances import LEAST_TOLD, NAMED_CHANCE, chances_between, nearest_chances
from ellwand.sizing.changes import changes, gradings
from ellwand.sizing.cups import cup_chances, cup_letter, cup_steps
from ellwand.sizing.decision import Choice, Decision
from ellwand.sizing.designation import designate
from ellwand.sizing.doubts import doubts
from ellwand.sizing.ease import BodyGirth, body_girth, level_ease, nearest_number
from ellwand.sizing.learnt import Learnt, with_learnt
from ellwand.sizing.reasons import (
    cup_reason,
    cut_words,
    length_reason,
    size_reason,
    what_decides_cup,
    what_decides_length,
    what_decides_size,
)
from ellwand.tape import Confirmed

REQUIRED = ("stature", "high_bust", "full_bust")
# Taped or estimated: either will do, and the tape is surer.
BETTER_TAPED = ("waist", "full_hip")


def decide(
    confirmed: Mapping[str, Confirmed],
    estimates: Mapping[str, Estimate],
    block: Block,
    garment: str | None = None,
    fabric: str | None = None,
    under_layer_mm: float | None = None,
    learnt: tuple[Learnt, ...] = (),
) -> Decision:
    """Choose size, cup and length class, and say what has to be changed.

    Args:
        confirmed: confirmed and kept measurements by code.
        estimates: estimates by code; taken at both ends of their bound for waist and hip where
            the tape has not confirmed them.
        block: the workroom's block.
        garment: name of one of its garments, None for the first.
        fabric: what it is cut in, None for the garment's own.
        under_layer_mm: what she wears beneath adds to each girth, None for the garment's own.
        learnt: what earlier try-ons have shown, by level.

    Returns:
        The decision, each step with its reason.

    Raises:
        EntryProblem: something that sizing needs is not confirmed, or the block has no such
            garment or fabric.
    """
    chosen = _garment(block, garment)
    if under_layer_mm is not None:
        chosen = replace(chosen, under_layer_mm=under_layer_mm)
    cloth = _fabric(chosen, fabric)
    known = _girths(confirmed, estimates, chosen)
    number = _size_number(confirmed["high_bust"].value_mm, block)
    difference, u_difference = _difference(confirmed)
    cut = block.in_cup(block.nearest_cup(cup_steps(difference, block.cup_step_mm)))
    size = cut.sizes[number]
    length = _length_class(confirmed["stature"].value_mm, block)
    ease = tuple(level_ease(girth, size, cut, chosen, cloth) for girth in known)
    cup = _with_cut(_cup_choice(difference, u_difference, block), cut)
    asked = changes(confirmed, cut, chosen, size, length, ease)
    made, shown = with_learnt(asked, learnt, size, cut, chosen, ease)
    sizes = _size_chances(confirmed["high_bust"], block)
    return Decision(
        block=block.name,
        block_note=block.note,
        garment=chosen.name,
        fabric=cloth,
        length_class=_length_choice(confirmed["stature"], length, block),
        size=_size_choice(confirmed, number, block, sizes),
        cup=cup,
        difference_mm=difference,
        u_difference_mm=u_difference,
        ease=ease,
        changes=made,
        cautions=(
            *shown,
            *cautions(confirmed, chosen, cloth, cup.name != cut.cup, ease, made),
        ),
        warnings=doubts(confirmed, known, chosen, cut, ease),
        trial=trial(made, ease, size),
        designation=designate(confirmed),
        cut_cup=cut.cup,
        size_probabilities={name: one for name, one in sizes.items() if one >= LEAST_TOLD},
        cup_probabilities=cup_chances(difference, u_difference, block.cup_step_mm),
        grading=tuple(
            one
            for one in gradings(ease, size, cut, chosen)
            if one.level not in {other.level for other in learnt}
        ),
    )


def _difference(confirmed: Mapping[str, Confirmed]) -> tuple[float, float]:
    """Full bust minus high bust with its standard uncertainty, from the errors of both readings."""
    full, high = confirmed["full_bust"], confirmed["high_bust"]
    return full.value_mm - high.value_mm, math.hypot(full.u_mm, high.u_mm)


def _garment(block: Block, name: str | None) -> Garment:
    if name is None:
        return next(iter(block.garments.values()))
    if name not in block.garments:
        raise EntryProblem(
            "unknown-garment",
            "This block has no garment of that name.",
            "Choose one of: {names}.",
            names=", ".join(block.garments),
        )
    return block.garments[name]


def _fabric(garment: Garment, name: str | None) -> Fabric:
    if name is None:
        return garment.fabric
    for fabric in garment.ease:
        if fabric == name:
            return fabric
    raise EntryProblem(
        "unknown-fabric",
        "The block gives no ease for this garment in that fabric.",
        "Choose one of: {names}.",
        names=", ".join(garment.ease),
    )


def _refuse_unconfirmed(
    confirmed: Mapping[str, Confirmed], estimates: Mapping[str, Estimate], garment: Garment
) -> None:
    """Sizing starts when the tape has spoken; waist and full hip may come from the photos.

    Raises:
        EntryProblem: something is missing; all of it is named.
    """
    taped = [gettext(KINDS[code].name) for code in REQUIRED if code not in confirmed]
    either = [
        gettext(KINDS[level].name)
        for level in ("waist", "full_hip")
        if level in garment.levels and level not in confirmed and level not in estimates
    ]
    if not taped and not either:
        return
    parts = [listed(taped)] if taped else []
    if either:
        parts.append(gettext("{names} (by tape, or from photos)", names=listed(either)))
    raise EntryProblem(
        "not-confirmed",
        "The size cannot be decided yet; still to be confirmed: {missing}.",
        "Measure what is missing with the tape, and settle any open query about it.",
        missing="; ".join(parts),
    )


def _girths(
    confirmed: Mapping[str, Confirmed], estimates: Mapping[str, Estimate], garment: Garment
) -> list[BodyGirth]:
    """The body girths at the levels of the garment, as far as they are known.

    Raises:
        EntryProblem: one that sizing needs is missing.
    """
    _refuse_unconfirmed(confirmed, estimates, garment)
    girths = [body_girth(level, confirmed, estimates) for level in garment.levels]
    return [girth for girth in girths if girth is not None]


def _size_number(high_bust_mm: float, block: Block) -> int:
    return nearest_number(high_bust_mm, [size.high_bust_mm for size in block.sizes])


def _length_class(stature_mm: float, block: Block) -> LengthClass:
    return next(
        entry
        for entry in block.length_classes
        if entry.up_to_mm is None or stature_mm < entry.up_to_mm
    )


def _length_choice(stature: Confirmed, chosen: LengthClass, block: Block) -> Choice:
    """The length class, and its neighbour where the tape's error leaves it open."""
    limits = [entry.up_to_mm for entry in block.length_classes if entry.up_to_mm is not None]
    between = chances_between(stature.value_mm, stature.u_mm, limits)
    chances: dict[str, float] = {
        entry.name: one for entry, one in zip(block.length_classes, between, strict=True)
    }
    near = _named_beside(chosen.name, chances)
    return Choice(
        name=chosen.name,
        alternative=near,
        reason=length_reason(stature.value_mm, chosen),
        decides=what_decides_length() if near else None,
    )


def _named_beside(chosen: str, chances: Mapping[str, float]) -> str | None:
    """What is likely enough to be named beside what was chosen."""
    near = [name for name, one in chances.items() if name != chosen and one >= NAMED_CHANCE]
    return max(near, key=chances.__getitem__, default=None)


def _size_chances(high_bust: Confirmed, block: Block) -> dict[str, float]:
    """How likely each size is, given the uncertainty of the high bust."""
    drafted = [size.high_bust_mm for size in block.sizes]
    chances = nearest_chances(high_bust.value_mm, high_bust.u_mm, drafted)
    return {size.name: one for size, one in zip(block.sizes, chances, strict=True)}


def _size_choice(
    confirmed: Mapping[str, Confirmed], number: int, block: Block, chances: Mapping[str, float]
) -> Choice:
    """The size, and its neighbour where the high bust lies near the middle between two."""
    size = block.sizes[number]
    near = _named_beside(size.name, chances)
    other = next((one for one in block.sizes if one.name == near), None)
    return Choice(
        name=size.name,
        alternative=near,
        reason=size_reason(confirmed, size, block),
        decides=None if other is None else what_decides_size(confirmed, size, other),
    )


def _cup_choice(difference_mm: float, u_mm: float, block: Block) -> Choice:
    """The cup, and its neighbour where the difference lies near a step."""
    letter = cup_letter(cup_steps(difference_mm, block.cup_step_mm))
    near = _named_beside(letter, cup_chances(difference_mm, u_mm, block.cup_step_mm))
    return Choice(
        name=letter,
        alternative=near,
        reason=cup_reason(difference_mm, letter, block.cup_step_mm),
        decides=what_decides_cup(letter, near, block) if near else None,
    )


def _with_cut(cup: Choice, cut: Block) -> Choice:
    """The cup with a word on which drafted cup is cut, where there are several."""
    if len(cut.drafted_cups) == 1:
        return cup
    return replace(cup, reason=f"{cup.reason} {cut_words(cut)}")
