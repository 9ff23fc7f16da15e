"""What is answered about the size: the decision in the words of card and command."""

from ellwand.api.base import Model
from ellwand.sitting import Sitting
from ellwand.sizing import decision_from_json


class SizeStep(Model):
    """A line of a decision."""

    title: str
    """What was decided."""
    answer: str
    """The decision in a word or two; empty where the reason says all."""
    reason: str
    """Why, in a sentence."""


class SizeView(Model):
    """A size decision to be read."""

    headline: str
    """Size, sewing cup and length, and the bra cup beside them, which is another thing."""
    made_for: str
    """Garment and block."""
    steps: list[SizeStep]
    """Line by line, what is not certain last."""

    @classmethod
    def of(cls, record: Sitting) -> "SizeView | None":
        """Of a sitting; None where no size is decided."""
        if record.decision is None:
            return None
        found = decision_from_json(record.decision)
        bra = f" (bra cup: {found.designation.bra})" if found.designation.bra else ""
        garment = found.garment.replace("-", " ")
        return cls(
            headline=f"Size {found.size.answer}; sewing cup {found.cup.answer}{bra}; "
            f"{found.length_class.answer}",
            made_for=f"For {garment}, by the {found.block}. {found.block_note or ''}".rstrip(),
            steps=[
                SizeStep(title=step.title, answer=step.answer, reason=step.reason)
                for step in (*found.reasons, *found.remarks)
            ],
        )
