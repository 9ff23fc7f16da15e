"""The language that sentences are said in: English in the code, others from gettext catalogues.

A sentence stands in the code in English and is looked up as it stands there. Who speaks says so
once, at the edge, with `speaking`; all that is said inside follows.
"""

from ellwand.language.catalogue import DOMAINS, LANGUAGES, WRITTEN_IN, Language
from ellwand.language.spoken import (
    Noun,
    decimal,
    gettext,
    gettext_noop,
    inch_sign,
    ngettext,
    speaking,
    spoken_language,
)

__all__ = [
    "DOMAINS",
    "LANGUAGES",
    "WRITTEN_IN",
    "Language",
    "Noun",
    "decimal",
    "gettext",
    "gettext_noop",
    "inch_sign",
    "ngettext",
    "speaking",
    "spoken_language",
]
