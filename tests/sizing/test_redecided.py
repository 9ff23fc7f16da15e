"""What is different in two size decisions, in words."""

from dataclasses import replace
from typing import get_args

import pytest

from ellwand.sizing import Decision, decide, demo_block, redecided
from ellwand.sizing.block import EaseLevel
from ellwand.sizing.decision import Change, ChangeCode

from .customers import on_block

BLOCK = demo_block()


def decided(size: str, garment: str = "blouse", **others: float) -> Decision:
    return decide(on_block(size, **others), {}, BLOCK, garment)


def told(old: Decision, new: Decision) -> dict[str, tuple[str | None, str | None]]:
    return {row.title: (row.old, row.new) for row in redecided(old, new)}


def test_the_same_decision_has_no_difference() -> None:
    assert redecided(decided("4"), decided("4")) == ()


def test_another_size_is_told() -> None:
    assert told(decided("4"), decided("5"))["size"] == ("4", "5")


def test_another_length_class_is_told_with_what_it_changes() -> None:
    found = told(decided("4"), decided("4", stature=1560.0))
    assert found["length class"] == ("regular", "petite")
    old, new = found["shorten at the waist"]
    assert old is None
    assert new is not None
    assert new.endswith(" in)")


def test_a_fuller_bust_is_another_cup_and_an_adjustment() -> None:
    full = BLOCK.sizes[3].full_bust_mm
    found = told(decided(BLOCK.sizes[3].name), decided(BLOCK.sizes[3].name, full_bust=full + 80))
    assert "sewing cup" in found
    assert "size" not in found


def test_a_wider_hip_brings_a_grading_and_no_second_line_for_it() -> None:
    hip = next(one.full_hip_mm for one in BLOCK.sizes if one.name == "6")
    found = told(decided("4"), decided("4", full_hip=hip))
    assert found["grading at the full hip"] == (None, "size 6")
    assert not any(title.startswith("grade ") for title in found)


def test_another_garment_and_cloth_are_told_first() -> None:
    old, new = decided("4"), decided("4", "sheer-blouse")
    rows = redecided(old, new)
    assert rows[0].title == "garment"
    assert (rows[0].old, rows[0].new) == ("blouse", "sheer blouse")
    cloth = replace(old, fabric="drapey-woven")
    assert told(old, cloth) == {"cloth": (old.fabric, "drapey woven")}
    assert told(old, replace(old, block="Another block"))["block"] == (BLOCK.name, "Another block")


@pytest.mark.parametrize(
    ("low_mm", "high_mm", "words"),
    [
        (20.0, 20.0, "2.0 cm (3/4 in)"),
        (10.0, 20.0, "between 1.0 cm (3/8 in) and 2.0 cm (3/4 in)"),
        (-20.0, -20.0, "2.0 cm (3/4 in) narrower"),
        (-20.0, -10.0, "between 1.0 cm (3/8 in) and 2.0 cm (3/4 in) narrower"),
        (-10.0, 20.0, "from 1.0 cm (3/8 in) narrower to 2.0 cm (3/4 in) wider"),
    ],
)
def test_amounts_are_told_with_their_direction(low_mm: float, high_mm: float, words: str) -> None:
    plain = replace(decided("4"), changes=(), grading=())
    change = Change("grade", "waist", low_mm, high_mm, 4, "why")
    assert told(plain, replace(plain, changes=(change,))) == {
        "grade between sizes at the waist": (None, words)
    }


def test_amounts_that_read_the_same_are_the_same_and_others_are_not() -> None:
    plain = replace(decided("4"), changes=(), grading=())

    def letting_out(mm: float) -> Decision:
        return replace(plain, changes=(Change("let-out", "hem", mm, mm, 4, "why"),))

    assert redecided(letting_out(20.0), letting_out(20.04)) == ()
    assert told(letting_out(20.0), letting_out(30.0)) == {
        "let out at the hem": ("2.0 cm (3/4 in)", "3.0 cm (1 1/8 in)")
    }


def test_two_changes_of_a_kind_at_one_place_stand_in_one_line() -> None:
    plain = replace(decided("4"), changes=(), grading=())
    both = tuple(Change("lengthen", "waist", mm, mm, 1, "why") for mm in (10.0, 20.0))
    assert told(plain, replace(plain, changes=both)) == {
        "lengthen at the waist": (None, "1.0 cm (3/8 in) and 2.0 cm (3/4 in)")
    }


def test_a_decision_from_before_drafted_cups_lacks_that_line_only() -> None:
    new = decided("4")
    assert told(replace(new, cut_cup=None), new) == {"cup that is cut": (None, new.cut_cup)}


def test_the_other_way_round_old_and_new_change_places_and_nothing_else() -> None:
    some = [
        decided("4"),
        decided("5", stature=1800.0, full_bust=1080.0),
        decided("4", "sheer-blouse", full_hip=1150.0),
        decided("8", "camisole", stature=1560.0),
    ]
    for one in some:
        for other in some:
            there, back = redecided(one, other), redecided(other, one)
            assert [replace(row, old=row.new, new=row.old) for row in there] == list(back)
            assert bool(there) == (one is not other)


def test_every_answer_of_a_decision_can_be_told() -> None:
    """A kind of change or level without a place in the order would be passed over."""
    plain = replace(decided("4"), changes=(), grading=())
    for code in get_args(ChangeCode):
        for level in (*get_args(EaseLevel), "hem", "sleeve"):
            change = Change(code, level, 10.0, 10.0, 1, "why")
            assert len(redecided(plain, replace(plain, changes=(change,)))) == 1
