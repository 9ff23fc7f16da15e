"""Found by Python at its start where this folder is on its path: German becomes the brackets."""

from babel.messages.catalog import Catalog

import ellwand.language.spoken
from ellwand.language import catalogue
from ellwand.language.gathering import gathered
from tests.pseudo_language import Bracketed


def _read(_language: str, domain: catalogue.Domain) -> Catalog:
    made = Catalog()
    for message in gathered(domain):
        texts = [message] if isinstance(message, str) else list(message)
        said = tuple(Bracketed().gettext(one) for one in texts)
        made.add(message, said[0] if isinstance(message, str) else said)
    made.add(".", ",", context="decimal mark")
    return made


catalogue.read = _read
catalogue.translations = ellwand.language.spoken.translations = lambda *_: Bracketed()
