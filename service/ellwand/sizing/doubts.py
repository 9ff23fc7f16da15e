"""What a decision rests on that is not certain."""

from collections.abc import Mapping, Sequence

from ellwand.girth.joint import COVERAGE_FACTOR_95
from ellwand.language import Noun, gettext
from ellwand.listing import listed
from ellwand.measurements import KINDS
from ellwand.shown import in_both_units
from ellwand.sizing.block import Block, Garment
from ellwand.sizing.decision import LevelEase
from ellwand.sizing.ease import BodyGirth
from ellwand.sizing.reach import beyond_mm
from ellwand.tape import Confirmed


def doubts(
    confirmed: Mapping[str, Confirmed],
    girths: Sequence[BodyGirth],
    garment: Garment,
    block: Block,
    ease: Sequence[LevelEase],
) -> tuple[str, ...]:
    """What is estimated, kept, unknown or near a limit, and whether the block has her size.

    Args:
        confirmed: taped measurements by code.
        girths: what is known at the levels of the garment.
        garment: the garment.
        block: the block.
        ease: how the size sits at each level.

    Returns:
        Sentences.
    """
    return (
        *_not_confirmed(confirmed, girths),
        *_not_checked(girths, garment),
        *_near_the_least(confirmed, ease),
        *_outside_block(confirmed["high_bust"].value_mm, block),
    )


def _not_confirmed(confirmed: Mapping[str, Confirmed], girths: Sequence[BodyGirth]) -> list[str]:
    """What comes from the photos, or is kept against a query."""
    estimated = [gettext(KINDS[one.level].name) for one in girths if one.basis == "estimated"]
    kept = [
        gettext(KINDS[code].name)
        for code, taped in confirmed.items()
        if taped.reason is not None and code in KINDS
    ]
    found = []
    if estimated:
        found.append(
            gettext(
                "Not taped but estimated from the photos: {names}. The answer is given at both "
                "ends of the bound; tape before cutting.",
                names=listed(estimated),
            )
        )
    if kept:
        found.append(gettext("Kept with a reason, not confirmed: {names}.", names=listed(kept)))
    return found


def _not_checked(girths: Sequence[BodyGirth], garment: Garment) -> list[str]:
    known = {girth.level for girth in girths}
    return [
        gettext(
            "The {name} is not known, so that the ease there was not checked.",
            name=Noun(KINDS[level].name),
        )
        for level in garment.levels
        if level not in known
    ]


def _near_the_least(confirmed: Mapping[str, Confirmed], ease: Sequence[LevelEase]) -> list[str]:
    """Where the tape's own doubt reaches the least ease."""
    return [
        gettext(
            "The {name} leaves the least ease give or take what the tape itself may be off by: "
            "measure it again right before cutting.",
            name=Noun(KINDS[row.level].name),
        )
        for row in ease
        if row.level in confirmed
        and row.level != "full_bust"
        and abs(row.ease_at_low_mm - row.least_mm) < COVERAGE_FACTOR_95 * confirmed[row.level].u_mm
    ]


def _outside_block(high_bust_mm: float, block: Block) -> tuple[str, ...]:
    """A warning when the high bust lies beyond what the sizes reach, with the distance."""
    beyond = beyond_mm(high_bust_mm, block)
    distance = in_both_units(abs(beyond))
    if beyond > 0:
        return (
            gettext(
                "The high bust is larger than this block goes, by {distance}; its largest size is "
                "too narrow in the shoulders. Another block is needed, or shoulders that are "
                "drafted anew.",
                distance=distance,
            ),
        )
    if beyond < 0:
        return (
            gettext(
                "The high bust is smaller than this block goes, by {distance}; its smallest size "
                "is too wide in the shoulders. Another block is needed, or shoulders that are "
                "drafted anew.",
                distance=distance,
            ),
        )
    return ()
