"""How far a customer lies beyond the sizes of a block."""

from ellwand.sizing.block import Block


def beyond_mm(high_bust_mm: float, block: Block) -> float:
    """By how much a high bust lies beyond what the block's sizes reach.

    A size reaches half a step to either side, the outermost ones as far as on their inner side.

    Args:
        high_bust_mm: of the customer.
        block: the block.

    Returns:
        0 within the sizes; above 0 when it is larger than they reach, below 0 when smaller.
    """
    sizes = block.sizes
    first, last = sizes[0].high_bust_mm, sizes[-1].high_bust_mm
    low = first - (sizes[1].high_bust_mm - first) / 2
    high = last + (last - sizes[-2].high_bust_mm) / 2
    return min(0.0, high_bust_mm - low) + max(0.0, high_bust_mm - high)
