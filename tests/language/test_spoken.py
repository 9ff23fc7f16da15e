"""Saying things in a language: who speaks, what is put in, names in the form that is asked for."""

import threading
from gettext import NullTranslations

import pytest

from ellwand.language import Noun, decimal, gettext, ngettext, speaking, spoken_language
from ellwand.language.catalogue import translations


def test_english_is_spoken_unless_somebody_says_otherwise():
    assert spoken_language() == "en"
    assert gettext("{name}: twice", name=Noun("waist")) == "waist: twice"
    assert decimal("92.5") == "92.5"


def test_a_language_is_spoken_inside_and_no_longer_after():
    with speaking("de"):
        assert spoken_language() == "de"
        with speaking("en"):
            assert decimal("92.5") == "92.5"
        assert decimal("92.5") == "92,5"
    assert spoken_language() == "en"


def test_a_mistake_inside_ends_the_language_too():
    with pytest.raises(ZeroDivisionError), speaking("de"):
        _ = 1 / 0
    assert spoken_language() == "en"


def test_another_thread_speaks_its_own_language():
    heard = []
    with speaking("de"):
        thread = threading.Thread(target=lambda: heard.append(spoken_language()))
        thread.start()
        thread.join()
    assert heard == ["en"]


def test_braces_of_hers_stay_as_they_are():
    assert gettext("What she typed is no text to be filled: {0.__class__}") == (
        "What she typed is no text to be filled: {0.__class__}"
    )
    assert gettext("{raw}", raw="{raw.__class__}") == "{raw.__class__}"


def test_a_text_that_no_catalogue_has_is_said_in_english():
    with speaking("de"):
        assert gettext("no catalogue has this") == "no catalogue has this"
        assert ngettext("{number} such thing", "{number} such things", 3) == "3 such things"


@pytest.mark.parametrize(
    ("form", "full_bust", "arm_length"),
    [
        ("", "Brustumfang", "Armlänge"),
        ("der", "der Brustumfang", "die Armlänge"),
        ("den", "den Brustumfang", "die Armlänge"),
        ("dem", "dem Brustumfang", "der Armlänge"),
    ],
)
def test_a_name_stands_in_the_form_that_the_sentence_asks_for(form, full_bust, arm_length):
    with speaking("de"):
        assert format(Noun("full bust"), form) == full_bust
        assert format(Noun("arm length"), form) == arm_length
    assert format(Noun("full bust"), form) == "full bust"


def test_who_speaks_english_reads_no_catalogue():
    assert type(translations("en", "service")) is NullTranslations
