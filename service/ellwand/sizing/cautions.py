"""What to mind with a garment on a body, and what to sew first.

Source: common practice, no source, for the order "hip before sway back", the layer under a sheer
top, the cloth that grows while it hangs, and the cuff that must pass the hand.
"""

from collections.abc import Mapping

from ellwand.listing import listed
from ellwand.measurements import KINDS
from ellwand.quantity import in_both_units
from ellwand.sizing.block import Fabric, Garment, Size
from ellwand.sizing.decision import Change, LevelEase
from ellwand.sizing.seams import french_seam
from ellwand.tape import Confirmed

# About the girth of a woman's hand with the thumb tucked in, where it is not taped (common
# practice, no source).
USUAL_HAND_MM = 250.0


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
            "This garment is worn over another layer: its ease is counted with "
            f"{in_both_units(garment.under_layer_mm)} for that layer. Wear it at the fitting."
        )
    if garment.seam == "french":
        found.append(_french(garment.allowance_mm))
    if fabric == "drapey-woven":
        found.append(
            "Cloth that drapes grows while it hangs: let the garment hang for a day before its hem "
            "is marked, and pin the side seams on the body."
        )
    if garment.cuff_girth_mm is not None:
        reach_mm = garment.cuff_girth_mm
        if fabric == "knit" and garment.stretch is not None:
            reach_mm *= 1 + garment.stretch
        found.append(_cuff(confirmed.get("hand"), garment.cuff_girth_mm, reach_mm))
    adjusted = {"full-bust-adjustment", "small-bust-adjustment"} & {c.code for c in made}
    if other_cup and not adjusted:
        found.append(
            "Your cup is not the one that is cut, but the chosen size comes out with the width you "
            "need: look at the bust on the trial."
        )
    if adjusted:
        found.append("After the bust adjustment, walk the side seams and true the hem.")
    return tuple(found)


def _french(allowance_mm: float) -> str:
    """How the French side seams use their allowance."""
    seam = french_seam(allowance_mm)
    return (
        f"French side seams in {in_both_units(allowance_mm)}: first wrong sides together, "
        f"{in_both_units(seam.first_mm)} from the edge, trimmed to "
        f"{in_both_units(seam.trimmed_mm)}, then right sides together, "
        f"{in_both_units(seam.second_mm)}."
    )


def _sway_back(garment: Garment, ease: tuple[LevelEase, ...]) -> list[str]:
    """Tight hips make a top ride up, which looks like a sway back."""
    tight = [
        KINDS[row.level].name
        for row in ease
        if row.level in ("high_hip", "full_hip") and row.fit in ("tight", "open")
    ]
    if tight:
        return [
            "If the back creeps up and looks like a sway back, too little width at the "
            f"{listed(tight)} is the likely cause: give it width before changing the back."
        ]
    if garment.hem != "waist":
        return [
            "Should the back creep up and look like a sway back, check the width at the hip "
            "before changing the back."
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
    stretched = f", {in_both_units(reach_mm)} stretched" if reach_mm > girth_mm else ""
    whose = "a hand is about" if hand is None else "your hand is"
    verdict = "passes" if reach_mm >= hand_mm else "does not pass"
    advice = "" if reach_mm >= hand_mm else ": make the cuff wider or give it an opening"
    measure = "; measure your hand before cutting it" if hand is None else ""
    return (
        f"The cuff has no opening. Finished it is {in_both_units(girth_mm)} round{stretched}, and "
        f"{whose} {in_both_units(hand_mm)}, so that it {verdict}{advice}{measure}."
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
    # Letting out concerns a garment that is cut already, not the trial.
    changed = any(change.code != "let-out" for change in made)
    what = "with the changes above" if changed else "as the pattern is"
    lowest = KINDS[ease[-1].level].name if ease else KINDS["waist"].name
    return (
        f"The bodice of size {size.name} down to the {lowest}, {what}, in a cheap cloth of the "
        "same weight: look at the shoulders first, then the bust, then the hip. Shoulders that "
        "fall off ask for a smaller size, drag lines from the bust for a larger cup, a back that "
        "creeps up for width at the hip."
    )
