"""What has to be changed where the block has no such size, cup or length.

Source: common practice, no source, for the let-out rule and the full or small bust adjustment.
"""

from collections.abc import Mapping

from ellwand.measurements import KINDS
from ellwand.quantity import in_both_units
from ellwand.sizing.block import Block, Garment, LengthClass, Size
from ellwand.sizing.cups import CUP_LETTERS, cup_steps
from ellwand.sizing.decision import Basis, Change, ChangeCode, ChangeLevel, Grading, LevelEase
from ellwand.sizing.seams import EDGES_PER_SEAM, let_out_edge_mm, let_out_gain_mm
from ellwand.sizing.wording import amount_words
from ellwand.tape import Confirmed

# Below this a change is lost in tape and sewing (judged).
LEAST_CHANGE_MM = 6.0

# The front of a blouse is cut as two mirrored halves.
FRONT_HALVES = 2


def changes(
    confirmed: Mapping[str, Confirmed],
    block: Block,
    garment: Garment,
    size: Size,
    length: LengthClass,
    ease: tuple[LevelEase, ...],
) -> tuple[Change, ...]:
    """All changes, in the order in which a pattern is changed: length, bust, then side seams.

    Args:
        confirmed: taped measurements by code.
        block: the block, in the cup that is cut.
        garment: the garment.
        size: the size chosen, in that cup.
        length: the length class chosen.
        ease: how the size sits at each level.

    Returns:
        The changes, none when the pattern can be cut as it is.
    """
    found = [
        *_class_changes(garment, length),
        *_back_waist_change(confirmed, size, length),
        *_bust_change(confirmed, block, size, ease),
    ]
    graded = {one.level: one for one in gradings(ease, size, block, garment)}
    for row in ease:
        if row.level in graded:
            found.append(_grading(graded[row.level], row.basis))
        if row.level != "full_bust":
            found += _drawing_out(row, block, garment)
            found += _letting_out(row, garment)
    return tuple(found)


def _class_changes(garment: Garment, length: LengthClass) -> list[Change]:
    """What the length class brings to a pattern that is drawn in regular."""
    rows: list[tuple[ChangeLevel, str, float]] = [
        ("waist", "front and back above the waist", length.back_waist_change_mm)
    ]
    if garment.hem != "waist":
        rows.append(("hem", "front and back between waist and hem", length.hem_change_mm))
    if garment.cuff != "none":
        rows.append(("sleeve", "the sleeve", length.sleeve_change_mm))
    why = (
        f"that is this block's {length.name} length against regular. A pattern drawn in "
        f"{length.name} has it already."
    )
    return [_length_change(level, where, amount, why) for level, where, amount in rows if amount]


def _length_change(level: ChangeLevel, where: str, amount_mm: float, why: str) -> Change:
    """Lengthen, or shorten where the amount is below zero."""
    verb = "Lengthen" if amount_mm > 0 else "Shorten"
    reason = f"{verb} {where} by {in_both_units(abs(amount_mm))}: {why}"
    code: ChangeCode = "lengthen" if amount_mm > 0 else "shorten"
    return Change(code, level, abs(amount_mm), abs(amount_mm), 1, reason)


def _back_waist_change(
    confirmed: Mapping[str, Confirmed], size: Size, length: LengthClass
) -> list[Change]:
    """Lengthen or shorten above the waist, by the taped back waist length."""
    if "back_waist_length" not in confirmed or size.back_waist_length_mm is None:
        return []
    taped = confirmed["back_waist_length"]
    drafted = size.back_waist_length_mm + length.back_waist_change_mm
    amount = taped.value_mm - drafted
    # A difference inside the tape's own error is no reason to cut into a pattern.
    if abs(amount) < max(LEAST_CHANGE_MM, taped.u_mm):
        return []
    why = (
        f"your back waist length is {'longer' if amount > 0 else 'shorter'} than the "
        f"{in_both_units(drafted)} of size {size.name} in {length.name}."
    )
    return [_length_change("waist", "front and back above the waist", amount, why)]


def _bust_change(
    confirmed: Mapping[str, Confirmed], block: Block, size: Size, ease: tuple[LevelEase, ...]
) -> list[Change]:
    """A full or small bust adjustment for what the cup that is cut leaves."""
    full_bust = confirmed["full_bust"].value_mm
    steps = cup_steps(full_bust - confirmed["high_bust"].value_mm, block.cup_step_mm)
    amount = full_bust - size.full_bust_mm
    drafted = CUP_LETTERS.index(block.cup)
    tight = any(row.level == "full_bust" and row.fit == "tight" for row in ease)
    drafted_for = (
        f"size {size.name} is drafted for a {block.cup} cup and a full bust of "
        f"{in_both_units(size.full_bust_mm)}"
    )
    if amount >= LEAST_CHANGE_MM and (steps > drafted or tight):
        reason = (
            f"Add {in_both_units(amount)} across the front, {in_both_units(amount / FRONT_HALVES)} "
            f"to each half of the pattern: {drafted_for}. It makes the front longer, too."
        )
        return [Change("full-bust-adjustment", "full_bust", amount, amount, FRONT_HALVES, reason)]
    if amount <= -LEAST_CHANGE_MM and steps < drafted:
        reason = (
            f"Take {in_both_units(-amount)} out across the front, "
            f"{in_both_units(-amount / FRONT_HALVES)} of each half of the pattern: {drafted_for}."
        )
        return [
            Change("small-bust-adjustment", "full_bust", -amount, -amount, FRONT_HALVES, reason)
        ]
    return []


def gradings(
    ease: tuple[LevelEase, ...], size: Size, block: Block, garment: Garment
) -> tuple[Grading, ...]:
    """Where another size is asked for than at the bust, at both ends of a bound.

    Args:
        ease: how the size sits at each level.
        size: the size chosen.
        block: the block.
        garment: the garment.

    Returns:
        From the top; none at the full bust, which the cup takes care of.
    """
    by_name = {other.name: other for other in block.sizes}
    found = []
    for row in ease:
        low, high = (
            by_name[asked or block.sizes[-1].name] for asked in (row.size_at_low, row.size_at_high)
        )
        if row.level == "full_bust" or low == high == size:
            continue
        drafted = size.body_mm(row.level)
        found.append(
            Grading(
                level=row.level,
                from_size=size.name,
                to_size_at_low=low.name,
                to_size_at_high=high.name,
                low_mm=low.body_mm(row.level) - drafted,
                high_mm=high.body_mm(row.level) - drafted,
                edges=EDGES_PER_SEAM * garment.side_seams,
            )
        )
    return tuple(found)


def _grading(grading: Grading, basis: Basis) -> Change:
    """A grading as a change."""
    name = KINDS[grading.level].name
    if grading.to_size_at_low == grading.to_size_at_high:
        way = "wider" if grading.low_mm > 0 else "narrower"
        wish = "" if grading.low_mm > 0 else ", unless you like it loose"
        taped = ", once taped" if basis == "estimated" else ""
        reason = (
            f"Grade from size {grading.from_size} at the bust to size {grading.to_size_at_low} at "
            f"the {name}{taped}{wish}, blended along the side seams: "
            f"{in_both_units(abs(grading.low_mm))} {way}, "
            f"{in_both_units(abs(grading.low_mm) / grading.edges)} at each of {grading.edges} "
            "seam edges."
        )
    else:
        reason = (
            f"Grading at the {name} waits for the tape: size {grading.to_size_at_low} at the lower "
            f"end of the bound, size {grading.to_size_at_high} at the upper end."
        )
    return Change("grade", grading.level, grading.low_mm, grading.high_mm, grading.edges, reason)


def _drawing_out(row: LevelEase, block: Block, garment: Garment) -> list[Change]:
    """What even the largest size of the block lacks at this level."""
    if row.size_at_high is not None:
        return []
    largest = block.sizes[-1]
    body = largest.body_mm(row.level)
    missing = [max(0.0, end + garment.under_layer_mm - body) for end in (row.low_mm, row.high_mm)]
    edges = EDGES_PER_SEAM * garment.side_seams
    return [
        Change(
            "draw-out",
            row.level,
            missing[0],
            missing[1],
            edges,
            f"The block ends at size {largest.name}: draw the side seams out beyond it at the "
            f"{KINDS[row.level].name} by {amount_words(*missing)} in all, a {_part(edges)} of "
            "that at each edge.",
        )
    ]


def _letting_out(row: LevelEase, garment: Garment) -> list[Change]:
    """What letting out would take if the garment is cut in the chosen size already."""
    needs = [
        max(0.0, row.least_mm - ease_mm) for ease_mm in (row.ease_at_low_mm, row.ease_at_high_mm)
    ]
    if needs[1] == 0:
        return []
    name = KINDS[row.level].name
    edges = EDGES_PER_SEAM * garment.side_seams
    each = let_out_edge_mm(needs[1], garment.side_seams)
    spare = garment.allowance_mm - garment.allowance_kept_mm
    if garment.seam == "french":
        room = "a French seam has nothing left to let out, so settle it before sewing"
    elif each <= spare:
        room = f"the allowance has {in_both_units(spare)} to give"
    else:
        gain = in_both_units(let_out_gain_mm(spare, garment.side_seams))
        room = f"more than the allowance has to give, which gains {gain} at most"
    return [
        Change(
            "let-out",
            row.level,
            needs[0],
            needs[1],
            edges,
            f"If it is cut in the chosen size already, it lacks {amount_words(*needs)} at the "
            f"{name}, {in_both_units(each)} at each of {edges} seam edges; {room}.",
        )
    ]


def _part(edges: int) -> str:
    return {2: "half", 4: "quarter", 8: "eighth"}.get(edges, f"1/{edges} part")
