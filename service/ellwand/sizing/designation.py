"""The published size designation, for comparison and for the card.

Source: EN 13402-3 for the bust and hip intervals and letters (from memory),
EN 13402 bra cup and band (an explanatory page on the standard).
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from ellwand.language import gettext
from ellwand.tape import Confirmed

# Middle of each interval, cm; one interval ends half-way to the next.
BUST_CM = (76, 80, 84, 88, 92, 96, 100, 104, 110, 116, 122, 128)
HIP_CM = (84, 88, 92, 96, 100, 104, 108, 112, 117, 122)

# By bust girth, cm: from (inclusive), to (exclusive), letter.
LETTERS_CM = ((74, 82, "XS"), (82, 90, "S"), (90, 98, "M"), (98, 107, "L"))

# Bust minus underbust: 2 cm a cup from 10 cm on, lower bound exclusive, upper inclusive.
BRA_CUPS = ("AA", "A", "B", "C", "D", "E", "F")
_FIRST_BRA_CUP_MM = 100.0
_BRA_CUP_STEP_MM = 20.0
_BAND_STEP_CM = 5


@dataclass(frozen=True)
class Designation:
    """Size designation by body girths.

    Args:
        bust_cm: middle of the bust interval, None outside the table or when not taped.
        hip_cm: middle of the hip interval, None outside the table or when not taped.
        letter: letter code by bust, None outside the table.
        bra: band and cup, None outside the table or when the underbust is not taped.
    """

    bust_cm: int | None
    hip_cm: int | None
    letter: str | None
    bra: str | None


def designate(confirmed: Mapping[str, Confirmed]) -> Designation:
    """The designation of what was taped.

    Args:
        confirmed: by code; full_bust, full_hip and underbust are used where they are there.

    Returns:
        The designation.
    """
    bust = _value_mm(confirmed, "full_bust")
    hip = _value_mm(confirmed, "full_hip")
    underbust = _value_mm(confirmed, "underbust")
    return Designation(
        bust_cm=None if bust is None else interval_cm(bust, BUST_CM),
        hip_cm=None if hip is None else interval_cm(hip, HIP_CM),
        letter=None if bust is None else letter_code(bust),
        bra=None if bust is None or underbust is None else bra_size(bust, underbust),
    )


def designation_words(found: Designation) -> str:
    """The designation in a sentence or two, empty where nothing is known."""
    parts = []
    if found.bust_cm is not None and found.letter is not None:
        parts.append(gettext("bust {cm} cm, {letter}", cm=found.bust_cm, letter=found.letter))
    elif found.bust_cm is not None:
        parts.append(gettext("bust {cm} cm", cm=found.bust_cm))
    if found.hip_cm is not None:
        parts.append(gettext("hip {cm} cm", cm=found.hip_cm))
    if found.bra is not None:
        parts.append(gettext("bra {bra}", bra=found.bra))
    if not parts:
        return ""
    told = gettext("On clothes labels (EN 13402): {sizes}.", sizes="; ".join(parts))
    if found.bra is None:
        return told
    cups = gettext(
        "The bra cup counts full bust less underbust in steps of 2 cm, the sewing cup full bust "
        "less high bust in inches: their letters say different things."
    )
    return f"{told} {cups}"


def interval_cm(girth_mm: float, middles_cm: tuple[int, ...]) -> int | None:
    """The interval that a girth falls into.

    Args:
        girth_mm: body girth.
        middles_cm: middle of each interval, ascending.

    Returns:
        Its middle in cm, or None outside all of them. A girth at an end belongs to the larger.
    """
    girth = girth_mm / 10
    lowest = middles_cm[0] - (middles_cm[1] - middles_cm[0]) / 2
    if girth < lowest:
        return None
    for middle, following in pairwise(middles_cm):
        if girth < (middle + following) / 2:
            return middle
    highest = middles_cm[-1] + (middles_cm[-1] - middles_cm[-2]) / 2
    return middles_cm[-1] if girth < highest else None


def letter_code(bust_mm: float) -> str | None:
    """The letter code of a bust girth.

    Returns:
        XS to L, or None outside what the table gives.
    """
    bust = bust_mm / 10
    return next((letter for low, high, letter in LETTERS_CM if low <= bust < high), None)


def bra_size(bust_mm: float, underbust_mm: float) -> str | None:
    """Band and bra cup.

    Args:
        bust_mm: full bust.
        underbust_mm: underbust.

    Returns:
        For instance "85D", or None outside the cups of the table.
    """
    number = math.ceil((bust_mm - underbust_mm - _FIRST_BRA_CUP_MM) / _BRA_CUP_STEP_MM) - 1
    if not 0 <= number < len(BRA_CUPS):
        return None
    # Bands run 63-67, 68-72 in whole centimetres: a half belongs to the larger.
    band = _BAND_STEP_CM * math.floor(underbust_mm / 10 / _BAND_STEP_CM + 0.5)
    return f"{band}{BRA_CUPS[number]}"


def _value_mm(confirmed: Mapping[str, Confirmed], code: str) -> float | None:
    return confirmed[code].value_mm if code in confirmed else None
