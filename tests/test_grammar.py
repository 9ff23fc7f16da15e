"""The grammar of entries as it is written down is the one that the parser has.

Source of the notation: RFC 5234 (ABNF). No rule of the grammar is recursive, so that each becomes
a regular expression, mechanically.
"""

import re
import unicodedata
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from ellwand import quantity
from ellwand.errors import EntryProblem
from ellwand.quantity import LONGEST_ENTRY, parse_length, parse_mass
from ellwand.shown import in_both_units

TOKEN = re.compile(
    r'(?P<text>"[^"]*")|%x(?P<hex>[0-9A-F.]+)|(?P<repeat>\d+\*\d+)|(?P<name>[A-Za-z]+)'
    r"|(?P<sign>[()\[\]/])"
)
SIGNS = {"(": "(?:", ")": ")", "[": "(?:", "]": ")?", "/": "|"}
CORE = {"DIGIT": "[0-9]", "SP": " "}


def rules() -> dict[str, str]:
    """The rules of the docstring, by name."""
    found: dict[str, str] = {}
    for line in (quantity.__doc__ or "").splitlines():
        told = re.match(r"    (\w+) += +([^;]+)", line)
        if told:
            found[told[1]] = told[2]
    return found


RULES = rules()


def pattern(name: str) -> str:
    """A rule as a regular expression."""
    if name in CORE:
        return CORE[name]
    parts: list[str] = []
    count = ""
    for token in TOKEN.finditer(RULES[name]):
        if token["repeat"]:
            count = "{" + token["repeat"].replace("*", ",") + "}"
            continue
        if token["sign"]:
            parts.append(SIGNS[token["sign"]])
            continue
        if token["text"]:
            one = re.escape(token["text"][1:-1])
        elif token["hex"]:
            one = "".join(re.escape(chr(int(code, 16))) for code in token["hex"].split("."))
        else:
            one = f"(?:{pattern(token['name'])})"
        parts.append(one + count)
        count = ""
    return "".join(parts)


ENTRY = {name: re.compile(pattern(name)) for name in ("length", "distance", "height", "weight")}
READ: dict[str, Callable[[str], object]] = {
    "length": lambda text: parse_length(text, "cm"),
    "distance": lambda text: parse_length(text, "cm", ("m",)),
    "height": lambda text: parse_length(text, "cm", ("m", "ft")),
    "weight": parse_mass,
}


def plain(text: str) -> str:
    """The spelling that the docstring tells of, written down once more."""
    folded = ""
    for char in text:
        compatible = unicodedata.normalize("NFKC", char)
        if "\u2044" in compatible and char != "\u2044":
            folded += f" {compatible} "
        elif char.isnumeric() and not char.isdecimal():
            folded += "?"
        else:
            folded += char
    folded = unicodedata.normalize("NFKC", folded).replace("\u2044", "/").lower()
    folded = re.sub("[\u2010\u2011\u2013]", "-", folded)
    return re.sub(r"\s+", " ", folded).strip()


# The larger unit, the smaller one beside it, and how many of it are one of the larger.
BESIDE = {"height": ("ft", "in", 12), "weight": ("st", "lb", 14)}
NUMBER = r"[0-9]+(?:[.,][0-9]+\.?|/[0-9]+|(?: ?- ?| )[0-9]+/[0-9]+)?"


def value(number: str) -> Fraction:
    """What a number of the grammar is worth; nothing when its fraction is nothing or not below 1.

    >>> value("36 3/8"), value("36 9/8")
    (Fraction(291, 8), Fraction(0, 1))
    """
    *whole, last = re.split("[ -]+", number)
    if "/" not in last:
        return Fraction(last.rstrip(".").replace(",", "."))
    part = Fraction(last)
    return sum(map(Fraction, whole), part) if 0 < part < 1 else Fraction(0)


def refused_besides(name: str, entry: str) -> bool:
    """Whether an entry of the grammar is one of those that are refused all the same."""
    if re.search(r"[0-9]{1,3},[0-9]{3}(?![0-9])", entry):
        return True
    if name in BESIDE:
        large, small, most = BESIDE[name]
        rest = rf"(?: ?({NUMBER}) ?(?:{pattern(small)})?)?"
        both = re.fullmatch(rf"([0-9]+) ?(?:{pattern(large)}){rest}", entry)
        if both:
            beside = value(both[2] or "0")
            spoilt = "/" in (both[2] or "") and not beside
            return spoilt or beside >= most or int(both[1]) + beside == 0
    number = re.match(NUMBER, entry)
    return number is None or value(number[0]) == 0


def belongs(name: str, text: str) -> bool:
    """Whether a text is an entry, by grammar and by what is refused besides."""
    entry = plain(text)
    fits = len(text) <= LONGEST_ENTRY and ENTRY[name].fullmatch(entry) is not None
    return fits and not refused_besides(name, entry)


def reads(name: str, text: str) -> bool:
    """Whether the parser takes a text."""
    try:
        READ[name](text)
    except EntryProblem:
        return False
    return True


NAMES = st.sampled_from(list(ENTRY))
WORDS = [
    word + stop
    for word in (
        "mm", "millimeter", "millimeters", "millimetre", "millimetres", "cm", "centimeter",
        "centimeters", "centimetre", "centimetres", "m", "meter", "meters", "metre", "metres",
        "millimetern", "centimetern", "zentimeter", "zentimetern", "zentimeters", "metern",
        "in", "inch", "inches", "zoll", "zolls", "ft", "foot", "feet", "fuss", "fu\u00df",
        "fusse", "kg", "kgs", "kilo", "kilos",
        "kilogram", "kilograms", "kilogramm", "kilogramms", "kilogramme", "kilogrammes", "lb",
        "lbs", "pound", "pounds", "st", "stone", "stones", "'", "''", '"', "\u2018", "\u2019",
        "\u201c", "\u201d", "\u201e", "\u2032",
        "\u2033", "\u2032\u2032", "yd", "km", "g", "pt",
    )
    for stop in ("", ".")
]  # fmt: skip
# Signs that entries are made of, and some that only look like them.
PIECES = st.sampled_from(
    [*"0123456789 .,/-'\"mcinftkglbs", "\u2013", "\u2044", "\u00bd", "\u215c", "\u2153", "\u00b2",
     "\u2460", "\uff13", "\u00a0", "36", "3/8", "12/32", "1,680", *WORDS]
)  # fmt: skip
SCRAPS = st.lists(PIECES, max_size=8).map("".join)


@st.composite
def sentences(draw: st.DrawFn) -> tuple[str, str]:
    """A rule and a text that follows it."""
    name = draw(NAMES)
    return name, draw(st.from_regex(ENTRY[name], fullmatch=True))


@settings(max_examples=300)
@given(sentences())
def test_what_the_grammar_makes_is_read_unless_it_is_said_to_be_refused(
    made: tuple[str, str],
) -> None:
    name, text = made
    assume(len(text) <= LONGEST_ENTRY)
    assert reads(name, text) == belongs(name, text)


@settings(max_examples=1000)
@given(NAMES, SCRAPS)
@example("length", "36\u00b2")
@example("length", "\u21532 in")
@example("height", "5''")
@example("height", "5'11.999\"")
@example("height", "1.68 m.")
@example("weight", "11 st 13 31/32 lb")
def test_a_text_is_read_if_and_only_if_the_grammar_has_it(name: str, text: str) -> None:
    assert reads(name, text) == belongs(name, text)


@pytest.mark.parametrize("name", ENTRY)
def test_each_unit_and_each_limit_is_as_it_is_written(name: str) -> None:
    numbers = (
        "12345", "123456", "12345.123456", "1,1234567", "1.", ".5", "1.5", "1,5", "1/2", "1/1",
        "12/32", "01/2", "1/02", "1/64", "001/2", "12345 1/2", "1 - 1/2", "1  1/2", "1-1/2",
        "1.5 1/2",
    )  # fmt: skip
    texts = [f"1{space}{word}" for word in WORDS for space in ("", " ")]
    texts += [number + word for number in numbers for word in ("", " cm", "kg")]
    texts += [f"{large} {large_unit} {small}" for large in ("0", "99", "100")
              for large_unit in WORDS for small in ("0", "11", "12", "13.5", "14")]  # fmt: skip
    texts += [f"5 {large} 6 {small}" for large in WORDS for small in WORDS]
    for text in texts:
        assert reads(name, text) == belongs(name, text), text


@settings(max_examples=400)
@given(NAMES, st.data())
def test_each_spelling_of_a_unit_is_read(name: str, data: st.DataObject) -> None:
    units = {"height": ["ft", "unit"], "weight": ["kg", "lb", "st"]}.get(name, ["unit"])
    unit = data.draw(st.sampled_from(units))
    assert reads(name, "1 " + data.draw(st.from_regex(pattern(unit), fullmatch=True)))


@pytest.mark.parametrize("text", ["36\u00b2 cm", "\u2460 in", "36 \u21532 in", "9\u2082", "\u2169"])
def test_a_figure_that_is_none_of_a_number_is_no_value(text: str) -> None:
    assert not reads("length", text)


def test_every_rule_that_is_written_down_is_used() -> None:
    named = {token["name"] for body in RULES.values() for token in TOKEN.finditer(body)}
    assert set(RULES) - named == {"distance", "height", "weight"}
    assert named - {None} <= set(RULES) | set(CORE)


def told() -> list[tuple[str, str]]:
    """Entries of the README's table, each with what is said of it."""
    readme = (Path(__file__).resolve().parents[1] / "README.md").read_text("utf-8")
    (table,) = re.findall(r"\| typed \| read as \|\n\|[- |]+\n((?:\|.*\n)+)", readme)
    rows = [line.strip("|").split(" | ") for line in table.splitlines()]
    return [(entry, said.strip()) for typed, said in rows for entry in re.findall("`(.+?)`", typed)]


@pytest.mark.parametrize(("entry", "said"), told())
def test_what_the_readme_says_of_an_entry_is_so(entry: str, said: str) -> None:
    if said.startswith("refused"):
        assert not reads("length", entry)
    elif said.startswith("feet"):
        assert reads("height", entry)
        assert not reads("distance", entry)
    else:
        length = parse_length(entry, "cm", ("m", "ft") if "height" in said else ())
        assert said.startswith(in_both_units(length.mm))
