"""What a query says: the doubt in numbers, the likeliest slip, and one thing to do."""

from collections.abc import Sequence

from ellwand.measurements import KINDS
from ellwand.quantity import MM_PER, in_both_units
from ellwand.tape.explain import Explanation
from ellwand.tape.readings import Reading, SlipName

MEASURE_AGAIN = (
    "Measure again and enter what the tape shows; if it shows the same, keep the value and say why."
)
MEASURE_ANOTHER = "Take the tape off, measure once more and enter the new reading."
WITHOUT_PHOTOS = "Without photos this is a weaker check."
CHECK_HIGH_BUST = (
    "Check that the tape for the high bust runs straight under the armpits, above the bust; "
    "if it does, leave both values as they are."
)

_ADVICE: dict[SlipName, str] = {
    "wrong unit": "Look which unit the tape shows, and enter the reading with its unit behind it.",
    "digits swapped": "Look at the tape again and enter the number digit by digit.",
    "decimal point lost": "Enter the reading again with its decimal point and its unit.",
    "tape read from its other end": "Measure again, starting from the end of the tape where the "
    "numbers begin, and enter what it shows.",
    "counted from the 10 cm mark": "Measure again from the very end of the tape, and enter what "
    "it shows.",
    "a ten misread": "Measure again: find the last whole ten printed before the place where the "
    "tape meets, add the marks behind it, and enter the sum.",
    "fields exchanged": "Measure the {here} again, then the {other}, and enter both.",
    "tape doubled": "Measure again with the tape laid once around, and enter the whole number.",
    "tape crooked or loose": "Measure again in front of a mirror, with the tape level at the back "
    "and snug.",
    "size typed for a girth": "Measure the {here} with the tape and enter what it shows, not the "
    "size of a bra or a dress.",
}
# By millimetres.
_UNITS: dict[float, str] = {
    1.0: "millimetres",
    10.0: "centimetres",
    25.4: "inches",
    1000.0: "metres",
}
# For a corrected value below the reading, and above it.
_CAUSES: dict[SlipName, tuple[str, str]] = {
    "digits swapped": ("two digits may have changed places",) * 2,
    "decimal point lost": (
        "the decimal point may be lost, the number ten times too large",
        "the decimal point may be one place off, the number ten times too small",
    ),
    "tape read from its other end": ("the tape may have been read from its other end",) * 2,
    "counted from the 10 cm mark": ("the count may have begun at the {mark} mark of the tape",) * 2,
    "a ten misread": (
        "the tape may have been read {ten} too high, one printed ten too far",
        "the tape may have been read {ten} too low, one printed ten too short",
    ),
    "fields exchanged": ("it may be the reading for the {other}",) * 2,
    "tape doubled": (
        "it may be twice the girth, as if the tape had gone round twice",
        "it may be half the girth, as if the tape had lain double",
    ),
    "size typed for a girth": ("it may be the size of a bra or a dress, and no girth",) * 2,
    "tape crooked or loose": ("the tape may have hung crooked or loose",) * 2,
}


def outside_range(code: str, mm: float) -> str:
    """Say that a reading lies outside what adult women measure."""
    low, high = KINDS[code].plausible_mm
    return (
        f"{_name(code)}: the reading of {in_both_units(mm)} lies outside what adult women "
        f"measure, {in_both_units(low)} to {in_both_units(high)}."
    )


def far_from_expected(
    code: str, mm: float, between_mm: tuple[float, float], *, photos: bool, others: bool
) -> str:
    """Say by how much a reading differs from what was to be expected, and what that rests on.

    Args:
        code: the measurement.
        mm: the reading.
        between_mm: where 95 % of such women lie.
        photos: whether photos show this measurement.
        others: whether other readings of hers were used.
    """
    low, high = between_mm
    middle = (low + high) / 2
    basis = "the photos show" if photos else "women have"
    if others:
        basis = (
            "the photos and your other readings lead to expect"
            if photos
            else "women with your other readings have"
        )
    told = (
        f"{_name(code)}: the reading of {in_both_units(mm)} is {in_both_units(abs(mm - middle))} "
        f"{'more' if mm > middle else 'less'} than {basis}, "
        f"{in_both_units(low)} to {in_both_units(high)}."
    )
    return told if photos else f"{told} {WITHOUT_PHOTOS}"


def out_of_order(smaller: str, larger: str, excess_mm: float) -> str:
    """Say that one girth exceeds another that should be larger."""
    return (
        f"{_name(smaller)} is {in_both_units(excess_mm)} more than {KINDS[larger].name}, "
        "which hardly any figure is."
    )


def rare_order(smaller: str, larger: str, excess_mm: float) -> str:
    """Say that one girth exceeds another by as little as some bodies do."""
    return (
        f"{_name(smaller)} is {in_both_units(excess_mm)} more than {KINDS[larger].name}; "
        "that happens, but seldom."
    )


def apart(code: str, mms: Sequence[float]) -> str:
    """Say by how much readings of one measurement differ."""
    return (
        f"{_name(code)}: the {len(mms)} readings differ by "
        f"{in_both_units(max(mms) - min(mms))}, more than a tape's own doubt."
    )


def slip_clause(why: Explanation, reading: Reading, named: bool) -> str:
    """Name the likeliest slip, and what the reading would be without it.

    Args:
        why: an explanation by a slip.
        reading: the reading that slipped.
        named: whether to say which reading is meant.
    """
    cause = _fill(_cause(why, reading), why, reading)
    whose = f"for the reading of {in_both_units(reading.mm)}, {cause}" if named else cause
    at = "" if why.corrected_mm is None else f"; it would then be {in_both_units(why.corrected_mm)}"
    return f"{whose[0].upper()}{whose[1:]}{at}."


def slip_advice(why: Explanation, reading: Reading) -> str:
    """Say the one thing to do about a slip, or about a reading that none explains."""
    return _fill(_ADVICE[why.slip], why, reading) if why.slip else MEASURE_AGAIN


def _cause(why: Explanation, reading: Reading) -> str:
    """Name the slip in a clause."""
    if why.slip == "wrong unit" and why.corrected_mm is not None:
        taken_mm = float(MM_PER[reading.unit])
        meant_mm = taken_mm * why.corrected_mm / reading.mm
        return (
            f"it looks as if {_UNITS[round(meant_mm, 1)]} were entered as "
            f"{_UNITS[round(taken_mm, 1)]}"
        )
    larger = why.corrected_mm is not None and why.corrected_mm > reading.mm
    return _CAUSES[why.slip][larger] if why.slip else ""


def _fill(text: str, why: Explanation, reading: Reading) -> str:
    """Put names and marks into a text."""
    return text.format(
        here=KINDS[reading.code].name,
        other=KINDS[why.other or reading.code].name,
        mark="1 in" if reading.unit == "in" else "10 cm",
        ten="10 in" if reading.unit == "in" else "10 cm",
    )


def _name(code: str) -> str:
    """The measurement's name at the start of a sentence."""
    return KINDS[code].name.capitalize()
