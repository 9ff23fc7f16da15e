"""Girths in sizes and halves of sizes, as a seamstress says them.

Source: common practice, no source, for halves of a size.
"""

from itertools import pairwise

from ellwand.measurements import KINDS
from ellwand.shown import in_both_units
from ellwand.sizing.block import Block, EaseLevel, Size
from ellwand.sizing.wording import LEAST_SHOWN_MM


def size_parts(girth_mm: float, size: Size, block: Block, level: EaseLevel) -> float:
    """How many sizes a girth lies from a size at one level, in halves.

    Args:
        girth_mm: a girth that a pattern is drafted for.
        size: the size it is counted from.
        block: its block; beyond its ends the last step goes on.
        level: the level.

    Returns:
        For instance 0.5 for half a size more.
    """
    bodies = [other.body_mm(level) for other in block.sizes]
    steps = list(enumerate(pairwise(bodies)))
    number, (low, high) = next(((n, pair) for n, pair in steps if girth_mm < pair[1]), steps[-1])
    place = number + (girth_mm - low) / (high - low)
    return round(2 * (place - block.sizes.index(size))) / 2


def parts_words(parts: float) -> str:
    """A number of sizes as one says it: "half a size more", "one and a half sizes less"."""
    if parts == 0:
        return "as drafted"
    whole, half = divmod(abs(parts), 1)
    names = {0: "", 1: "one", 2: "two", 3: "three", 4: "four"}
    number = names.get(int(whole), f"{whole:.0f}")
    if half:
        told = "half a size" if whole == 0 else f"{number} and a half sizes"
    else:
        told = f"{number} size{'' if whole == 1 else 's'}"
    return f"{told} {'more' if parts > 0 else 'less'}"


def level_words(
    level: EaseLevel, beyond_mm: float, body_mm: float, size: Size, block: Block
) -> str:
    """What a pattern has beyond its size at one level: sizes below the bust, another cup at it.

    Args:
        level: the level.
        beyond_mm: girth beyond the size as drafted, below zero where it is less.
        body_mm: girth that the size is drafted for there.
        size: the size.
        block: its block.

    Returns:
        For instance "half a size more at the full hip", or "a full bust adjustment of 2.5 cm
        (1 in)"; less than a quarter of a size is told as it is, "0.9 cm (3/8 in) more".
    """
    if level == "full_bust":
        kind = "full" if beyond_mm >= 0 else "small"
        return f"a {kind} bust adjustment of {in_both_units(abs(beyond_mm))}"
    parts = size_parts(body_mm + beyond_mm, size, block, level)
    if parts == 0 and abs(beyond_mm) >= LEAST_SHOWN_MM:
        told = f"{in_both_units(abs(beyond_mm))} {'more' if beyond_mm > 0 else 'less'}"
    else:
        told = parts_words(parts)
    return f"{told} at the {KINDS[level].name}"
