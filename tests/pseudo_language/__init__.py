"""A language that shows what is said: every text of the German catalogue stands in brackets.

What a text is filled with does not, unless it comes from a catalogue itself. What is left outside
is what she typed, numbers and units, a text that was not looked up, or one that German lacks.
"""

import re
import string
from functools import cache
from gettext import NullTranslations
from typing import TYPE_CHECKING

from ellwand.language.catalogue import Domain, read

if TYPE_CHECKING:
    import pytest

# What stands for itself in every language: units, letters of cups, names of formats and languages.
FOR_ITSELF = (
    r"cm|mm|m|Zoll|kg|lb|st|ft|ellwand|A[45]|Letter|PDF|JSON|HTML|e-mail|English|Deutsch"
    r"|[A-Z]{1,2}\+*"
)

# What is written in and beside numbers, by context.
SIGNS = {"decimal mark": ",", "sign of the inch": "Zoll"}


@cache
def known(domain: Domain) -> frozenset[str]:
    """Texts that can be said in German."""
    return frozenset(
        text
        for entry in read("de", domain)
        if entry.id and not entry.context and all(_several(entry.string))
        for text in _several(entry.id)
    )


def _several(text: str | tuple[str, ...] | list[str]) -> list[str]:
    return [text] if isinstance(text, str) else list(text)


class Bracketed(NullTranslations):
    """The catalogue.

    Args:
        domain: whose texts it has.
    """

    def __init__(self, domain: Domain = "service") -> None:
        super().__init__()
        self._known = known(domain)

    def gettext(self, message: str) -> str:
        """The text, with each piece of it in brackets and what is put in outside of them."""
        if message not in self._known:
            return message
        pieces = []
        for literal, name, form, _ in string.Formatter().parse(message):
            pieces.append(f"⟦{literal}⟧" if literal else "")
            if name is not None:
                pieces.append(f"{{{name}:{form}}}" if form else f"{{{name}}}")
        return "".join(pieces)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        """The form that English would take."""
        return self.gettext(msgid1 if n == 1 else msgid2)

    def pgettext(self, context: str, message: str) -> str:
        """A form of a name; what no text is in has its German, so that forgotten ones show."""
        return SIGNS.get(context) or self.gettext(message)


def speak_it(patch: "pytest.MonkeyPatch") -> None:
    """Say everything in it."""
    patch.setattr("ellwand.language.spoken.translations", lambda _, domain: Bracketed(domain))


def not_said(text: str, *typed: str) -> list[str]:
    """Words of a text that no catalogue has.

    Args:
        text: as it was said.
        typed: what may stand in it as it is.
    """
    for one in sorted(typed, key=len, reverse=True):
        text = text.replace(one, " ")
    left = re.sub("⟦[^⟦⟧]*⟧", " ", text)
    return [
        word for word in re.findall(r"[^\W\d_]+\+*", left) if not re.fullmatch(FOR_ITSELF, word)
    ]
