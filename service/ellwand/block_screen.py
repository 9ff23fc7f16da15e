"""What `ellwand block` says: a block in words, so that a seamstress sees what was understood."""

from collections.abc import Iterator

from ellwand.language import gettext, gettext_noop, ngettext
from ellwand.measurements import KINDS
from ellwand.shown import in_both_units
from ellwand.sizing import (
    Block,
    EaseRange,
    Garment,
    LengthClass,
    at_words,
    block_words,
    ease_words,
    fabric_words,
    length_words,
    limit_words,
    listed,
    note_words,
    span_words,
)
from ellwand.sizing.block import Fabric

_CUFF_WORDS = {
    "none": gettext_noop("no cuff"),
    "opens": gettext_noop("a cuff that opens"),
}
_SEAM_WORDS = {"plain": gettext_noop("plain"), "french": gettext_noop("french")}
_LONGER = gettext_noop("{what} {amount} longer")
_SHORTER = gettext_noop("{what} {amount} shorter")


def block_lines(block: Block) -> list[str]:
    """What was understood of a block.

    Args:
        block: the block.
    """
    first, last = block.sizes[0], block.sizes[-1]
    name, note = block_words(block.name), note_words(block.note)
    return [
        f"{name}: {note}" if note else name,
        gettext(
            "Sizes: {number}, from {first} to {last}, high bust from {low} to {high}",
            number=len(block.sizes),
            first=first.name,
            last=last.name,
            low=in_both_units(first.high_bust_mm),
            high=in_both_units(last.high_bust_mm),
        ),
        gettext(
            "Cups drafted: {cups}; the full bust of the sizes is for {cup}; {step} from cup to cup",
            cups=listed(list(block.drafted_cups)),
            cup=block.cup,
            step=in_both_units(block.cup_step_mm),
        ),
        *(line for entry in block.length_classes for line in _length_lines(entry)),
        *(line for garment in block.garments.values() for line in _garment_lines(garment)),
        gettext("This block can be used."),
    ]


def new_block_lines(file: str) -> list[str]:
    """What to do with a block file that was just written.

    Args:
        file: as it is typed in a shell.
    """
    return [
        f"{file} is written. Its numbers are invented: put those of your own block in, then type",
        f"    ellwand block check {file}",
    ]


def _length_lines(entry: LengthClass) -> Iterator[str]:
    changes = [
        gettext(_LONGER if amount > 0 else _SHORTER, what=what, amount=in_both_units(abs(amount)))
        for what, amount in (
            (gettext("back waist length"), entry.back_waist_change_mm),
            (gettext("waist to hem"), entry.hem_change_mm),
            (gettext("sleeve"), entry.sleeve_change_mm),
        )
        if amount
    ]
    name, span = length_words(entry.name), span_words(entry)
    yield gettext("Length {name}: {span}", name=name, span=span)
    if changes:
        yield "  " + gettext("than regular: {changes}", changes=listed(changes))


def _garment_lines(garment: Garment) -> Iterator[str]:
    yield gettext(
        "Garment {name}: ends {there}, with {cuff}, cut in {cloth} unless another cloth is asked "
        "for",
        name=garment.name,
        there=at_words(garment.hem),
        cuff=_cuff_words(garment),
        cloth=fabric_words(garment.fabric),
    )
    yield "  " + ngettext(
        "{number} side seam, {seam}: allowance {allowance}, of which {kept} must stay",
        "{number} side seams, {seam}: allowance {allowance}, of which {kept} must stay",
        garment.side_seams,
        seam=gettext(_SEAM_WORDS[garment.seam]),
        allowance=in_both_units(garment.allowance_mm),
        kept=in_both_units(garment.allowance_kept_mm),
    )
    yield "  " + gettext("hem allowance {amount}", amount=in_both_units(garment.hem_allowance_mm))
    if garment.under_layer_mm:
        amount = in_both_units(garment.under_layer_mm)
        yield "  " + gettext("worn over a layer of {amount}", amount=amount)
    for fabric, levels in garment.ease.items():
        yield f"  {_in_cloth(fabric, garment.stretch)}:"
        yield from (
            f"    {gettext(KINDS[level].name)}: {_ease(ease)}" for level, ease in levels.items()
        )


def _in_cloth(fabric: Fabric, stretch: float | None) -> str:
    cloth = fabric_words(fabric)
    if fabric == "knit" and stretch is not None:
        percent = f"{100 * stretch:.0f}"
        return gettext("in {cloth}, which stretches by {percent} %", cloth=cloth, percent=percent)
    return gettext("in {cloth}", cloth=cloth)


def _cuff_words(garment: Garment) -> str:
    if garment.cuff_girth_mm is None:
        return gettext(_CUFF_WORDS[garment.cuff])
    return gettext("a closed cuff of {girth}", girth=in_both_units(garment.cuff_girth_mm))


def _ease(ease: EaseRange) -> str:
    return f"{ease_words(ease.drafted_mm)}; {limit_words(ease.least_mm)}"
