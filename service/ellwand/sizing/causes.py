"""Which cause of a finding the numbers speak for.

Source: common practice, no source, for the order where numbers say nothing and for hip before sway
back; the chances are those of normal values with the readings' own uncertainty.
"""

from dataclasses import dataclass
from typing import Literal

from ellwand.listing import listed
from ellwand.measurements import KINDS
from ellwand.shown import in_both_units
from ellwand.sizing.block import EASE_LEVELS, EaseLevel
from ellwand.sizing.chances import NAMED_CHANCE, chance_below
from ellwand.sizing.changes import LEAST_CHANGE_MM
from ellwand.sizing.tryon import Cause, Finding, TryOnLevel, causes_of
from ellwand.sizing.wording import ease_words, limit_words
from ellwand.sizing.worn import LevelWorn, Worn

_CERTAIN = 0.99

# seen: the try-on itself says so; likely, unlikely: the numbers do; open: they say nothing;
# later: it looks like this one, but another has to be settled first.
Weight = Literal["seen", "likely", "open", "unlikely", "later"]
_ORDER: tuple[Weight, ...] = ("seen", "likely", "open", "unlikely", "later")

CAUSE_WORDS = {
    "tight": "too little width at the {level}",
    "loose": "too much width at the {level}",
    "cup-fuller": "her cup is fuller than the front is made for",
    "cup-smaller": "her cup is smaller than the front is made for",
    "shoulders-too-wide": "the shoulders are wider than hers",
    "shoulders-too-narrow": "the shoulders are narrower than hers",
    "shoulders-slope": "her shoulders slope more than the block's",
    "bust-point-elsewhere": "the darts do not point to her bust point",
    "neck-edge-stretched": "the neck edge was stretched in sewing",
    "cap-too-low": "the sleeve cap is too low for the armhole",
    "back-too-short": "the bodice is too short above the waist",
    "back-too-long": "the back is too long (sway back)",
}
_NOTHING_KNOWN = {
    "shoulders-slope": "No measurement tells: look whether folds run from the neck to the armhole.",
    "bust-point-elsewhere": "No number of the block tells: mark her bust point on the trial.",
    "neck-edge-stretched": "No measurement tells: compare the neck edge with the pattern.",
    "cap-too-low": "No number of the block tells: look whether the pull ends with the arm lifted.",
}


@dataclass(frozen=True)
class Weighed:
    """One cause with what speaks for it.

    Args:
        cause: the cause.
        weight: how it stands.
        chance: probability that the numbers give it, None where they say nothing.
        why: what it rests on, one or two sentences.
    """

    cause: Cause
    weight: Weight
    chance: float | None
    why: str

    @property
    def words(self) -> str:
        """The cause in words."""
        level = self.cause.level
        return CAUSE_WORDS[self.cause.code].format(level=KINDS[level].name if level else "")

    @property
    def possible(self) -> bool:
        """Whether something may be done about it now."""
        return self.weight in ("seen", "likely", "open")


def weighed(finding: Finding, findings: tuple[Finding, ...], worn: Worn) -> tuple[Weighed, ...]:
    """The causes of a finding, the one to look at first before the others.

    Args:
        finding: one finding of the try-on.
        findings: all of them, in any order: what is snug or loose bears on the others.
        worn: the numbers of the garment.

    Returns:
        What the try-on itself says, then what the numbers say, then what nothing is known of in
        the trade's order, then what the numbers speak against; the sway back last of all as long
        as width may be lacking.
    """
    usual = [cause for cause in causes_of(finding) if _covered(cause, worn)]
    found = [_weigh(cause, findings, worn) for cause in usual]
    narrow = [one for one in found if one.cause.code == "tight" and one.possible]
    if narrow:
        found = [_later(one, narrow) if one.cause.code == "back-too-long" else one for one in found]
    # Sorting keeps the trade's order among equals, to the per cent that is shown.
    return tuple(
        sorted(found, key=lambda one: (_ORDER.index(one.weight), -round(one.chance or 0.0, 2)))
    )


def _covered(cause: Cause, worn: Worn) -> bool:
    """Whether the garment reaches down to where the cause is."""
    return cause.level not in EASE_LEVELS or cause.level in worn.garment.levels


def _later(one: Weighed, narrow: list[Weighed]) -> Weighed:
    names = listed([KINDS[tight.cause.level].name for tight in narrow if tight.cause.level])
    return Weighed(
        one.cause,
        "later",
        one.chance,
        f"Leave it alone until the width at the {names} is settled: tight hips make the back creep "
        f"up and look just like this. {one.why}",
    )


def _weigh(cause: Cause, findings: tuple[Finding, ...], worn: Worn) -> Weighed:
    chance, why = _numbers(cause, worn)
    said = _said(cause, findings)
    if said is True:
        against = chance is not None and chance < NAMED_CHANCE
        added = (
            " The numbers speak against it: check that it was cut as told, and what is under it."
            if against
            else ""
        )
        return Weighed(cause, "seen", chance, f"The try-on says so. {why}{added}")
    if said is False:
        return Weighed(cause, "unlikely", chance, f"The try-on says otherwise. {why}")
    if chance is None:
        return Weighed(cause, "open", None, why)
    return Weighed(cause, "likely" if chance >= NAMED_CHANCE else "unlikely", chance, why)


def _said(cause: Cause, findings: tuple[Finding, ...]) -> bool | None:
    """Whether the try-on itself says that a level is too tight or too loose."""
    if cause.code not in ("tight", "loose"):
        return None
    said = next((one.code for one in findings if one.level == cause.level), None)
    return None if said is None else said == {"tight": "snug", "loose": "loose"}[cause.code]


def _numbers(cause: Cause, worn: Worn) -> tuple[float | None, str]:
    """Probability of a cause by the numbers, None where they say nothing, and why."""
    if cause.code in _NOTHING_KNOWN:
        return None, _NOTHING_KNOWN[cause.code]
    if cause.code in ("tight", "loose"):
        return _width(cause, cause.level, worn)
    if cause.code in ("cup-fuller", "cup-smaller"):
        return _cup(cause, worn)
    if cause.code in ("shoulders-too-wide", "shoulders-too-narrow"):
        return _length(
            cause.code == "shoulders-too-wide",
            "shoulder_width",
            worn.size.shoulder_width_mm,
            worn,
        )
    return _length(cause.code == "back-too-long", "back_waist_length", worn.back_mm, worn)


def _width(cause: Cause, level: TryOnLevel | None, worn: Worn) -> tuple[float | None, str]:
    if level == "high_bust":
        return _frame(cause, worn)
    if level in EASE_LEVELS and level in worn.levels:
        return _ease(cause, level, worn.levels[level], worn)
    if level == "upper_arm":
        return None, "The block has no number of the sleeve: compare it with her upper arm."
    name = KINDS[level].name if level else ""
    return None, f"Her {name} is not known, so the numbers say nothing: tape it."


def _ease(cause: Cause, level: EaseLevel, row: LevelWorn, worn: Worn) -> tuple[float, str]:
    """Whether the true ease lies below the least, or more than a size above what is drafted."""
    name = KINDS[level].name
    has = f"The numbers leave {ease_words(row.ease_mm)} at the {name}"
    if cause.code == "tight":
        chance = chance_below(row.least_mm, row.ease_mm, row.u_mm)
        return chance, f"{has}; {limit_words(row.least_mm)}. {_odds('too tight', chance)}"
    chance = 1 - chance_below(row.drafted_mm + _step_mm(level, worn), row.ease_mm, row.u_mm)
    told = f"; drafted: {ease_words(row.drafted_mm)}."
    return chance, f"{has}{told} {_odds('more than a size too wide', chance)}"


def _step_mm(level: EaseLevel, worn: Worn) -> float:
    """Girth from the next smaller size to this one; from the smallest, to the next larger."""
    number = max(worn.block.sizes.index(worn.size), 1)
    smaller, larger = worn.block.sizes[number - 1], worn.block.sizes[number]
    return larger.body_mm(level) - smaller.body_mm(level)


def _frame(cause: Cause, worn: Worn) -> tuple[float, str]:
    """Whether the true high bust belongs to the next larger or smaller size."""
    sizes, taped = worn.block.sizes, worn.confirmed["high_bust"]
    number = sizes.index(worn.size)
    larger = cause.code == "tight"
    other = number + (1 if larger else -1)
    # Beyond the first and the last size the same step goes on.
    beyond = min(max(other, 0), len(sizes) - 1)
    inner = sizes[number + (-1 if larger else 1)] if beyond == number else None
    other_mm = (
        2 * worn.size.high_bust_mm - inner.high_bust_mm if inner else sizes[beyond].high_bust_mm
    )
    limit = (worn.size.high_bust_mm + other_mm) / 2
    below = chance_below(limit, taped.value_mm, taped.u_mm)
    chance = 1 - below if larger else below
    which = f"size {sizes[beyond].name}" if inner is None else "a size that the block does not have"
    return chance, (
        f"Her high bust is {in_both_units(taped.value_mm)}, size {worn.size.name} is drafted for "
        f"{in_both_units(worn.size.high_bust_mm)}. {_odds(f'a case for {which}', chance)}"
    )


def _cup(cause: Cause, worn: Worn) -> tuple[float, str]:
    """Whether her true difference is half a cup or more from what the front is made for."""
    half = worn.block.cup_step_mm / 2
    fuller = cause.code == "cup-fuller"
    limit = worn.front_mm + (half if fuller else -half)
    below = chance_below(limit, worn.difference_mm, worn.u_difference_mm)
    chance = 1 - below if fuller else below
    odds = _odds(f"half a cup or more {'fuller' if fuller else 'smaller'}", chance)
    return chance, (
        f"Her full bust is {in_both_units(worn.difference_mm)} more than her high bust, the front "
        f"is made for {in_both_units(worn.front_mm)}. {odds}"
    )


def _length(
    garment_larger: bool, code: str, made_mm: float | None, worn: Worn
) -> tuple[float | None, str]:
    """Whether a length of the garment is more than a change larger or smaller than hers."""
    name = KINDS[code].name
    if code not in worn.confirmed or made_mm is None:
        whose = "her" if code not in worn.confirmed else "the block's"
        return None, f"Nothing is known of {whose} {name}, so the numbers say nothing."
    hers = worn.confirmed[code]
    if garment_larger:
        chance = chance_below(made_mm - LEAST_CHANGE_MM, hers.value_mm, hers.u_mm)
    else:
        chance = 1 - chance_below(made_mm + LEAST_CHANGE_MM, hers.value_mm, hers.u_mm)
    odds = _odds(f"too {'large' if garment_larger else 'small'}", chance)
    return chance, (
        f"Her {name} is {in_both_units(hers.value_mm)}, the garment's {in_both_units(made_mm)}. "
        f"{odds}"
    )


def _odds(what: str, chance: float) -> str:
    """A chance as one says it; rounded to a whole per cent, and never told as certain."""
    if chance >= _CERTAIN:
        return f"Almost certainly {what}."
    if chance <= 1 - _CERTAIN:
        return f"Hardly {what}."
    return f"Chance that it is {what}: {chance:.0%}."
