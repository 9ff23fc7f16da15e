"""A language for tests: each text of a catalogue stands in brackets, so that what is not looked up
shows."""

import re
from collections.abc import Sequence
from gettext import NullTranslations

OPENS, CLOSES = "⟦", "⟧"
# Nothing that anybody says: what stands for itself in every language.
FOR_ITSELF = (
    r"cm|mm|in|m|kg|lb|st|ft|ellwand|A[45]|Letter|PDF|JSON|HTML|e-mail|English|Deutsch"
    r"|[A-Z]{1,2}\+*"
)


class Bracketed(NullTranslations):
    """Every text in brackets; a decimal comma, so that numbers that are not looked up show, too."""

    def gettext(self, message: str) -> str:
        """The text itself, in brackets."""
        return f"{OPENS}{message}{CLOSES}"

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        """The form of English, in brackets."""
        return self.gettext(msgid1 if n == 1 else msgid2)

    def pgettext(self, context: str, message: str) -> str:
        """A form of a name, in brackets; a comma for the decimal mark."""
        return "," if context == "decimal mark" else self.gettext(message)


def not_looked_up(text: str, own: Sequence[str] = ()) -> list[str]:
    """Words outside of all brackets.

    Args:
        text: what was said.
        own: words of hers, of the block or of the test, that stand for themselves.

    Returns:
        What is left, word by word; nothing where all was looked up.
    """
    for word in sorted(own, key=len, reverse=True):
        text = text.replace(word, " ")
    before = ""
    while before != text:
        before, text = text, re.sub(rf"{OPENS}[^{OPENS}{CLOSES}]*{CLOSES}", " ", text)
    return [
        word for word in re.findall(r"[^\W\d_]+\+*", text) if not re.fullmatch(FOR_ITSELF, word)
    ]
