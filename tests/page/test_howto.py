"""How to measure, on the page: the words are the command's, and each measurement has a drawing."""

import re
from xml.etree import ElementTree

import pytest

from ellwand.api.page import page_folder
from ellwand.language import gettext, speaking
from ellwand.language.catalogue import translations
from ellwand.measurements import KINDS, LEVELS
from ellwand.tape import BEFORE, CAUTIONS

SVG = "{http://www.w3.org/2000/svg}"
FILE = ElementTree.parse(page_folder() / "howto.svg").getroot()  # noqa: S314 (a file of ours)
GROUPS = {one.attrib["id"]: one for one in FILE.iter(f"{SVG}g")}
DRAWINGS = {code: one for code, one in GROUPS.items() if "data-figures" in one.attrib}
# Bytes of a drawing with its figures: quick over a bad line, and drawn by hand.
LARGEST = 4_000
EACH = pytest.mark.parametrize("code", DRAWINGS)


def figures(code: str) -> list[ElementTree.Element]:
    """What a drawing is laid over."""
    return [GROUPS[name] for name in DRAWINGS[code].attrib["data-figures"].split()]


def listed(name: str) -> list[str]:
    """The items of a list in the page."""
    text = (page_folder() / "sitting.html").read_text("utf-8")
    found = re.search(rf'<ul id="{name}"[^>]*>(.*?)</ul>', text, re.DOTALL)
    assert found is not None
    return re.findall(r"<li[^>]*>(.*?)</li>", found[1])


def test_cautions_and_what_comes_before_are_those_of_the_command() -> None:
    assert listed("tape-cautions") == list(CAUTIONS)
    assert listed("tape-before") == list(BEFORE)


@pytest.mark.parametrize("text", [*CAUTIONS, *BEFORE])
def test_they_are_the_same_in_german_too(text: str) -> None:
    on_page = translations("de", "page").gettext(text)
    assert on_page != text
    with speaking("de"):
        assert gettext(text) == on_page


def test_each_measurement_has_a_drawing_and_a_crooked_tape_too() -> None:
    assert set(DRAWINGS) == {*KINDS, "crooked"}


@EACH
def test_a_drawing_is_small_and_says_what_it_shows(code: str) -> None:
    parts = [DRAWINGS[code], *figures(code)]
    assert sum(len(ElementTree.tostring(part)) for part in parts) < LARGEST
    told = DRAWINGS[code].findtext(f"{SVG}desc")
    assert told
    assert re.fullmatch(r"[A-Z].*[.]", told)


@EACH
def test_a_drawing_has_a_tape_with_an_edge_and_marks(code: str) -> None:
    ways = {
        name: one.attrib["d"]
        for one in DRAWINGS[code].iter(f"{SVG}path")
        for name in (one.attrib["class"],)
        if name in ("rim", "band", "ticks")
    }
    assert set(ways) == {"rim", "band", "ticks"}
    assert len(set(ways.values())) == 1


@pytest.mark.parametrize("code", LEVELS)
def test_a_girth_of_the_trunk_is_drawn_level_from_the_front_and_from_the_side(code: str) -> None:
    assert {"trunk", "profile"} <= set(DRAWINGS[code].attrib["data-figures"].split())
    (band,) = [one for one in DRAWINGS[code].iter() if one.attrib.get("class") == "band"]
    (line,) = [one for one in DRAWINGS[code].iter() if one.attrib.get("class") == "even"]
    # Two pieces, both straight across at the height of the dashed line.
    heights = re.findall(r"M[\d.]+ ([\d.]+)h", band.attrib["d"])
    assert len(heights) == 2
    assert set(heights) == set(re.findall(r"M[\d.]+ ([\d.]+)h", line.attrib["d"]))


def test_levels_are_drawn_in_their_order_and_nine_centimetres_below_the_waist() -> None:
    heights = []
    for code in LEVELS:
        (line,) = [one for one in DRAWINGS[code].iter() if one.attrib.get("class") == "even"]
        heights.append(float(line.attrib["d"].split()[1].split("h")[0]))
    assert heights == sorted(heights)
    # A unit is 5 mm; the pen is one and a half wide.
    assert (heights[4] - heights[3]) * 5 == pytest.approx(90, abs=7.5)


def test_no_drawing_brings_colours_styles_or_scripts_of_its_own() -> None:
    for one in FILE.iter():
        assert one.tag in {SVG + name for name in ("svg", "defs", "g", "path", "circle", "desc")}
        assert not set(one.attrib) & {"style", "fill", "stroke", "href", "onload"}


def test_every_class_of_a_drawing_has_its_rule() -> None:
    style = (page_folder() / "style.css").read_text("utf-8")
    named = {one.attrib["class"] for one in FILE.iter() if "class" in one.attrib}
    assert named == set(re.findall(r"\.how-drawing \.([\w-]+)", style))
