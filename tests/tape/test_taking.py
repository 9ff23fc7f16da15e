"""Who held the tape and what was worn under it: in words, and what clothes do to the numbers."""

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.measurements import KINDS, LEVELS
from ellwand.tape import HOW_TOS, MeasuredBy, Taken, Worn, taken_words, worn_remarks, worn_words
from ellwand.tape.taking import CLOTHED, OVER_BRA

WORN = get_args(Worn)
Layers = dict[str, frozenset[Worn]]


def layers(**worn: Worn) -> Layers:
    """What lay under each measurement, one thing each."""
    return {code: frozenset({one}) for code, one in worn.items()}


@pytest.mark.parametrize(
    ("measured_by", "worn", "of_her", "to_her"),
    [
        ("herself", "bra", "by herself, in an unpadded bra",
         "by yourself, in an unpadded bra"),
        ("somebody", "nothing", "by somebody with her, on bare skin",
         "by somebody with you, on bare skin"),
        ("herself", "untold", "by herself", "by yourself"),
        ("untold", "thick", "in a blouse or thicker", "in a blouse or thicker"),
        ("untold", "untold", "", ""),
    ],
)  # fmt: skip
def test_who_measured_and_what_was_worn_is_told_in_few_words(
    measured_by: MeasuredBy, worn: Worn, of_her: str, to_her: str
) -> None:
    taken = Taken(measured_by, worn)
    assert taken_words(taken) == of_her
    assert taken_words(taken, "you") == to_her


def test_every_answer_but_none_has_words_of_its_own() -> None:
    told = [taken_words(Taken(worn=worn)) for worn in WORN if worn != "untold"]
    told += [taken_words(Taken(by)) for by in get_args(MeasuredBy) if by != "untold"]
    assert all(told)
    assert len(set(told)) == len(told)


def test_clothes_are_asked_only_where_they_lie_under_the_tape() -> None:
    assert set(LEVELS) <= CLOTHED < set(KINDS)
    for code in ("stature", "arm_length", "upper_arm", "wrist", "hand", "inside_leg"):
        assert Taken("herself", "bra").at(code) == Taken("herself")
        assert "The bra" not in HOW_TOS[code].wear
    assert Taken("herself", "thick").at("waist") == Taken("herself", "thick")


@pytest.mark.parametrize("worn", ["bra", "padded-bra"])
def test_a_bra_is_told_only_where_it_lies_under_the_tape(worn: Worn) -> None:
    assert OVER_BRA < CLOTHED
    assert {"high_bust", "full_bust", "underbust"} <= OVER_BRA
    for code in KINDS:
        told = Taken("herself", worn) if code in OVER_BRA else Taken("herself")
        assert Taken("herself", worn).at(code) == told


@pytest.mark.parametrize("code", KINDS)
def test_thick_cloth_is_remarked_on_at_girths_of_the_trunk(code: str) -> None:
    found = worn_remarks(code, {code: frozenset({"thick", "bra"})})
    assert [(one.code, one.rule, one.blocks) for one in found] == (
        [(code, "worn", False)] if code in LEVELS else []
    )
    assert all(KINDS[code].name in one.sentence for one in found)


def test_padding_is_remarked_on_at_the_full_bust_alone() -> None:
    for code in LEVELS:
        found = worn_remarks(code, {code: frozenset({"padded-bra"})})
        assert ["padded bra" in one.sentence for one in found] == [True] * (code == "full_bust")


@pytest.mark.parametrize("high", WORN)
@pytest.mark.parametrize("full", WORN)
def test_a_cup_of_two_girths_over_different_things_is_remarked_on(high: Worn, full: Worn) -> None:
    worn = layers(high_bust=high, full_bust=full)
    told = [one for one in worn_remarks("full_bust", worn) if one.against == "high_bust"]
    # Nothing is said where one of both is not known.
    assert bool(told) == (high != full and "untold" not in (high, full))
    assert all("sewing cup" in one.sentence for one in told)
    assert not any(one.against for one in worn_remarks("high_bust", worn))


@pytest.mark.parametrize(
    ("high", "full", "again"),
    [("thick", "bra", "high bust"), ("bra", "close-top", "full bust"), ("thick", "close-top", None),
     ("bra", "padded-bra", None)],
)  # fmt: skip
def test_what_was_measured_in_the_bra_is_not_asked_for_again(
    high: Worn, full: Worn, again: str | None
) -> None:
    (told,) = [
        one
        for one in worn_remarks("full_bust", layers(high_bust=high, full_bust=full))
        if one.against == "high_bust"
    ]
    asked = "both" if again is None else f"the {again}"
    assert told.advice.startswith(f"Measure {asked} again in the bra")


def test_repeats_over_different_things_make_the_cup_doubtful_too() -> None:
    worn: Layers = {"high_bust": frozenset({"bra"}), "full_bust": frozenset({"bra", "close-top"})}
    (told,) = worn_remarks("full_bust", worn)
    assert told.against == "high_bust"
    assert worn_remarks("full_bust", layers(full_bust="bra")) == ()


def test_what_holds_for_several_girths_is_told_once() -> None:
    worn = layers(waist="thick", full_hip="thick", wrist="thick", high_bust="bra", full_bust="bra")
    (told,) = worn_words(worn)
    assert told.startswith("Measured in a blouse or thicker: waist, full hip. The cloth")


@given(st.dictionaries(st.sampled_from(list(KINDS)), st.frozensets(st.sampled_from(WORN))))
def test_no_remark_about_one_measurement_is_missing_in_the_words_about_all(worn: Layers) -> None:
    remarks = [one for code in KINDS for one in worn_remarks(code, worn)]
    words = worn_words(worn)
    assert bool(remarks) == bool(words)
    for one in remarks:
        assert one.advice in " ".join(words)
        assert not one.blocks
