"""Names of measurements in German sentences: each in the form that the sentence asks for."""

import re
import string

import pytest

from ellwand.language import DOMAINS
from ellwand.language.catalogue import read
from ellwand.measurements import KINDS

SERVICE = read("de", "service")
NAMES = sorted(kind.name for kind in KINDS.values())
# What may be a measurement in a sentence that is filled in.
HOLDS_A_NAME = ("name", "names", "here", "other", "level", "upper", "lower", "last")
# Words after which a name is no longer in the form that stands alone: "der hoher Hüftumfang".
BEFORE = re.compile(
    r"\b(?:d(?:er|ie|as|en|em|es)|(?:ein|kein|ihr|sein|unser)(?:e[mnrs]?)?"
    r"|(?:dies|jen|jed|welch)e[mnrs]?|[iav]m|zum|zur|vom|beim"
    r"|an|auf|bei|durch|für|gegen|mit|nach|neben|ohne|statt|über|um|unter|von|vor|wegen)$",
    re.IGNORECASE,
)
ADJECTIVES = ("hoher", "hohe", "hohes", "hohen", "hohem")
ARTICLES = {
    "der": ("der", "die", "das"),
    "den": ("den", "die", "das"),
    "dem": ("dem", "der", "dem"),
}


def said(name: str, form: str = "") -> str:
    """A name in a form, as the catalogue has it."""
    entry = SERVICE.get(name, context=form or None)
    assert entry is not None
    return str(entry.string)


def filled(text: str, name: str) -> str:
    """A German sentence with one name wherever a name may stand, all else left out."""
    words = ""
    for literal, field, form, _ in string.Formatter().parse(text):
        words += literal
        if field in HOLDS_A_NAME:
            words += said(name, form or "")
    return words


def sentences() -> list[str]:
    """All German sentences that a name may stand in."""
    found = []
    for domain in DOMAINS:
        for entry in read("de", domain):
            if entry.id and not entry.context:
                both = [entry.string] if isinstance(entry.string, str) else entry.string or ()
                found += [text for text in both if any("{" + one in text for one in HOLDS_A_NAME)]
    return found


def wrongly_bent(text: str, name: str) -> bool:
    """Whether a name stands in the form that it has alone where another one belongs."""
    alone = said(name)
    before = (text[: at.start()].rstrip(" ") for at in re.finditer(re.escape(alone), text))
    return alone.split()[0] in ADJECTIVES and any(BEFORE.search(words) for words in before)


def test_the_sentences_are_found() -> None:
    assert len(sentences()) > 60
    assert "Messen Sie den hohen Hüftumfang noch einmal, , und" in " ".join(
        filled(text, "high hip") for text in sentences()
    )


def test_a_wrong_form_is_noticed() -> None:
    assert wrongly_bent(filled("Nach den Fotos liegt der {name} hier.", "high hip"), "high hip")
    assert not wrongly_bent(filled("Hier liegt {name:der}.", "high hip"), "high hip")


@pytest.mark.parametrize("name", NAMES)
def test_each_sentence_has_each_name_in_its_form(name: str) -> None:
    assert [text for text in sentences() if wrongly_bent(filled(text, name), name)] == []


def test_no_article_stands_before_a_name_that_brings_none() -> None:
    # "der Körpergröße" is as wrong as "der hoher Hüftumfang": gender is not known beforehand.
    article = re.compile(
        r"\b(?:[Dd](?:er|ie|as|en|em|es)|[Ee]in\w*|[Dd]ies\w+) \{(?:name|here|level)\}"
    )
    assert [text for text in sentences() if article.search(text)] == []


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("form", ARTICLES)
def test_each_form_has_the_article_of_its_gender(name: str, form: str) -> None:
    article, *rest = said(name, form).split()
    gender = ARTICLES["der"].index(said(name, "der").split()[0])
    assert article == ARTICLES[form][gender]
    *adjectives, noun = rest
    assert noun == said(name).split()[-1]
    assert [one.lower() for one in adjectives] == (
        [] if not said(name).split()[:-1] else ["hohe" if form == "der" else "hohen"]
    )
