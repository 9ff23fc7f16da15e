"""Who held the tape and what was worn under it, in words, and what clothes do to the numbers.

No name is ever taken for who measured: one out of a short list is all that a card needs.
"""

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass
from typing import Literal

from ellwand.language import Noun, gettext, gettext_noop
from ellwand.measurements import KINDS, LEVELS
from ellwand.tape.readings import Query

MeasuredBy = Literal["herself", "somebody", "untold"]
"""Who held the tape: she herself, or somebody with her."""

Worn = Literal["nothing", "bra", "close-top", "padded-bra", "thick", "untold"]
"""What lay under the tape, of several the one further down this list; thick is a blouse or more."""

Whom = Literal["her", "you"]

_BY: dict[Whom, dict[MeasuredBy, str]] = {
    "her": {
        "herself": gettext_noop("by herself"),
        "somebody": gettext_noop("by somebody with her"),
    },
    "you": {
        "herself": gettext_noop("by yourself"),
        "somebody": gettext_noop("by somebody with you"),
    },
}
WORN_WORDS: dict[Worn, str] = {
    "nothing": gettext_noop("on bare skin"),
    "bra": gettext_noop("in an unpadded bra"),
    "close-top": gettext_noop("in a close top"),
    "padded-bra": gettext_noop("in a padded bra"),
    "thick": gettext_noop("in a blouse or thicker"),
}
# Where clothes of the trunk lie under the tape; a height, an arm or a leg does not ask for them.
CLOTHED = frozenset(
    {*LEVELS, "shoulder_width", "back_waist_length", "shoulder_to_bust", "waist_to_hip"}
)
# Where a bra lies under the tape as well.
OVER_BRA = frozenset({"high_bust", "full_bust", "underbust", "shoulder_to_bust"})
_BRAS: frozenset[Worn] = frozenset({"bra", "padded-bra"})

_THICK_ADVICE = gettext_noop(
    "Measure again in underwear or in a thin, close top, and let the earlier readings no longer "
    "count."
)
_PADDED = gettext_noop(
    "The full bust was measured in a padded bra: that is right for a garment that is worn over "
    "the same bra, and too much for any other."
)
_PADDED_ADVICE = gettext_noop(
    "If another bra goes under the garment, measure again in that one, and let the earlier "
    "readings no longer count."
)
_APART = gettext_noop(
    "High bust and full bust were not measured over the same: the sewing cup is full bust less "
    "high bust, and now it holds what was worn, too."
)
_BOTH_AGAIN = gettext_noop(
    "Measure both again in the bra that goes under the garment, and let the earlier readings no "
    "longer count."
)
_ONE_AGAIN = gettext_noop(
    "Measure the {name} again in the bra that goes under the garment, and let the earlier readings "
    "no longer count."
)


@dataclass(frozen=True)
class Taken:
    """How a measurement was taken, as far as it was told.

    Args:
        measured_by: who held the tape.
        worn: what lay under it.
    """

    measured_by: MeasuredBy = "untold"
    worn: Worn = "untold"

    def at(self, code: str) -> "Taken":
        """The same for one measurement: without what does not lie under the tape there."""
        under = code in (OVER_BRA if self.worn in _BRAS else CLOTHED)
        return self if under else Taken(self.measured_by)


def taken_words(taken: Taken, whom: Whom = "her") -> str:
    """Say how a measurement was taken.

    Args:
        taken: who held the tape, and what was worn.
        whom: whether it is told of her or to her.

    Returns:
        A few words; none where nothing was told.

    >>> taken_words(Taken("herself", "bra"))
    'by herself, in an unpadded bra'
    """
    told = (_BY[whom].get(taken.measured_by), WORN_WORDS.get(taken.worn))
    return ", ".join(gettext(words) for words in told if words)


def worn_remarks(code: str, worn: Mapping[str, Set[Worn]]) -> tuple[Query, ...]:
    """Remark on clothes that are in a number; none of these holds a measurement back.

    How much cloth or padding adds is not known, so that nothing is taken off.

    Args:
        code: of the measurement.
        worn: by code, what lay under the readings that count.

    Returns:
        Remarks; what concerns high bust and full bust together is one of the full bust.

    Source: judged.
    """
    found = []
    if code in LEVELS and "thick" in worn.get(code, ()):
        found.append(_remark(code, _thick([code]), gettext(_THICK_ADVICE)))
    if code == "full_bust":
        found += _bust_remarks(worn)
    return tuple(found)


def worn_words(worn: Mapping[str, Set[Worn]]) -> tuple[str, ...]:
    """The same remarks of all measurements, what holds for several of them once.

    Args:
        worn: by code, what lay under the readings that count.
    """
    thick = [code for code in LEVELS if "thick" in worn.get(code, ())]
    told = [f"{_thick(thick)} {gettext(_THICK_ADVICE)}"] if thick else []
    return (*told, *(f"{one.sentence} {one.advice}" for one in _bust_remarks(worn)))


def _thick(codes: Sequence[str]) -> str:
    return gettext(
        "Measured in a blouse or thicker: {names}. The cloth is in the number, and nobody can "
        "tell how much of it.",
        names=", ".join(f"{Noun(KINDS[code].name)}" for code in codes),
    )


def _bust_remarks(worn: Mapping[str, Set[Worn]]) -> list[Query]:
    """What the sewing cup holds that is no bust."""
    found = []
    high, full = (worn.get(code, frozenset()) - {"untold"} for code in ("high_bust", "full_bust"))
    if "padded-bra" in full:
        found.append(_remark("full_bust", gettext(_PADDED), gettext(_PADDED_ADVICE)))
    if high and full and len(high | full) > 1:
        advice = _apart_advice(high, full)
        found.append(_remark("full_bust", gettext(_APART), advice, against="high_bust"))
    return found


def _apart_advice(high: Set[Worn], full: Set[Worn]) -> str:
    """Which of the two to measure again: none that was measured in a bra alone."""
    high_in_bra, full_in_bra = (len(worn) == 1 and worn <= _BRAS for worn in (high, full))
    if high_in_bra == full_in_bra:
        return gettext(_BOTH_AGAIN)
    code = "full_bust" if high_in_bra else "high_bust"
    return gettext(_ONE_AGAIN, name=Noun(KINDS[code].name))


def _remark(code: str, told: str, advice: str, against: str | None = None) -> Query:
    """A remark, put together from what is said already."""
    return Query(code, "worn", told, advice, against=against, blocks=False)
