"""The size decision of a sitting."""

from dataclasses import replace
from datetime import date

from ellwand.sitting.actions import confirmed
from ellwand.sitting.freshness import FRESH_WEEKS, stale_words
from ellwand.sitting.learning import learnt
from ellwand.sitting.record import Sitting
from ellwand.sitting.taking import worn_warnings
from ellwand.sitting.tightening import estimates_given_tape
from ellwand.sizing import REQUIRED, Block, decide

# Beside the decision and no part of it: the card says nothing of it.
_FINGERPRINT = "block_fingerprint"


def sized(
    record: Sitting,
    block: Block,
    garment: str | None = None,
    fabric: str | None = None,
    under_layer_mm: float | None = None,
    today: date | None = None,
    fresh_weeks: int = FRESH_WEEKS,
) -> Sitting:
    """Decide the size, from what try-ons have shown on, and note it in place of an earlier one.

    Args:
        record: the sitting.
        block: the workroom's block.
        garment: name of one of its garments, None for the first.
        fabric: what it is cut in, None for the garment's own.
        under_layer_mm: what she wears beneath adds to each girth, None for the garment's own.
        today: the day of the decision; None asks nothing of the age of readings.
        fresh_weeks: how long a girth counts as fresh.

    Raises:
        EntryProblem: something that sizing needs is not confirmed, or there is no such garment.
    """
    decision = decide(
        confirmed(record),
        estimates_given_tape(record),
        block,
        garment,
        fabric,
        under_layer_mm,
        learnt=learnt(record, block),
    )
    codes = (*REQUIRED, *(row.level for row in decision.ease))
    stale = () if today is None else stale_words(record, codes, today, fresh_weeks)
    warnings = (*worn_warnings(record, codes), *stale, *decision.warnings)
    decision = replace(decision, warnings=warnings)
    kept = {**decision.to_json(), _FINGERPRINT: block.fingerprint}
    return record.model_copy(update={"decision": kept})


def decided_on_other(record: Sitting, block: Block) -> bool:
    """Whether a size was decided when the block's file said something else than it does now.

    Args:
        record: the sitting.
        block: the block of that decision, as it is now.

    Returns:
        False, too, without a decision, and for one from before this was noted.
    """
    kept = None if record.decision is None else record.decision.get(_FINGERPRINT)
    return kept is not None and kept != block.fingerprint
