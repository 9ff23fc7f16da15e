"""What is answered about the size: the decision in the words of card and command."""

from collections.abc import Callable

from ellwand.api.base import Model
from ellwand.language import gettext
from ellwand.sitting import Sitting
from ellwand.sizing import (
    Choice,
    block_words,
    decision_from_json,
    garment_words,
    length_words,
    note_words,
)


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
        chosen = {
            "size": found.size.answer,
            "cup": found.cup.answer,
            "length": found.length_class.answer,
        }
        bra = found.designation.bra
        made_for = gettext(
            "For {garment}, by the {block}.",
            garment=garment_words(found.garment),
            block=block_words(found.block),
        )
        return cls(
            headline=gettext("Size {size}; sewing cup {cup}; {length}", **chosen)
            if bra is None
            else gettext(
                "Size {size}; sewing cup {cup} (bra cup: {bra}); {length}", bra=bra, **chosen
            ),
            made_for=f"{made_for} {note_words(found.block_note)}".rstrip(),
            steps=[
                SizeStep(title=step.title, answer=step.answer, reason=step.reason)
                for step in (*found.reasons, *found.remarks)
            ],
        )


def in_brief(record: Sitting) -> str | None:
    """Size, cup and length in few words; None where no size is decided."""
    if record.decision is None:
        return None
    found = decision_from_json(record.decision)
    return gettext(
        "size {size}, cup {cup}, {length}",
        size=_either(found.size),
        cup=_either(found.cup),
        length=_either(found.length_class, length_words),
    )


def _either(choice: Choice, words: Callable[[str], str] = str) -> str:
    """What was chosen, or the other one where it is open."""
    if choice.alternative is None:
        return words(choice.name)
    return gettext("{name} or {other}", name=words(choice.name), other=words(choice.alternative))
