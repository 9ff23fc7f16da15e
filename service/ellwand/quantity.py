"""Lengths and weights as people type them: exact in; `shown.py` rounds, where they are shown.

A customer's text is never given to a units library: those take "36 3/8 in" for 13.5 in and
"92,5 cm" for 925 cm. What can be typed, whole, in the notation of RFC 5234 (letters in either
case); `tests/test_grammar.py` reads it from here and holds the parser to it::

    length   = number [[SP] unit]           ; an entry of the tape; a bare number has its unit set
    distance = length / metres              ; a standoff
    height   = length / metres / tall / feet
    weight   = number [SP] (kg / lb) / stones   ; always with its unit: 150 may be either

    number   = decimal / whole / fraction / whole parted fraction
    whole    = 1*5DIGIT
    decimal  = whole ("." / ",") 1*6DIGIT ["."]     ; a stop that ends a sentence
    fraction = 1*2DIGIT "/" ("2" / "4" / "8" / "16" / "32")
    parted   = SP / [SP] "-" [SP]

    metres   = number [SP] m
    tall     = ("1" / "2") [SP] m [SP] 2*2DIGIT [[SP] cm]
    feet     = 1*2DIGIT [SP] ft [[SP] number [[SP] in]]
    stones   = 1*2DIGIT [SP] st [[SP] number [[SP] lb]]

    unit     = mm / cm / in
    m        = "m" / "meter" ["s" / "n"] / "metre" ["s"]
    mm       = ("mm" / "millimeter" ["s" / "n"] / "millimetre" ["s"]) ["."]
    cm       = ("cm" / "centimeter" ["s"] / "centimetre" ["s"] / "zentimeter" ["n"]) ["."]
    in       = ("in" / "inch" / "inches" / "zoll" / inchmark) ["."]
    inchmark = %x22 / "''" / %x2032.2032 / %x201C / %x201D / %x201E
    ft       = ("ft" / "foot" / "feet" / "fuss" / %x66.75.DF / "'" / %x2018 / %x2019 / %x2032) ["."]
    kg       = ("kg" ["s"] / "kilo" ["s"] / "kilogram" ["s" / "m" / "me" ["s"]]) ["."]
    lb       = ("lb" ["s"] / "pound" ["s"]) ["."]
    st       = ("st" / "stone" ["s"]) ["."]

Before that, a text is brought to plain spelling: a character that is a whole fraction (such as
U+215C) becomes figures with a space on either side, all others their compatibility form (NFKC),
but a figure that is raised, lowered or ringed is none; U+2010, U+2011 and U+2013 become a hyphen,
U+2044 a slash, any run of white space one space, and none is left at the ends.

Refused although the grammar has it: more than 20 characters as typed; a comma between one to
three digits and exactly three, because it may part thousands; a fraction that is nothing or not
below 1; 12 inches and more beside feet, 14 pounds and more beside stones; nothing at all, and 0.
"""

import re
import unicodedata
from collections.abc import Collection
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Literal

from ellwand.errors import EntryProblem
from ellwand.language import Noun, gettext, gettext_noop

if TYPE_CHECKING:
    from pint import UnitRegistry

Unit = Literal["mm", "cm", "in"]
LargeUnit = Literal["m", "ft"]

# For the core, which counts in millimetres and needs no units library; a test holds the registry to
# it. The inch is 25.4 mm exactly (international yard and pound agreement, 1959).
MM_PER: dict[Unit, Fraction] = {"mm": Fraction(1), "cm": Fraction(10), "in": Fraction(127, 5)}
LB_PER_STONE = 14
LONGEST_ENTRY = 20
DENOMINATORS = (2, 4, 8, 16, 32)
INCHES_PER_FOOT = 12
CM_PER_M = 100

_DECIMAL = r"[0-9]{1,5}[.,][0-9]{1,6}\.?"
_FRACTION = rf"[0-9]{{1,2}}/(?:{'|'.join(map(str, DENOMINATORS))})"
_NUMBER = rf"(?:{_DECIMAL}|(?:[0-9]{{1,5}}(?:\ *-\ *|\ +))?{_FRACTION}|[0-9]{{1,5}})"
_UNITS = r"(?P<unit>mm|cm|m|in|)"
_LENGTH = re.compile(rf"(?P<number>{_NUMBER})\ *{_UNITS}")
_TALL = re.compile(r"(?P<metres>[12])\ *m\ *(?P<rest>[0-9]{2})\ *(?:cm)?")
_FEET = re.compile(rf"(?P<feet>[0-9]{{1,2}})\ *ft\ *(?:(?P<inches>{_NUMBER})\ *(?:in)?)?")
_FOOT_OF_INCHES = re.compile(r"[0-9]{1,2}\ *ft\ *(?:1[2-9]|[2-9][0-9])(?![0-9/])[^cm]*")
_MASS = re.compile(rf"(?P<number>{_NUMBER})\ *(?P<unit>kg|lb|)")
_STONES = re.compile(rf"(?P<stones>[0-9]{{1,2}})\ *st\ *(?:(?P<pounds>{_NUMBER})\ *(?:lb)?)?")
# Feet and inches typed as one number; from 6 ft on only where they are parted, because 62 is 62 in.
_RUN_TOGETHER = re.compile(
    r"(?:(?P<short>[45])|(?P<tall>[4-6])\ *[., -]\ *)(?P<inches>1[01]|[0-9])\ *(?:in|ft|)"
)
# What follows the number in an entry that names its unit.
_UNIT_TYPED = re.compile(r"[^\d/\u00bc-\u00be\u2150-\u215e]+$")
_THOUSANDS = re.compile(r"[0-9]{1,3},[0-9]{3}(?![0-9])")
_SPELLING: tuple[tuple[str, str], ...] = (
    (r"[\u2010\u2011\u2013]", "-"),
    (r"\s+", " "),
)
_WORDS: tuple[tuple[str, str], ...] = (
    # Two apostrophes or primes, and the double quotation marks that phones put for an inch mark.
    (r"''|\u2032\u2032|[\"\u201c\u201d\u201e]", "in"),
    (r"['\u2018\u2019\u2032]", "ft"),
    (r"(?<![a-z])(?:inches|inch|in|zoll)\.?(?![a-z])", "in"),
    (r"(?<![a-z])(?:feet|foot|ft|fuss|fu\u00df)\.?(?![a-z])", "ft"),
    (r"(?<![a-z])millimet(?:ers?|ern|res?)(?![a-z])", "mm"),
    (r"(?<![a-z])(?:centimet(?:ers?|res?)|zentimetern?)(?![a-z])", "cm"),
    (r"(?<![a-z])met(?:ers?|ern|res?)(?![a-z])", "m"),
    (r"(?<=[cm]m)\.", ""),
    *_SPELLING,
)
_MASS_WORDS: tuple[tuple[str, str], ...] = (
    (r"(?<![a-z])(?:kilograms?|kilogramm|kilogrammes?|kilos?|kgs?)\.?(?![a-z])", "kg"),
    (r"(?<![a-z])(?:pounds?|lbs?)\.?(?![a-z])", "lb"),
    (r"(?<![a-z])(?:stones?|st)\.?(?![a-z])", "st"),
    *_SPELLING,
)
_MASS_EXAMPLE = gettext_noop('Type a weight with its unit, like "70 kg", "154 lb" or "11 st 4 lb".')
# Half a kilogram in a German shop, and how an English pound is called in German.
_PFUND = re.compile(r"(?<![a-z])(?:pfund|pfd)(?![a-z])")
_LONG_LENGTH = gettext_noop("This entry is too long for one length.")
_LONG_MASS = gettext_noop("This entry is too long for one weight.")


@dataclass(frozen=True)
class Length:
    """A length as typed.

    Args:
        raw: the text, unchanged.
        value: its exact number in `unit`.
        unit: millimetres, centimetres or inches; metres become centimetres, feet become inches.
    """

    raw: str
    value: Fraction
    unit: Unit

    @property
    def mm_exact(self) -> Fraction:
        """The length in millimetres, exact."""
        return converted(self.value, self.unit, "mm")

    @property
    def mm(self) -> float:
        """The length in millimetres."""
        return float(self.mm_exact)


@dataclass(frozen=True)
class Mass:
    """A weight as typed.

    Args:
        raw: the text, unchanged.
        kg_exact: its exact number of kilograms.
    """

    raw: str
    kg_exact: Fraction

    @property
    def kg(self) -> float:
        """The weight in kilograms."""
        return float(self.kg_exact)


@cache
def units() -> "UnitRegistry[Fraction]":
    """The one registry of units, exact; made when a unit is first changed into another."""
    # Only here: it brings numpy along, which a sitting is opened without.
    import pint

    return pint.UnitRegistry(non_int_type=Fraction)


def with_sign(text: str, sign: str) -> str:
    """An entry's number with a unit behind it, in place of one that was typed.

    Args:
        text: as typed, with or without a unit.
        sign: of the unit.

    >>> with_sign("36 3/8", "in"), with_sign("1,65 cm", "m")
    ('36 3/8 in', '1,65 m')
    """
    return f"{_UNIT_TYPED.sub('', text.strip())} {sign}"


def converted(number: Fraction, unit: str, to: str) -> Fraction:
    """A number of one unit as a number of another, exactly.

    Args:
        number: how many.
        unit: name of a unit as the registry knows it.
        to: another of the same kind.

    >>> converted(Fraction(291, 8), "in", "cm")
    Fraction(36957, 400)
    """
    return number * _factor(unit, to)


@cache
def _factor(unit: str, to: str) -> Fraction:
    """How many of one unit are one of another; asked for once, because that takes its time."""
    return Fraction(units().Quantity(Fraction(1), unit).to(to).magnitude)


def parse_length(text: str, default_unit: Unit, also: Collection[LargeUnit] = ()) -> Length:
    """Read a length as a customer types it, exactly.

    Args:
        text: what was typed, at most 20 characters.
        default_unit: unit of a bare number.
        also: larger units to allow, "m" and "ft" for a height, "m" for a distance.

    Returns:
        The length with its raw text.

    Raises:
        EntryProblem: the text is not a length in the grammar of this module.
    """
    example = _example(default_unit, also)
    plain = _plain(text, _WORDS, _LONG_LENGTH, example)
    found = (_tall(plain) or _feet(plain)) if "ft" in also else None
    value, unit = found or _length(plain, default_unit, "m" in also) or (Fraction(0), default_unit)
    if value == 0:
        large = not also and (_feet(plain) or _length(plain, default_unit, metres=True))
        raise EntryProblem(
            "entry-unreadable",
            "A tape measure shows centimetres or inches, no metres and no feet."
            if large and large[0]
            else "Beside feet, inches go up to 11 and a fraction."
            if "ft" in also and _FOOT_OF_INCHES.fullmatch(plain)
            else "This cannot be read as a length.",
            example,
        )
    return Length(text, value, unit)


def run_together(text: str) -> Length | None:
    """Feet and inches that a text may mean which is one number, like 56 or 5.11.

    Args:
        text: as typed, without a unit or with one of both.

    Returns:
        The length as it is typed rightly in the language spoken; None where it is no such text.

    >>> run_together("5.11").raw
    '5 ft 11 in'
    """
    match = _RUN_TOGETHER.fullmatch(_fold(text, _WORDS))
    if match is None:
        return None
    feet, inches = int(match["short"] or match["tall"]), int(match["inches"])
    meant = gettext("{feet} ft {inches} in", feet=feet, inches=inches)
    return Length(meant, Fraction(feet * INCHES_PER_FOOT + inches), "in")


def parse_mass(text: str) -> Mass:
    """Read a weight as a customer types it, exactly.

    Args:
        text: what was typed, at most 20 characters.

    Returns:
        The weight with its raw text.

    Raises:
        EntryProblem: the text is not a weight in the grammar of this module, or has no unit.
    """
    plain = _plain(text, _MASS_WORDS, _LONG_MASS, _MASS_EXAMPLE)
    kg = _stones(plain) or _mass(plain)
    if not kg and _PFUND.search(plain):
        raise EntryProblem(
            "weight-in-pfund",
            'A "Pfund" may be half a kilogram, or an English pound.',
            _MASS_EXAMPLE,
        )
    if not kg:
        raise EntryProblem("entry-unreadable", "This cannot be read as a weight.", _MASS_EXAMPLE)
    return Mass(text, kg)


def _plain(text: str, words: Collection[tuple[str, str]], too_long: str, example: str) -> str:
    """Bring a text to plain spelling, and refuse what no number can be read from for sure."""
    if len(text) > LONGEST_ENTRY:
        raise EntryProblem("entry-too-long", too_long, example)
    plain = _fold(text, words)
    if not plain:
        raise EntryProblem("entry-empty", "There is nothing in this entry.", example)
    if _THOUSANDS.search(plain):
        raise EntryProblem(
            "entry-thousands",
            "A comma before three digits can be read in two ways.",
            "Leave out a mark that parts thousands, and use a point for decimals. {example}",
            # Translated as a name is, where the advice is told and not here.
            example=Noun(example),
        )
    return plain


def _fold(text: str, words: Collection[tuple[str, str]]) -> str:
    """Bring a text to ASCII spelling: one kind of space, unit, hyphen and fraction."""
    spelled = unicodedata.normalize("NFKC", "".join(map(_spelled, text)))
    plain = spelled.replace("\u2044", "/").lower()
    for pattern, word in words:
        plain = re.sub(pattern, word, plain)
    return plain.strip()


def _spelled(char: str) -> str:
    """A character as it may be folded on: what would run into its neighbours is kept apart."""
    if "\u2044" in unicodedata.normalize("NFKC", char):
        # "36⅜" would fold to "363/8" otherwise. U+2044 itself joins what stands beside it.
        return char if char == "\u2044" else f" {char} "
    # "36²" would fold to "362"; no number holds a question mark.
    return "?" if char.isnumeric() and not char.isdecimal() else char


def _length(plain: str, default_unit: Unit, metres: bool) -> tuple[Fraction, Unit] | None:
    """Read number and unit; None when the text is no such length."""
    match = _LENGTH.fullmatch(plain)
    number = _number(match["number"]) if match else None
    if match is None or number is None:
        return None
    match match["unit"]:
        case "m":
            return (number * CM_PER_M, "cm") if metres else None
        case "mm":
            return number, "mm"
        case "cm":
            return number, "cm"
        case "in":
            return number, "in"
        case _:
            return number, default_unit


def _tall(plain: str) -> tuple[Fraction, Unit] | None:
    """Read metres with the centimetres beside them; None when the text is no such height."""
    match = _TALL.fullmatch(plain)
    if match is None:
        return None
    return Fraction(int(match["metres"]) * CM_PER_M + int(match["rest"])), "cm"


def _feet(plain: str) -> tuple[Fraction, Unit] | None:
    """Read feet with or without inches; None when the text is no such length."""
    match = _FEET.fullmatch(plain)
    if match is None:
        return None
    inches = _number(match["inches"]) if match["inches"] else Fraction(0)
    if inches is None or inches >= INCHES_PER_FOOT:
        return None
    return int(match["feet"]) * INCHES_PER_FOOT + inches, "in"


def _mass(plain: str) -> Fraction | None:
    """Read kilograms or pounds as kilograms; None when the text is no such weight."""
    match = _MASS.fullmatch(plain)
    number = _number(match["number"]) if match else None
    if match is None or number is None:
        return None
    if not match["unit"]:
        raise EntryProblem(
            "weight-without-unit",
            "A weight without its unit may be in kilograms or in pounds.",
            _MASS_EXAMPLE,
        )
    return converted(number, match["unit"], "kg")


def _stones(plain: str) -> Fraction | None:
    """Read stones with or without pounds as kilograms; None when the text is no such weight."""
    match = _STONES.fullmatch(plain)
    if match is None:
        return None
    pounds = _number(match["pounds"]) if match["pounds"] else Fraction(0)
    if pounds is None or pounds >= LB_PER_STONE:
        return None
    return converted(int(match["stones"]) * LB_PER_STONE + pounds, "lb", "kg")


def _number(text: str) -> Fraction | None:
    """Read a number that the grammar's shape allows; None for a fraction that no ruler has."""
    *whole, last = re.split(r"[ -]+", text)
    if "/" not in last:
        return Fraction(last.rstrip(".").replace(",", "."))
    above, below = (int(part) for part in last.split("/"))
    if not 0 < above < below:
        return None
    return int(whole[0] if whole else 0) + Fraction(above, below)


def _example(unit: Unit, also: Collection[LargeUnit]) -> str:
    """Say by an example what can be typed."""
    if "ft" in also:
        return gettext_noop('Type a height like "168 cm", "1.68 m" or "5 ft 6 in".')
    if "m" in also:
        return gettext_noop('Type a distance like "30 cm", "0.3 m" or "12 in".')
    if unit == "in":
        return gettext_noop('Type a number with or without unit, like "36 3/8" or "92.5 cm".')
    return gettext_noop('Type a number with or without unit, like "92.5" or "36 3/8 in".')
