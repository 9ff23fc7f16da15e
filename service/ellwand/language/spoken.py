"""Saying a text in the language that is spoken here and now."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from gettext import NullTranslations
from typing import Any

from ellwand.language.catalogue import WRITTEN_IN, Language, translations

_spoken: ContextVar[Language] = ContextVar("spoken", default=WRITTEN_IN)


@contextmanager
def speaking(language: Language) -> Iterator[None]:
    """Say everything inside in a language, in this thread or task alone."""
    before = _spoken.set(language)
    try:
        yield
    finally:
        _spoken.reset(before)


def spoken_language() -> Language:
    """The language that is spoken."""
    return _spoken.get()


def gettext(text: str, **values: Any) -> str:
    """Say a text.

    Args:
        text: in English, literally as it stands in the catalogues, with names in braces.
        values: what is put in place of the names; without any, braces stay as they are.

    Returns:
        The text in the language that is spoken.

    >>> gettext("{name} is {value}", name=Noun("waist"), value="80 cm")
    'waist is 80 cm'
    """
    # Nothing stands in a catalogue for what it tells of itself.
    return _filled(_found().gettext(text) if text else text, values)


def ngettext(one: str, other: str, number: int, **values: Any) -> str:
    """Say a text that goes with a number, which is put in as {number}.

    >>> ngettext("{number} girth", "{number} girths", 2)
    '2 girths'
    """
    return _filled(_found().ngettext(one, other, number), {"number": number, **values})


def gettext_noop(text: str) -> str:
    """Mark a text for the catalogues that is said somewhere else."""
    return text


def decimal(number: str) -> str:
    """A number as it is written, with the mark that parts decimals in the language spoken.

    Args:
        number: with a point, such as "92.5".
    """
    return number.replace(".", _found().pgettext("decimal mark", "."))


def inch_sign() -> str:
    """What is written behind a number of inches: "in" is a word in other languages."""
    return _found().pgettext("sign of the inch", "in")


# English names that have their article within them.
_WITH_ARTICLE = {"across shoulders": "across the shoulders"}


class Noun(str):
    """A name that is put into sentences: in the plain form, or in the one that a sentence asks for.

    A sentence of a catalogue may ask for a form by what stands before the name in that language:
    "{name:den}" is looked up under the context "den". In English "{name:the}" has its article.

    >>> gettext("Measure {name:the} again.", name=Noun("across shoulders"))
    'Measure across the shoulders again.'
    """

    __slots__ = ()

    def __format__(self, form: str) -> str:
        """The name in a form of the language spoken."""
        found, name = _found(), str(self)
        said = found.pgettext(form, name) if form else found.gettext(name)
        # English stands in no catalogue.
        return _WITH_ARTICLE.get(name, f"the {name}") if (form, said) == ("the", name) else said


def _found() -> NullTranslations:
    return translations(_spoken.get(), "service")


def _filled(text: str, values: dict[str, Any]) -> str:
    return text.format(**values) if values else text
