"""How one person alone takes each measurement with a tape, said in her language."""

from dataclasses import dataclass

from ellwand.language import gettext
from ellwand.shown import in_her_order
from ellwand.tape.howto_texts import WRITTEN, Texts, Written


@dataclass(frozen=True)
class HowTo:
    """How one measurement is taken, in the language spoken when it is asked.

    Its drawing is the group of its code in the page's howto.svg.

    Args:
        written: its texts.
    """

    written: Written

    @property
    def code(self) -> str:
        """Key of `measurements.KINDS`."""
        return self.written.code

    @property
    def where(self) -> str:
        """Where the tape goes."""
        return _said(self.written.where)

    @property
    def wear(self) -> str:
        """What to wear."""
        return _said(self.written.wear)

    @property
    def level(self) -> str:
        """How to see that it lies level, or straight."""
        return _said(self.written.level)

    @property
    def tight(self) -> str:
        """How tight it lies."""
        return _said(self.written.tight)

    @property
    def wrong(self) -> tuple[str, ...]:
        """What goes wrong, a sentence each."""
        return tuple(in_her_order(gettext(text)) for text in self.written.wrong)

    def parts(self) -> tuple[tuple[str, str], ...]:
        """Headings and texts, in the order in which they are told; what goes wrong comes after."""
        return (
            (gettext("Where the tape goes"), self.where),
            (gettext("What to wear"), self.wear),
            (gettext("Does it lie right?"), self.level),
            (gettext("How tight"), self.tight),
        )


def _said(texts: Texts) -> str:
    every = (texts,) if isinstance(texts, str) else texts
    return " ".join(in_her_order(gettext(text)) for text in every)


HOW_TOS: dict[str, HowTo] = {one.code: HowTo(one) for one in WRITTEN}
