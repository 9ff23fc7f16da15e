"""How each measurement is taken: whole, in plain sentences, and in line with the definitions."""

import re

import pytest

from ellwand.language import LANGUAGES, speaking
from ellwand.measurements import KINDS, LEVELS
from ellwand.screen import beforehand_lines, how_to_lines
from ellwand.shown import showing_first
from ellwand.tape import BEFORE, CAUTIONS, HOW_TOS, HowTo

EACH = pytest.mark.parametrize("how", HOW_TOS.values(), ids=HOW_TOS)


def sentences(how: HowTo) -> tuple[str, ...]:
    """All texts of one."""
    return (*(words for _, words in how.parts()), *how.wrong)


def test_every_measurement_has_one() -> None:
    assert list(HOW_TOS) == list(KINDS)


@EACH
def test_each_part_is_a_whole_sentence_with_nothing_left_out(how: HowTo) -> None:
    assert len(how.wrong) >= 2
    for words in sentences(how):
        assert re.fullmatch(r"[A-Z].*[.]", words)
        assert "  " not in words
        # A sentence that a reader takes in at once, on a phone.
        assert all(len(one.split()) <= 45 for one in re.split(r"[.:;] ", words)), words


@pytest.mark.parametrize("code", LEVELS)
def test_a_girth_of_the_trunk_is_checked_at_the_back_and_by_one_finger(code: str) -> None:
    how = HOW_TOS[code]
    assert "mirror" in how.level
    assert "timer" in how.level
    assert "one finger" in how.tight
    assert any("slipped down at the back" in words or "slid up" in words for words in how.wrong)


@pytest.mark.parametrize("code", ["waist", "high_hip", "back_waist_length", "waist_to_hip"])
def test_what_hangs_on_the_waist_begins_at_the_elastic(code: str) -> None:
    assert "elastic" in HOW_TOS[code].where


def test_the_definitions_are_those_of_the_measurements() -> None:
    for code, words in {
        "high_bust": ("straight under", "above the bust"),
        "full_bust": ("fullest part of the bust",),
        "underbust": ("Directly below the bust",),
        "waist": ("come to rest", "lowest ribs", "hip bone"),
        "high_hip": ("9 cm", "hip bones"),
        "full_hip": ("seat stands out furthest",),
    }.items():
        for one in words:
            assert one in HOW_TOS[code].where, code


@pytest.mark.parametrize("word", ["adults only", "pins", "round your neck", "dizzy", "breath"])
def test_the_cautions_are_told(word: str) -> None:
    assert any(word in one for one in CAUTIONS)


@pytest.mark.parametrize("word", ["elastic", "mirror", "timer", "Breathe out gently", "once more"])
def test_what_is_done_beforehand_is_told(word: str) -> None:
    assert any(word in one for one in BEFORE)


def test_who_measures_in_inches_reads_inches_first() -> None:
    with showing_first("in"):
        assert "Measure 3 1/2 in (9 cm) straight down" in HOW_TOS["high_hip"].where
        assert "by about 1 1/2 in (4 cm)." in HOW_TOS["underbust"].wrong[0]
        lines = [*how_to_lines("high_hip", {}), *beforehand_lines()]
    assert "high hip: over the hip bones, 3 1/2 in (9 cm) below the waist" in lines
    assert re.search(r"if 12 in \(30 cm\) of\s", " ".join(lines))
    with showing_first("in"), speaking("de"):
        assert "Messen Sie auf beiden Seiten vom Gummiband aus 3 1/2 Zoll (9 cm)" in (
            HOW_TOS["high_hip"].where
        )


@EACH
def test_a_fixed_length_has_centimetres_first_as_it_is_written(how: HowTo) -> None:
    """Only so its order can be turned."""
    for language in LANGUAGES:
        with speaking(language):
            said = " ".join(sentences(how))
            with showing_first("in"):
                turned = " ".join(sentences(how))
        assert len(re.findall(r"\d cm", said)) == len(re.findall(r"\(\d+ cm\)", turned))
