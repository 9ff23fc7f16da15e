"""Catalogues as files: what each English sentence is in another language.

Source: the PO format of GNU gettext, read by Babel.
"""

from functools import cache
from gettext import GNUTranslations, NullTranslations
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal, get_args

if TYPE_CHECKING:
    from babel.messages.catalog import Catalog

Language = Literal["en", "de"]
# What the service says, what stands on its pages, and what the pages' scripts say.
Domain = Literal["service", "page", "scripts"]

LANGUAGES: Final[tuple[Language, ...]] = get_args(Language)
# The language that the code is written in; it has no catalogue.
WRITTEN_IN: Final[Language] = "en"
DOMAINS: Final[tuple[Domain, ...]] = get_args(Domain)


def path_of(language: Language, domain: Domain) -> Path:
    """Where a catalogue lies."""
    return Path(__file__).parent / language / f"{domain}.po"


def read(language: Language, domain: Domain) -> "Catalog":
    """A catalogue as it lies in its file."""
    # Only who speaks another language needs the library.
    from babel.messages.pofile import read_po

    with path_of(language, domain).open("rb") as file:
        return read_po(file, locale=language)


@cache
def translations(language: Language, domain: Domain) -> NullTranslations:
    """A catalogue to look texts up in; what it lacks stays English."""
    if language == WRITTEN_IN:
        return NullTranslations()
    from babel.messages.mofile import write_mo

    compiled = BytesIO()
    write_mo(compiled, read(language, domain))
    compiled.seek(0)
    return GNUTranslations(compiled)
