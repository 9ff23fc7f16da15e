"""Found by Python at its start where this folder is on its path: German becomes the brackets."""

from gettext import NullTranslations

from babel.messages.catalog import Catalog

import ellwand.language.spoken
from ellwand.language import WRITTEN_IN, Language, catalogue
from tests.pseudo_language import SIGNS, Bracketed

_read, _translations = catalogue.read, catalogue.translations


def _bracketed(language: Language, domain: catalogue.Domain) -> Catalog:
    made, said = Catalog(), Bracketed(domain).gettext
    for entry in _read(language, domain):
        if entry.id and not entry.context:
            counted = not isinstance(entry.id, str)
            made.add(entry.id, tuple(map(said, entry.id)) if counted else said(entry.id))
    for context, sign in SIGNS.items():
        made.add(sign, sign, context=context)
    return made


def _in_brackets(language: Language, domain: catalogue.Domain) -> NullTranslations:
    return _translations(language, domain) if language == WRITTEN_IN else Bracketed(domain)


catalogue.read = _bracketed
catalogue.translations = ellwand.language.spoken.translations = _in_brackets
