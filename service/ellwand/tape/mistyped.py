"""Entries that are no length: what they may be meant as, and what is wrong in plainer words."""

import re
from collections.abc import Collection
from contextlib import suppress

from ellwand.errors import EntryProblem
from ellwand.language import decimal, gettext_noop
from ellwand.measurements import KINDS
from ellwand.quantity import LargeUnit, Length, Unit, parse_length

_UNIT = r"(?:\s*(?:cm|mm|in|zoll|\"|\u2033)\.?)?"
_ONE = rf"[0-9]{{2,3}}(?:[.,][0-9]{{1,2}}|[ -][0-9]{{1,2}}/[0-9]{{1,2}})?{_UNIT}"
_TWO = re.compile(rf"{_ONE}(?:\s*[;+&]\s*|,?\s+|\s+(?:and|und)\s+){_ONE}", re.IGNORECASE)
# A slash may be that of a fraction which no ruler has: only beside decimals it parts two numbers.
_SLASHED = re.compile(
    r"[0-9]{2,3}[.,][0-9]\s*/\s*[0-9]{2,3}(?:[.,][0-9])?|[4-9][0-9]\s*/\s*[4-9][0-9]"
)
_ABOUT = re.compile(
    r"\s*(?:about|approx\w*\.?|circa|zirka|ca\.?|etwa|rund|ungef\u00e4hr|[~\u2248])\s*(?=[0-9])",
    re.IGNORECASE,
)
# Millimetres behind the centimetres, as they are spoken.
_APART = re.compile(r"\s*([0-9]{2,3})\s*cm\s*([0-9])\s*(?:mm)?\.?\s*", re.IGNORECASE)

_METRES: tuple[LargeUnit, ...] = ("m",)

_WORD_BEFORE = gettext_noop("Only the number can be read here, without a word before it.")
_IN_PIECES = gettext_noop("Centimetres and millimetres are read as one number.")


def length_meant(code: str, text: str, unit: Unit) -> Length | None:
    """What an entry may be meant as that cannot be read; None where that is not plain.

    Args:
        code: key of `KINDS`.
        text: as typed.
        unit: of a bare number.

    Returns:
        The length, with the text that says it rightly in the language spoken.

    >>> length_meant("waist", "89 cm 5", "cm").raw
    '89.5 cm'
    >>> length_meant("waist", "1.12 m", "cm").raw
    '112 cm'
    """
    if apart := _APART.fullmatch(text):
        return readable(f"{apart[1]}{decimal('.')}{apart[2]} cm", unit)
    if about := _ABOUT.match(text):
        return readable(text[about.end() :].strip(), unit)
    # A girth in metres is read in centimetres, where a body has such a one.
    length = readable(text, unit, _METRES)
    if length and KINDS[code].is_plausible(length.mm):
        return readable(f"{decimal(f'{length.mm / 10:g}')} cm", unit)
    return None


def in_plainer_words(code: str, text: str, unit: Unit, problem: EntryProblem) -> EntryProblem:
    """The same problem, with what is wrong named where it shows.

    Args:
        code: key of `KINDS`.
        text: as typed.
        unit: of a bare number.
        problem: that of the parser.
    """
    if problem.code != "entry-unreadable":
        return problem
    if _TWO.fullmatch(text.strip()) or _SLASHED.fullmatch(text.strip()):
        return EntryProblem(
            "entry-unreadable",
            "There are two numbers in this entry.",
            "Type one number at a time; a second reading is an entry of its own.",
        )
    meant = length_meant(code, text, unit)
    if meant is None:
        return problem
    sentence = problem.texts[0]
    if _APART.fullmatch(text):
        sentence = _IN_PIECES
    elif _ABOUT.match(text):
        sentence = _WORD_BEFORE
    return EntryProblem(
        "entry-unreadable", sentence, "If you mean {meant}, type just that.", meant=meant.raw
    )


def readable(text: str, unit: Unit, also: Collection[LargeUnit] = ()) -> Length | None:
    """The length that a text is read as; None where it is none.

    Args:
        text: as typed.
        unit: of a bare number.
        also: larger units to allow.
    """
    with suppress(EntryProblem):
        return parse_length(text, unit, also)
    return None
