"""What to mind with a garment on a body, and what to sew first.

Source: common practice, no source, for the order "hip before sway back", the layer under a sheer
top, the cloth that grows while it hangs, and the cuff that must pass the hand.
"""

from collections.abc import Mapping

from ellwand.language import gettext, gettext_noop
from ellwand.shown import in_both_units
from ellwand.sizing.block import EaseLevel, Fabric, Garment, Size
from ellwand.sizing.decision import Change, LevelEase
from ellwand.sizing.naming import at_words
from ellwand.sizing.seams import french_seam
from ellwand.sizing.wording import edge_words, parted_words
from ellwand.tape import Confirmed

# About the girth of a woman's hand with the thumb tucked in, where it is not taped (common
# practice, no source).
USUAL_HAND_MM = 250.0

_DOWN_TO: dict[EaseLevel, str] = {
    "full_bust": gettext_noop("down to the full bust"),
    "waist": gettext_noop("down to the waist"),
    "high_hip": gettext_noop("down to the high hip"),
    "full_hip": gettext_noop("down to the full hip"),
}


def cautions(
    confirmed: Mapping[str, Confirmed],
    garment: Garment,
    fabric: Fabric,
    other_cup: bool,
    ease: tuple[LevelEase, ...],
    made: tuple[Change, ...],
) -> tuple[str, ...]:
    """What to mind with this garment on this body.

    Args:
        confirmed: taped measurements by code.
        garment: the garment.
        fabric: what it is cut in.
        other_cup: whether her cup is not the one that is cut.
        ease: how the size sits at each level.
        made: the changes.

    Returns:
        Sentences.
    """
    found = _sway_back(garment, ease)
    if garment.under_layer_mm > 0:
        found.append(
            gettext(
                "This garment is worn over another layer: its ease is counted with {layer} for "
                "that layer, which belongs to the fitting, too.",
                layer=in_both_units(garment.under_layer_mm),
            )
        )
    if garment.seam == "french":
        found.append(_french(garment.allowance_mm))
    if fabric == "drapey-woven":
        found.append(
            gettext(
                "Cloth that drapes grows while it hangs: let the garment hang for a day before its "
                "hem is marked, and pin the side seams on the body."
            )
        )
    if garment.cuff_girth_mm is not None:
        reach_mm = garment.cuff_girth_mm
        if fabric == "knit" and garment.stretch is not None:
            reach_mm *= 1 + garment.stretch
        found.append(_cuff(confirmed.get("hand"), garment.cuff_girth_mm, reach_mm))
    adjusted = {"full-bust-adjustment", "small-bust-adjustment"} & {c.code for c in made}
    if other_cup and not adjusted:
        found.append(
            gettext(
                "The cup that is cut is another one, but the chosen size comes out with the width "
                "that is needed: look at the bust on the trial."
            )
        )
    if adjusted:
        found.append(
            gettext("After the bust adjustment, match (walk) the side seams, even the hem.")
        )
    return tuple(found)


def _french(allowance_mm: float) -> str:
    """How the French side seams use their allowance."""
    seam = french_seam(allowance_mm)
    whole, (first, second) = parted_words([seam.first_mm, seam.second_mm])
    return gettext(
        "French side seams in {allowance}: first wrong sides together, {first} from the edge, "
        "trimmed to {trimmed}, then right sides together, {second}.",
        allowance=whole,
        first=first,
        trimmed=edge_words(seam.trimmed_mm),
        second=second,
    )


def _sway_back(garment: Garment, ease: tuple[LevelEase, ...]) -> list[str]:
    """Tight hips make a top ride up, which looks like a sway back."""
    tight = [
        row.level
        for row in ease
        if row.level in ("high_hip", "full_hip") and row.fit in ("tight", "open")
    ]
    if tight:
        both = gettext("at the high hip and full hip")
        return [
            gettext(
                "If the back creeps up and looks hollow (sway back), too little width "
                "{there} is the likely cause: give it width before changing the back.",
                there=both if len(tight) > 1 else at_words(tight[0]),
            )
        ]
    if garment.hem != "waist":
        return [
            gettext(
                "Should the back creep up and look hollow (sway back), check the width "
                "at the hip before changing the back."
            )
        ]
    return []


def _cuff(hand: Confirmed | None, girth_mm: float, reach_mm: float) -> str:
    """Whether a cuff without opening passes the hand, the usual one where hers is not taped.

    Args:
        hand: the taped hand, None where it is not.
        girth_mm: finished girth of the cuff.
        reach_mm: the same, stretched as far as its cloth goes.
    """
    hand_mm = USUAL_HAND_MM if hand is None else hand.value_mm
    girth = gettext("{girth} round", girth=in_both_units(girth_mm))
    if reach_mm > girth_mm:
        girth = gettext(
            "{girth} round, {reach} stretched",
            girth=in_both_units(girth_mm),
            reach=in_both_units(reach_mm),
        )
    if reach_mm >= hand_mm:
        verdict = gettext("it passes")
    else:
        verdict = gettext("it does not pass: make the cuff wider or give it an opening")
    named = {"girth": girth, "hand": in_both_units(hand_mm), "verdict": verdict}
    if hand is None:
        return gettext(
            "The cuff has no opening. Finished it is {girth}, and a hand is about {hand}, so that "
            "{verdict}; the hand has to be measured before the cuff is cut.",
            **named,
        )
    return gettext(
        "The cuff has no opening. Finished it is {girth}, and the hand is {hand}, so that "
        "{verdict}.",
        **named,
    )


def trial(made: tuple[Change, ...], ease: tuple[LevelEase, ...], size: Size) -> str:
    """What to sew first in a cheap cloth.

    Args:
        made: the changes.
        ease: how the size sits at each level.
        size: the size chosen.

    Returns:
        What to sew, where to look, and which finding points to which change.
    """
    named = {"size": size.name, "lowest": gettext(_DOWN_TO[ease[-1].level if ease else "waist"])}
    # Letting out concerns a garment that is cut already, not the trial.
    if any(change.code != "let-out" for change in made):
        what = gettext(
            "The bodice of size {size} {lowest}, with the changes above, in a cheap "
            "cloth of the same weight: look at the shoulders first, then the bust, then the hip.",
            **named,
        )
    else:
        what = gettext(
            "The bodice of size {size} {lowest}, as the pattern is, in a cheap cloth "
            "of the same weight: look at the shoulders first, then the bust, then the hip.",
            **named,
        )
    found = gettext(
        "Shoulders that fall off ask for a smaller size, folds from the bust for a "
        "larger cup, a back that creeps up for width at the hip."
    )
    return f"{what} {found}"
