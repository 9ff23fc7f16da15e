"""What has to be changed where the block has no such size, cup or length.

Source: common practice, no source, for the let-out rule and the full or small bust adjustment.
"""

from collections.abc import Mapping

from ellwand.language import gettext, gettext_noop
from ellwand.shown import in_both_units
from ellwand.sizing.block import Block, Garment, LengthClass, Size
from ellwand.sizing.cups import CUP_LETTERS, cup_steps
from ellwand.sizing.decision import Basis, Change, ChangeCode, ChangeLevel, Grading, LevelEase
from ellwand.sizing.naming import at_words, length_words
from ellwand.sizing.seams import EDGES_PER_SEAM, let_out_edge_mm, let_out_gain_mm
from ellwand.sizing.wording import amount_words, edge_words, split_words
from ellwand.tape import Confirmed

# Below this a change is lost in tape and sewing (judged).
LEAST_CHANGE_MM = 6.0

# The front of a blouse is cut as two mirrored halves.
FRONT_HALVES = 2

_ABOVE_WAIST = gettext_noop("front and back above the waist")
_BELOW_WAIST = gettext_noop("front and back between waist and hem")
_SLEEVE = gettext_noop("the sleeve")
_PARTS = {
    2: gettext_noop("a half"),
    4: gettext_noop("a quarter"),
    8: gettext_noop("an eighth"),
}


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
        ("waist", _ABOVE_WAIST, length.back_waist_change_mm)
    ]
    if garment.hem != "waist":
        rows.append(("hem", _BELOW_WAIST, length.hem_change_mm))
    if garment.cuff != "none":
        rows.append(("sleeve", _SLEEVE, length.sleeve_change_mm))
    why = gettext(
        "that is this block's {length} length against regular. A pattern drawn in {length} has it "
        "already.",
        length=length_words(length.name),
    )
    made = [row for row in rows if row[2]]
    # The reason is the same for all, and told once.
    return [_length_change(*row, why if row is made[0] else "") for row in made]


def _length_change(level: ChangeLevel, where: str, amount_mm: float, why: str) -> Change:
    """Lengthen, or shorten where the amount is below zero; for no reason of its own, too."""
    named = {"part": gettext(where), "amount": in_both_units(abs(amount_mm)), "why": why}
    if amount_mm > 0:
        code: ChangeCode = "lengthen"
        text = gettext_noop("Lengthen {part} by {amount}: {why}")
        alone = gettext_noop("Lengthen {part} by {amount}, too.")
    else:
        code = "shorten"
        text = gettext_noop("Shorten {part} by {amount}: {why}")
        alone = gettext_noop("Shorten {part} by {amount}, too.")
    reason = gettext(text if why else alone, **named)
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
    text = (
        gettext_noop(
            "the back waist length is longer than the {drafted} of size {size} in {length}."
        )
        if amount > 0
        else gettext_noop(
            "the back waist length is shorter than the {drafted} of size {size} in {length}."
        )
    )
    named = {"size": size.name, "length": length_words(length.name)}
    why = gettext(text, drafted=in_both_units(drafted), **named)
    return [_length_change("waist", _ABOVE_WAIST, amount, why)]


def _bust_change(
    confirmed: Mapping[str, Confirmed], block: Block, size: Size, ease: tuple[LevelEase, ...]
) -> list[Change]:
    """A full or small bust adjustment for what the cup that is cut leaves."""
    full_bust = confirmed["full_bust"].value_mm
    steps = cup_steps(full_bust - confirmed["high_bust"].value_mm, block.cup_step_mm)
    amount = full_bust - size.full_bust_mm
    drafted = CUP_LETTERS.index(block.cup)
    tight = any(row.level == "full_bust" and row.fit == "tight" for row in ease)
    whole, half = split_words(abs(amount), FRONT_HALVES)
    named = {
        "amount": whole,
        "half": half,
        "size": size.name,
        "cup": block.cup,
        "full_bust": in_both_units(size.full_bust_mm),
    }
    if amount >= LEAST_CHANGE_MM and (steps > drafted or tight):
        code: ChangeCode = "full-bust-adjustment"
        reason = gettext(
            "Add {amount} across the front, {half} to each half of the pattern: size {size} is "
            "drafted for cup {cup} and a full bust of {full_bust}. It makes the front longer, too.",
            **named,
        )
    elif amount <= -LEAST_CHANGE_MM and steps < drafted:
        code = "small-bust-adjustment"
        reason = gettext(
            "Take {amount} out across the front, {half} of each half of the pattern: size {size} "
            "is drafted for cup {cup} and a full bust of {full_bust}.",
            **named,
        )
    else:
        return []
    return [Change(code, "full_bust", abs(amount), abs(amount), FRONT_HALVES, reason)]


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


# By whether the garment grows and whether the girth is an estimate. Who likes it loose need not
# make it narrower.
_GRADED = {
    (True, False): gettext_noop(
        "Cut size {from_size} at the bust and size {to_size} {there}, blended along the side "
        "seams: {amount} wider, {each} at each of {edges} seam edges."
    ),
    (True, True): gettext_noop(
        "Cut size {from_size} at the bust and size {to_size} {there}, once taped, blended along "
        "the side seams: {amount} wider, {each} at each of {edges} seam edges."
    ),
    (False, False): gettext_noop(
        "Cut size {from_size} at the bust and size {to_size} {there}, unless it is to sit loose, "
        "blended along the side seams: {amount} narrower, {each} at each of {edges} seam edges."
    ),
    (False, True): gettext_noop(
        "Cut size {from_size} at the bust and size {to_size} {there}, once taped, unless it is to "
        "sit loose, blended along the side seams: {amount} narrower, {each} at each of {edges} "
        "seam edges."
    ),
}


def _grading(grading: Grading, basis: Basis) -> Change:
    """A grading as a change."""
    if grading.to_size_at_low == grading.to_size_at_high:
        whole, each = split_words(abs(grading.low_mm), grading.edges)
        reason = gettext(
            _GRADED[grading.low_mm > 0, basis == "estimated"],
            from_size=grading.from_size,
            to_size=grading.to_size_at_low,
            there=at_words(grading.level),
            amount=whole,
            each=each,
            edges=grading.edges,
        )
    else:
        reason = gettext(
            "The size {there} waits for the tape: size {low} at the lower end of the bound, size "
            "{high} at the upper end.",
            there=at_words(grading.level),
            low=grading.to_size_at_low,
            high=grading.to_size_at_high,
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
    reason = gettext(
        "The block ends at size {largest}: draw the side seams out beyond it {there} by {amount} "
        "in all, {share} of that at each edge.",
        largest=largest.name,
        there=at_words(row.level),
        amount=amount_words(*missing),
        share=_share(edges),
    )
    return [Change("draw-out", row.level, missing[0], missing[1], edges, reason)]


def _letting_out(row: LevelEase, garment: Garment) -> list[Change]:
    """What letting out would take if the garment is cut in the chosen size already."""
    needs = [
        max(0.0, row.least_mm - ease_mm) for ease_mm in (row.ease_at_low_mm, row.ease_at_high_mm)
    ]
    if needs[1] == 0:
        return []
    edges = EDGES_PER_SEAM * garment.side_seams
    whole, each = split_words(needs[1], edges)
    reason = gettext(
        "If it is cut in the chosen size already, it lacks {amount} {there}, {each} at each of "
        "{edges} seam edges; {room}.",
        amount=amount_words(*needs, high=whole),
        there=at_words(row.level),
        each=each,
        edges=edges,
        room=_room(let_out_edge_mm(needs[1], garment.side_seams), garment),
    )
    return [Change("let-out", row.level, needs[0], needs[1], edges, reason)]


def _room(each_mm: float, garment: Garment) -> str:
    """Whether the side seams can be let out by so much at each edge."""
    spare = garment.allowance_mm - garment.allowance_kept_mm
    if garment.seam == "french":
        return gettext("a French seam has nothing left to let out, so settle it before sewing")
    if each_mm <= spare:
        return gettext("the allowance has {spare} to give", spare=edge_words(spare))
    edges = EDGES_PER_SEAM * garment.side_seams
    return gettext(
        "more than the allowance has to give, which gains {gain} at most",
        gain=split_words(let_out_gain_mm(spare, garment.side_seams), edges)[0],
    )


def _share(edges: int) -> str:
    return gettext(_PARTS[edges]) if edges in _PARTS else gettext("a 1/{edges} part", edges=edges)
