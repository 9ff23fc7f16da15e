"""A language that shows what is said: every text of a catalogue stands in brackets.

What a text is filled with is not, unless it comes from a catalogue itself. What is left outside is
what she typed, numbers and units, or a text that no catalogue has.
"""

import re
import string
import sys
from gettext import NullTranslations

import pytest

# Units and marks of units are no words.
_NO_WORD = re.compile(r"\b(?:mm|cm|m|in|ft|lb|st|kg)\b")


class Bracketed(NullTranslations):
    """The catalogue."""

    def gettext(self, message: str) -> str:
        return _bracketed(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return _bracketed(msgid1 if n == 1 else msgid2)

    def pgettext(self, context: str, message: str) -> str:
        return message if context == "decimal mark" else _bracketed(message)


def speak_it(patch: pytest.MonkeyPatch) -> None:
    """Say everything in it."""
    # The package has a function of the module's name.
    patch.setattr(sys.modules["ellwand.language.spoken"], "translations", lambda *_: Bracketed())


def not_said(text: str, *typed: str) -> str:
    """What of a text no catalogue has.

    Args:
        text: as it was said.
        typed: what may stand in it as it is.
    """
    left = re.sub("⟦[^⟦⟧]*⟧", " ", text)
    for one in typed:
        left = left.replace(one, "")
    return "".join(re.findall(r"[^\W\d_]+", _NO_WORD.sub("", left)))


def _bracketed(text: str) -> str:
    parts = []
    for literal, name, form, _ in string.Formatter().parse(text):
        parts.append(f"⟦{literal}⟧" if literal else "")
        if name is not None:
            parts.append(f"{{{name}:{form}}}" if form else f"{{{name}}}")
    return "".join(parts)
