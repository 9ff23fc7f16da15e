"""What the try-ons of a sitting have shown, for the next order."""

from ellwand.sitting.record import Sitting
from ellwand.sitting.tryon_entry import TryOnEntry
from ellwand.sizing.block import EASE_LEVELS, Block, EaseLevel
from ellwand.sizing.learnt import Learnt


def learnt(record: Sitting, block: Block) -> tuple[Learnt, ...]:
    """What try-ons on a block have taught, by level from the bust down.

    The newest try-on that speaks of a level counts there, whatever the garment was: what is kept
    is a girth of the block, to which each garment adds its own ease. Recording the same try-on
    again teaches nothing new.

    Args:
        record: the sitting.
        block: the block that the next order is cut from; try-ons on another are passed over.
    """
    found: dict[EaseLevel, Learnt] = {}
    for entry in record.tryons:
        if entry.block == block.name:
            found.update(_shown(entry))
    return tuple(found[level] for level in EASE_LEVELS if level in found)


def _shown(entry: TryOnEntry) -> dict[EaseLevel, Learnt]:
    return {
        level: Learnt(level, one.way, one.girth_mm, one.known, one.taped_mm)
        for level, one in entry.girths.items()
        if one.way and one.known and one.girth_mm is not None
    }
