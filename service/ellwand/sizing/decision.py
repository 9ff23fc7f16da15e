"""What the size engine says, each step with its reason, and its form in a sitting file."""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any, Literal

from ellwand.errors import SittingProblem
from ellwand.language import gettext, gettext_noop
from ellwand.sizing.block import EaseLevel, Fabric
from ellwand.sizing.designation import Designation, designation_words
from ellwand.sizing.naming import length_words

Basis = Literal["confirmed", "kept", "estimated"]

# good: between the least ease and one size more than drafted; open: the two ends of an
# estimate's bound do not agree.
Fit = Literal["good", "tight", "loose", "open"]

ChangeCode = Literal[
    "full-bust-adjustment",
    "small-bust-adjustment",
    "grade",
    "draw-out",
    "let-out",
    "lengthen",
    "shorten",
]
# The ends of front, back and sleeve are changed, too, and have no girth to sit at.
ChangeLevel = EaseLevel | Literal["hem", "sleeve"]


@dataclass(frozen=True)
class Choice:
    """One thing chosen among several by one number.

    Args:
        name: what was chosen.
        alternative: the other one, where the tape's error leaves it open; else None.
        reason: why, one sentence for the customer.
        decides: what decides between the two, None without an alternative.
    """

    name: str
    alternative: str | None
    reason: str
    decides: str | None

    @property
    def answer(self) -> str:
        """What was chosen, with the other one where it is open."""
        # Only a length class has a name of ours; a size and a cup stay as they are.
        name = length_words(self.name)
        if self.alternative is None:
            return name
        return gettext("{name}, perhaps {other}", name=name, other=length_words(self.alternative))


@dataclass(frozen=True)
class LevelEase:
    """How the chosen size sits at one level, before any change.

    Args:
        level: code of the level.
        basis: what the body girth rests on.
        low_mm: body girth, lower end of the bound; the girth itself when it is no estimate.
        high_mm: body girth, upper end of the bound; the girth itself when it is no estimate.
        finished_mm: girth of the garment there.
        least_mm: with less ease than this the garment strains.
        drafted_mm: the ease that the garment is drafted with.
        ease_at_low_mm: ease over the lower end, counted from the under-layer.
        ease_at_high_mm: ease over the upper end, counted from the under-layer.
        fit: what that means.
        size_at_low: the size that the lower end asks for at this level.
        size_at_high: the size that the upper end asks for at this level, None when the block has
            none as large.
        reason: what that means, one or two sentences for the customer.
    """

    level: EaseLevel
    basis: Basis
    low_mm: float
    high_mm: float
    finished_mm: float
    least_mm: float
    drafted_mm: float
    ease_at_low_mm: float
    ease_at_high_mm: float
    fit: Fit
    size_at_low: str | None
    size_at_high: str | None
    reason: str


@dataclass(frozen=True)
class Change:
    """One change to the pattern or the garment.

    Args:
        code: kind of change.
        level: where; for a change of length the level that it ends at, or the sleeve.
        low_mm: total amount at the lower end of the bound; for a number that is no estimate the
            amount itself. Below zero only when a grade makes the garment narrower.
        high_mm: total amount at the upper end of the bound.
        parts: how many equal parts the amount is made up of (halves of the pattern, edges of
            seams).
        reason: what to do and why, for the customer and her seamstress.
    """

    code: ChangeCode
    level: ChangeLevel
    low_mm: float
    high_mm: float
    parts: int
    reason: str


@dataclass(frozen=True)
class Grading:
    """Another size at a level than at the bust.

    Args:
        level: where.
        from_size: the size at the bust.
        to_size_at_low: the size that the lower end of the bound asks for there.
        to_size_at_high: the size that the upper end asks for; the same where the tape has spoken.
        low_mm: by how much the garment grows there at the lower end, below 0 where it narrows.
        high_mm: the same at the upper end.
        edges: edges of seams that it is spread over equally.
    """

    level: EaseLevel
    from_size: str
    to_size_at_low: str
    to_size_at_high: str
    low_mm: float
    high_mm: float
    edges: int


@dataclass(frozen=True)
class Step:
    """One line of the decision as it is shown.

    Args:
        title: what is decided.
        answer: the answer, a few words.
        reason: why.
    """

    title: str
    answer: str
    reason: str


@dataclass(frozen=True)
class Decision:
    """A size with everything that goes with it.

    Args:
        block: name of the block.
        block_note: where the block's numbers come from, may be empty.
        garment: name of the garment.
        fabric: what it is cut in.
        length_class: chosen by stature.
        size: chosen by high bust.
        cup: chosen by full bust minus high bust.
        difference_mm: full bust minus high bust.
        u_difference_mm: its standard uncertainty.
        ease: by level, from the top.
        changes: in the order in which they are made.
        cautions: what to mind.
        warnings: what this decision rests on that is not certain.
        trial: what to sew first.
        designation: the published size designation, for comparison.
        size_probabilities: by name of the size, how likely each is, given the uncertainty of the
            high bust; those that are hardly likely are left out.
        cup_probabilities: by letter, the same for the cups.
        grading: where the measurements ask for another size than at the bust; where a try-on has
            shown what is needed, that stands among the changes instead.
        cut_cup: the drafted cup that is cut, the nearest to hers; None in a decision from before
            blocks had more than one.
    """

    block: str
    block_note: str
    garment: str
    fabric: Fabric
    length_class: Choice
    size: Choice
    cup: Choice
    difference_mm: float
    u_difference_mm: float
    ease: tuple[LevelEase, ...]
    changes: tuple[Change, ...]
    cautions: tuple[str, ...]
    warnings: tuple[str, ...]
    trial: str
    designation: Designation
    # A sitting that was decided by an earlier version has none of these.
    size_probabilities: Mapping[str, float] = field(default_factory=dict)
    cup_probabilities: Mapping[str, float] = field(default_factory=dict)
    grading: tuple[Grading, ...] = ()
    cut_cup: str | None = None

    @property
    def reasons(self) -> tuple[Step, ...]:
        """The decision line by line with its reasons, for screen and card.

        Returns:
            Length class, size, cup, ease at each level, changes, trial, in this order.
        """
        steps = [
            _choice_step(gettext("Length class"), self.length_class),
            _choice_step(gettext("Size"), self.size),
            _choice_step(gettext("Cup"), self.cup),
        ]
        steps += [
            Step(gettext(_AT[row.level]), gettext(_FIT_WORDS[row.fit]), row.reason)
            for row in self.ease
        ]
        steps += [
            Step(gettext("Change"), gettext(CHANGE_WORDS[row.code]), row.reason)
            for row in self.changes
        ]
        return (*steps, Step(gettext("Sew first"), gettext("a trial"), self.trial))

    @property
    def remarks(self) -> tuple[Step, ...]:
        """What else is to be said of it, without an answer of its own; what is not certain last."""
        words = designation_words(self.designation)
        return (
            *(Step(gettext("Mind"), "", caution) for caution in self.cautions),
            *((Step(gettext("For comparison"), "", words),) if words else ()),
            *(Step(gettext("Not certain"), "", warning) for warning in self.warnings),
        )

    def to_json(self) -> dict[str, Any]:
        """The decision as JSON has it, for the sitting file.

        Returns:
            Only dicts, lists, texts, numbers and None.
        """
        plain: dict[str, Any] = json.loads(json.dumps(asdict(self)))
        return plain


_AT: dict[EaseLevel, str] = {
    "full_bust": gettext_noop("At the full bust"),
    "waist": gettext_noop("At the waist"),
    "high_hip": gettext_noop("At the high hip"),
    "full_hip": gettext_noop("At the full hip"),
}
_FIT_WORDS: dict[Fit, str] = {
    "good": gettext_noop("within what is drafted"),
    "tight": gettext_noop("too tight"),
    "loose": gettext_noop("looser than drafted"),
    "open": gettext_noop("open until taped"),
}
CHANGE_WORDS: dict[ChangeCode, str] = {
    "full-bust-adjustment": gettext_noop("full bust adjustment"),
    "small-bust-adjustment": gettext_noop("small bust adjustment"),
    "grade": gettext_noop("grade between sizes"),
    "draw-out": gettext_noop("draw out beyond the block"),
    "let-out": gettext_noop("let out"),
    "lengthen": gettext_noop("lengthen"),
    "shorten": gettext_noop("shorten"),
}


def _choice_step(title: str, choice: Choice) -> Step:
    """A choice as a line, with what decides where it is open."""
    return Step(title, choice.answer, f"{choice.reason} {choice.decides or ''}".rstrip())


def decision_from_json(data: object) -> Decision:
    """The decision that a sitting file holds.

    Args:
        data: what `Decision.to_json` gave; keys that it does not know are passed over.

    Returns:
        The decision.

    Raises:
        SittingProblem: it is not complete, or a value has the wrong type.
    """
    # Only reading a decision back needs the library; the command line starts faster without.
    from pydantic import TypeAdapter, ValidationError

    try:
        return TypeAdapter(Decision).validate_json(json.dumps(data), strict=True)
    except (ValidationError, TypeError, ValueError) as cause:
        raise SittingProblem(
            "decision-unreadable",
            "The size decision in the sitting file cannot be read.",
            "Decide the size again.",
        ) from cause
