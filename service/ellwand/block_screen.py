"""What `ellwand block` says: a block in words, so that a seamstress sees what was understood."""

from collections.abc import Iterator

from ellwand.measurements import KINDS
from ellwand.quantity import in_both_units
from ellwand.sizing import (
    Block,
    EaseRange,
    Garment,
    LengthClass,
    ease_words,
    limit_words,
    listed,
    span_words,
)

_CUFF_WORDS = {"none": "no cuff", "opens": "a cuff that opens"}


def block_lines(block: Block) -> list[str]:
    """What was understood of a block.

    Args:
        block: the block.
    """
    first, last = block.sizes[0], block.sizes[-1]
    return [
        f"{block.name}: {block.note}" if block.note else block.name,
        f"Sizes: {len(block.sizes)}, from {first.name} to {last.name}, high bust from "
        f"{in_both_units(first.high_bust_mm)} to {in_both_units(last.high_bust_mm)}",
        f"Cups drafted: {listed(list(block.drafted_cups))}; the full bust of the sizes is for "
        f"{block.cup}; {in_both_units(block.cup_step_mm)} from cup to cup",
        *(line for entry in block.length_classes for line in _length_lines(entry)),
        *(line for garment in block.garments.values() for line in _garment_lines(garment)),
        "This block can be used.",
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
        f"{where} {in_both_units(abs(amount))} {'longer' if amount > 0 else 'shorter'}"
        for where, amount in (
            ("back waist length", entry.back_waist_change_mm),
            ("waist to hem", entry.hem_change_mm),
            ("sleeve", entry.sleeve_change_mm),
        )
        if amount
    ]
    yield f"Length {entry.name}: {span_words(entry)}"
    if changes:
        yield f"  than regular: {listed(changes)}"


def _garment_lines(garment: Garment) -> Iterator[str]:
    yield (
        f"Garment {garment.name}: ends at the {KINDS[garment.hem].name}, with "
        f"{_cuff_words(garment)}, cut in {garment.fabric} unless another cloth is asked for"
    )
    yield (
        f"  {garment.side_seams} side seam{'s' if garment.side_seams > 1 else ''}, "
        f"{garment.seam}: allowance {in_both_units(garment.allowance_mm)}, of which "
        f"{in_both_units(garment.allowance_kept_mm)} must stay"
    )
    yield f"  hem allowance {in_both_units(garment.hem_allowance_mm)}"
    if garment.under_layer_mm:
        yield f"  worn over a layer of {in_both_units(garment.under_layer_mm)}"
    for fabric, levels in garment.ease.items():
        stretch = ""
        if fabric == "knit" and garment.stretch is not None:
            stretch = f", which stretches by {100 * garment.stretch:.0f} %"
        yield f"  in {fabric}{stretch}:"
        yield from (f"    {KINDS[level].name}: {_ease(ease)}" for level, ease in levels.items())


def _cuff_words(garment: Garment) -> str:
    if garment.cuff_girth_mm is None:
        return _CUFF_WORDS[garment.cuff]
    return f"a closed cuff of {in_both_units(garment.cuff_girth_mm)}"


def _ease(ease: EaseRange) -> str:
    return f"{ease_words(ease.drafted_mm)}; {limit_words(ease.least_mm)}"
