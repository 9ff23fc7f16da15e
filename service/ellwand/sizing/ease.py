"""How a size sits at each level: ease, and which size the level itself asks for."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from ellwand.language import Noun, gettext, gettext_noop
from ellwand.measurements import KINDS, Estimate
from ellwand.shown import in_both_units
from ellwand.sizing.block import Block, EaseLevel, EaseRange, Fabric, Garment, Size
from ellwand.sizing.decision import Basis, Fit, LevelEase
from ellwand.sizing.naming import at_words
from ellwand.sizing.wording import LEAST_SHOWN_MM, bounds_words, ease_words, limit_words
from ellwand.tape import Confirmed

# A level that asks for another size at both ends of a bound, and not for the same.
_AT_BOTH_ENDS: dict[Fit, str] = {
    "loose": gettext_noop(
        "The photos put the {name} between {bounds}: size {size} is too wide there, and size {low} "
        "to {high} is asked for. Measuring the {name} with the tape settles which."
    ),
    "tight": gettext_noop(
        "The photos put the {name} between {bounds}: size {size} is too tight there, and size "
        "{low} to {high} is asked for. Measuring the {name} with the tape settles which."
    ),
}


@dataclass(frozen=True)
class BodyGirth:
    """What is known of one body girth.

    Args:
        level: code of the level.
        basis: what it rests on.
        low_mm: lower end of its bound; the girth itself when it is no estimate.
        high_mm: upper end of its bound; the girth itself when it is no estimate.
    """

    level: EaseLevel
    basis: Basis
    low_mm: float
    high_mm: float


@dataclass(frozen=True)
class _Sitting:
    """One girth against one size: ease, fit, and the size that this level asks for."""

    ease_mm: float
    fit: Fit
    asks: str | None


def body_girth(
    level: EaseLevel, confirmed: Mapping[str, Confirmed], estimates: Mapping[str, Estimate]
) -> BodyGirth | None:
    """The body girth at a level: from the tape, else from photos with its bound.

    Args:
        level: code of the level.
        confirmed: taped measurements by code.
        estimates: estimates from photos by code.

    Returns:
        The girth, or None when nothing is known.
    """
    if level in confirmed:
        taped = confirmed[level]
        basis: Basis = "confirmed" if taped.reason is None else "kept"
        return BodyGirth(level, basis, taped.value_mm, taped.value_mm)
    if level in estimates:
        estimate = estimates[level]
        return BodyGirth(level, "estimated", estimate.low_mm, estimate.high_mm)
    return None


def level_ease(
    girth: BodyGirth, size: Size, block: Block, garment: Garment, fabric: Fabric
) -> LevelEase:
    """How a size sits at one level.

    Args:
        girth: body girth there.
        size: the size chosen.
        block: the block.
        garment: the garment.
        fabric: what it is cut in.

    Returns:
        Ease, fit and the reason.
    """
    ease = garment.ease[fabric][girth.level]
    low = _sitting(girth.low_mm + garment.under_layer_mm, girth.level, size, block, ease)
    high = _sitting(girth.high_mm + garment.under_layer_mm, girth.level, size, block, ease)
    fit: Fit = low.fit if low.fit == high.fit and low.asks == high.asks else "open"
    return LevelEase(
        level=girth.level,
        basis=girth.basis,
        low_mm=girth.low_mm,
        high_mm=girth.high_mm,
        finished_mm=size.body_mm(girth.level) + ease.drafted_mm,
        least_mm=ease.least_mm,
        drafted_mm=ease.drafted_mm,
        ease_at_low_mm=low.ease_mm,
        ease_at_high_mm=high.ease_mm,
        fit=fit,
        size_at_low=low.asks,
        size_at_high=high.asks,
        reason=_reason(girth, size, ease, (low, high), fit),
    )


def _sitting(
    girth_mm: float, level: EaseLevel, size: Size, block: Block, ease: EaseRange
) -> _Sitting:
    """One girth (with the under-layer on) against one size."""
    bodies = [other.body_mm(level) for other in block.sizes]
    chosen = block.sizes.index(size)
    left = bodies[chosen] + ease.drafted_mm - girth_mm
    nearest = nearest_number(girth_mm, bodies)
    if left < ease.least_mm:
        enough = (
            number
            for number, body in enumerate(bodies)
            if number >= nearest and body + ease.drafted_mm - girth_mm >= ease.least_mm
        )
        number = next(enough, None)
        return _Sitting(left, "tight", None if number is None else block.sizes[number].name)
    # A size too wide: the next smaller one would still have its drafted ease.
    if nearest < chosen and bodies[chosen - 1] >= girth_mm:
        return _Sitting(left, "loose", block.sizes[nearest].name)
    return _Sitting(left, "good", size.name)


def nearest_number(girth_mm: float, bodies_mm: list[float]) -> int:
    """The size whose body girth is nearest.

    Args:
        girth_mm: a body girth.
        bodies_mm: the girths that the sizes are drafted for, ascending.

    Returns:
        Its index; a girth in the middle between two belongs to the larger.
    """
    number = 0
    for smaller, larger in pairwise(bodies_mm):
        if girth_mm >= (smaller + larger) / 2:
            number += 1
    return number


def _reason(
    girth: BodyGirth, size: Size, ease: EaseRange, ends: tuple[_Sitting, _Sitting], fit: Fit
) -> str:
    """What the figures mean, for the customer."""
    low, high = ends
    if fit == "open":
        return _open_reason(girth, size, low, high)
    there = at_words(girth.level)
    named = {"size": size.name, "ease": ease_words(high.ease_mm), "there": there}
    drafted, limit = ease_words(ease.drafted_mm), limit_words(ease.least_mm)
    if high.ease_mm <= -LEAST_SHOWN_MM and fit == "tight":
        return gettext(
            "Size {size} would have to stretch by {amount} {there}; {limit}.",
            amount=in_both_units(-high.ease_mm),
            limit=limit_words(ease.least_mm, named=True),
            size=size.name,
            there=there,
        )
    if fit == "tight":
        return gettext("Size {size} leaves {ease} {there}; {limit}.", limit=limit, **named)
    if fit == "loose":
        return gettext(
            "Size {size} leaves {ease} {there}, more than a size beyond what is drafted: "
            "{drafted}.",
            drafted=drafted,
            **named,
        )
    return gettext(
        "Size {size} leaves {ease} {there}; drafted: {drafted}; {limit}.",
        drafted=drafted,
        limit=limit,
        **named,
    )


def _open_reason(girth: BodyGirth, size: Size, low: _Sitting, high: _Sitting) -> str:
    """What an estimate leaves open, at both ends of its bound."""
    name, bounds = Noun(KINDS[girth.level].name), bounds_words(girth.low_mm, girth.high_mm)
    if low.fit == high.fit and low.asks and high.asks:
        return gettext(
            _AT_BOTH_ENDS[low.fit],
            name=name,
            bounds=bounds,
            size=size.name,
            low=low.asks,
            high=high.asks,
        )
    return gettext(
        "The photos put the {name} between {bounds}: at the lower end {at_low}, at the upper end "
        "{at_high}. Measuring the {name} with the tape settles it.",
        name=name,
        bounds=bounds,
        at_low=_in_words(low, size),
        at_high=_in_words(high, size),
    )


def _in_words(end: _Sitting, size: Size) -> str:
    """How a size sits at one end of a bound, as a part of a sentence."""
    if end.fit == "good":
        return gettext("size {size} fits", size=size.name)
    if end.asks is None:
        return gettext(
            "size {size} is too tight there and a size larger than this block has is asked for",
            size=size.name,
        )
    if end.fit == "tight":
        return gettext(
            "size {size} is too tight there and size {asked} is asked for",
            size=size.name,
            asked=end.asks,
        )
    return gettext(
        "size {size} is too wide there and size {asked} is asked for",
        size=size.name,
        asked=end.asks,
    )
