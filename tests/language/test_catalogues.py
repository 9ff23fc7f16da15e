"""The catalogues: whole, and each translation with the same things in it as what it translates."""

import re
import string
from collections import Counter, defaultdict
from html.parser import HTMLParser

import pytest

from ellwand.language import DOMAINS, LANGUAGES, WRITTEN_IN
from ellwand.language.catalogue import path_of, read
from ellwand.language.gathering import gathered, put_together, updated
from ellwand.measurements import KINDS

CATALOGUES = [
    pytest.param(language, domain, id=f"{language}-{domain}")
    for language in LANGUAGES
    for domain in DOMAINS
    if language != WRITTEN_IN
]
# What stands before a name in a German sentence; English has no such forms.
FORMS = {"de": ("der", "den", "dem")}


def names_in(text):
    """Names in braces, however often, without the form that is asked for."""
    return {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}


class Tags(HTMLParser):
    def __init__(self):
        super().__init__()
        self.found = Counter()

    def handle_starttag(self, tag, attrs):
        self.found[tag, *sorted(attrs)] += 1

    def handle_endtag(self, tag):
        self.found["/", tag] += 1


def tags_in(text):
    tags = Tags()
    tags.feed(text)
    return tags.found


def entries(language, domain):
    for entry in read(language, domain):
        if entry.id and not entry.context:
            ids, strings = (
                [one] if isinstance(one, str) else one for one in (entry.id, entry.string)
            )
            yield entry, ids, strings


@pytest.mark.parametrize(("language", "domain"), CATALOGUES)
def test_a_catalogue_has_what_is_said_and_nothing_else(language, domain):
    # Where this fails: `python -m ellwand.language.gathering`, then translate what is empty.
    there = [entry.id for entry in read(language, domain) if entry.id and not entry.context]
    assert sorted(map(str, there)) == sorted(map(str, gathered(domain)))


@pytest.mark.parametrize(("language", "domain"), CATALOGUES)
def test_nothing_is_left_untranslated(language, domain):
    open_ones = [
        ids for entry, ids, strings in entries(language, domain) if entry.fuzzy or not all(strings)
    ]
    assert open_ones == []


@pytest.mark.parametrize(("language", "domain"), CATALOGUES)
def test_a_translation_is_filled_with_the_same_values(language, domain):
    for _, ids, strings in entries(language, domain):
        allowed = set().union(*map(names_in, ids))
        for text in strings:
            # "one" may leave its number out, in either language.
            assert names_in(text) - {"number"} == allowed - {"number"}, text


@pytest.mark.parametrize("language", [one for one in LANGUAGES if one != WRITTEN_IN])
def test_a_translation_asks_for_forms_of_names_that_there_are(language):
    asked = {
        form
        for _, _, strings in entries(language, "service")
        for text in strings
        for _, _, form, _ in string.Formatter().parse(text)
        if form
    }
    assert asked <= set(FORMS[language])
    have = {(one.context, one.id) for one in read(language, "service") if one.context}
    for form in FORMS[language]:
        assert {kind.name for kind in KINDS.values()} <= {
            name for context, name in have if context == form
        }


@pytest.mark.parametrize("language", [one for one in LANGUAGES if one != WRITTEN_IN])
def test_a_translation_has_the_tags_of_its_text(language):
    for _, ids, strings in entries(language, "page"):
        assert tags_in(strings[0]) == tags_in(ids[0]), strings[0]


@pytest.mark.parametrize(("language", "domain"), CATALOGUES)
def test_a_translation_begins_and_ends_as_its_text_does(language, domain):
    for _, ids, strings in entries(language, domain):
        for text in strings:
            assert text == text.strip()
            assert "  " not in text
            for mark in ".:?…":
                assert text.endswith(mark) == ids[0].endswith(mark), text


@pytest.mark.parametrize("language", [one for one in LANGUAGES if one != WRITTEN_IN])
def test_what_several_domains_say_is_the_same_in_each(language):
    said = defaultdict(set)
    for domain in DOMAINS:
        for _, ids, strings in entries(language, domain):
            for text, translation in zip(ids, strings, strict=True):
                said[text].add(translation)
    assert {text: found for text, found in said.items() if len(found) > 1} == {}


def test_german_has_its_own_marks():
    for domain in DOMAINS:
        for _, _, strings in entries("de", domain):
            for text in strings:
                plain = re.sub(r"<[^>]*>", "", text)
                assert not re.search("[“”](?=\\w)", plain.replace("„", "")) or "„" in plain, text
                assert not re.search(r"\d\.\d", plain), f"a decimal point: {text}"


def test_no_text_is_put_together_where_it_is_said():
    assert put_together() == []


def test_a_catalogue_that_is_brought_up_to_date_keeps_what_was_translated():
    old = read("de", "service")
    now = updated(old, ["waist", "this is new"])
    assert now.get("waist").string == "Taillenumfang"
    assert now.get("this is new").string == ""
    assert now.get("full bust", context="den").string == "den Brustumfang"
    assert now.get("height") is None


def test_each_catalogue_lies_where_it_is_looked_for():
    for language in LANGUAGES:
        for domain in DOMAINS:
            assert path_of(language, domain).is_file() == (language != WRITTEN_IN)
