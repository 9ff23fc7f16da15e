"""The picture of the ease: what it shows is what the decision says."""

from xml.etree import ElementTree

import pytest

from ellwand.listing import capital
from ellwand.measurements import KINDS
from ellwand.shown import showing_first
from ellwand.sizing import decide, demo_block, ease_chart, ease_strips

from .test_size_decision import guessed, on_block, taped

SVG = "{http://www.w3.org/2000/svg}"
FIRM = decide(on_block("4", full_hip=1040), {}, demo_block())
OPEN = decide(
    taped(stature=1680, high_bust=880, full_bust=930),
    guessed(waist=(740, 800), full_hip=(960, 1030)),
    demo_block(),
)


@pytest.mark.parametrize("decision", [FIRM, OPEN])
def test_it_is_a_picture_with_a_strip_for_each_level_and_a_title_for_those_who_hear_it(
    decision,
) -> None:
    root = ElementTree.fromstring(ease_chart(decision))  # noqa: S314, made here
    texts = [one.text for one in root.iter(f"{SVG}text")]
    names = [capital(KINDS[row.level].name) for row in decision.ease]
    assert [text for text in texts if text in names] == names
    title = root.find(f"{SVG}title")
    assert title is not None
    assert all(name.lower() in (title.text or "").lower() for name in names)
    assert len([one for one in root.iter(f"{SVG}rect") if one.get("class") == "ease"]) == len(names)
    assert all(float(one.get("width", "-1")) >= 0 for one in root.iter(f"{SVG}rect"))


def test_less_ease_lies_further_left() -> None:
    # Full hip: 990 + 80 - 1040 leaves 30 mm of at least 40; at the full bust it is as drafted, 90.
    places = [
        float(one.get("d", "").split()[0].removeprefix("M"))
        for one in ElementTree.fromstring(ease_chart(FIRM)).iter(f"{SVG}path")  # noqa: S314
        if one.get("class") == "hers"
    ]
    assert places[-1] < places[0]
    least = [
        float(one.get("x", ""))
        for one in ElementTree.fromstring(ease_chart(FIRM)).iter(f"{SVG}rect")  # noqa: S314
        if one.get("class") == "ease"
    ]
    assert places[-1] < least[-1]
    assert places[0] > least[0]


def test_a_bound_is_a_bar_over_both_ends() -> None:
    hers = [
        one.get("d", "")
        for one in ElementTree.fromstring(ease_chart(OPEN)).iter(f"{SVG}path")  # noqa: S314
        if one.get("class") == "hers"
    ]
    assert ["H" in one for one in hers] == [False, True, True]


def test_the_scale_is_in_the_unit_that_is_shown_first() -> None:
    in_cm = ease_strips(OPEN)
    with showing_first("in"):
        in_inches = ease_strips(OPEN)
        assert ">in of ease<" in ease_chart(OPEN)
    assert (in_cm.unit, in_inches.unit) == ("cm of ease", "in of ease")
    for strips, step in ((in_cm, 5), (in_inches, 2)):
        marks = [int(mark.words.replace("\N{MINUS SIGN}", "-")) for mark in strips.steps]
        assert set(marks) == set(range(marks[0], marks[-1] + 1, step))
    # The same places for what is hers; only the scale below is another one.
    assert [(row.start, row.end) for row in in_cm.rows] == [
        (row.start, row.end) for row in in_inches.rows
    ]
    assert in_cm.rows[-1].beside.endswith(" cm")
    assert in_inches.rows[-1].beside.endswith(" in")
