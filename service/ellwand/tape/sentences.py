"""What a query says: what she entered and what was to be expected, a likely slip, one thing to do.

Numbers are said in the unit in which she typed, or of two in the one that she uses now; what is
expected is rounded as coarsely as it is known.
"""

import math
import re
from collections.abc import Sequence
from fractions import Fraction

from ellwand.language import Noun, decimal, gettext, gettext_noop, ngettext
from ellwand.listing import capital, listed
from ellwand.measurements import KINDS
from ellwand.quantity import MM_PER, Unit, run_together, with_sign
from ellwand.shown import in_both_units, in_her_order, in_unit, shown_first, sign_of
from ellwand.tape.explain import Explanation
from ellwand.tape.form import look_at
from ellwand.tape.readings import Reading, SlipName
from ellwand.tape.repeats import TechnicalError, tolerance_mm

MEASURE_AGAIN = gettext_noop("Measure {here:the} again, {taken}, and type what the tape shows.")
MEASURE_ANOTHER = gettext_noop(
    "Take the tape off, measure once more and type the new number as well; the one that does not "
    "fit is left out then."
)
CHECK_ODD_ONES = gettext_noop(
    "If it was mistyped, correct it; if you are in doubt, measure once more."
)
SCATTERS = gettext_noop("That may be mere chance.")
SCATTERS_OR_SLIP = gettext_noop("That may be mere chance, or a slip.")
OR_KEEP = gettext_noop("If the tape shows the same again, keep the value and say how you measured.")
CHECK_HIGH_BUST = gettext_noop(
    "Measure the high bust again, with the tape straight under the armpits and above the bust. If "
    "it shows the same, leave both numbers as they are."
)
# What is expected is said to whole centimetres or half inches.
_COARSE: dict[Unit, Fraction] = {"mm": Fraction(10), "cm": Fraction(1), "in": Fraction(1, 2)}

_ADVICE: dict[SlipName, str] = {
    "wrong unit": gettext_noop(
        "If so, correct what you typed: {meant}. If not, measure again, and type the number with "
        "its unit."
    ),
    "digits swapped": gettext_noop("Measure again, and type what the tape shows digit by digit."),
    "decimal point lost": gettext_noop(
        "Measure again, and type the number with its unit, and with its point or comma if it has "
        "one."
    ),
    "tape read from its other end": gettext_noop(
        "Measure again: on the side of the tape that you read, start at the end where you see 1, "
        "2, 3."
    ),
    "counted from the 10 cm mark": gettext_noop(
        "Measure again from the very end of the tape, not from a mark on it."
    ),
    "a ten misread": gettext_noop(
        "Measure again, read the whole number on the tape, its first digits above all, and type "
        "exactly what it shows."
    ),
    "fields exchanged": gettext_noop(
        "Measure {here} and {other} again, and type each number in where it belongs."
    ),
    "tape doubled": gettext_noop(
        "Measure again with the tape once all the way round, and type the number that it shows."
    ),
    "tape crooked or loose": gettext_noop(
        "Measure the {here} again, sideways to a mirror: the tape as high behind as in front, "
        "touching all round without pressing in."
    ),
    "size typed for a girth": gettext_noop(
        "Measure the {here} with the tape and type what it shows, not the size on a label."
    ),
}
# Units that she may have meant, by their millimetres.
_UNITS: dict[float, str] = {1.0: "mm", 10.0: "cm", 25.4: "in", 1000.0: "m"}
# "in" is a word elsewhere, and the page puts it for her where a field is in inches.
_INCH_TYPED = re.compile(r"(?<![a-z])in(?=\.?$)")
# What follows "Perhaps": for a corrected value below the reading, and above it.
_CAUSES: dict[SlipName, tuple[str, str]] = {
    "wrong unit": (gettext_noop("you meant {meant}; that would be {then}"),) * 2,
    "digits swapped": (gettext_noop("two digits changed places; it would then be {then}"),) * 2,
    "decimal point lost": (
        gettext_noop("the decimal point is missing; it would then be {then}"),
        gettext_noop("the decimal point is one place off; it would then be {then}"),
    ),
    "tape read from its other end": (
        gettext_noop(
            "the tape was read from its other end; from the end where 1, 2, 3 begin it would show "
            "{then}"
        ),
    )
    * 2,
    "counted from the 10 cm mark": (
        gettext_noop(
            "the tape began at its {mark} mark and not at its very end; it would then be {then}"
        ),
    )
    * 2,
    "a ten misread": (
        gettext_noop("you read {ten} more than the tape shows; it would then be {then}"),
        gettext_noop("you read {ten} less than the tape shows; it would then be {then}"),
    ),
    "fields exchanged": (
        gettext_noop(
            "the numbers of {here} and {other} changed places; the {here} would then be {then}"
        ),
    )
    * 2,
    "tape doubled": (
        gettext_noop("the tape went round twice; once round would be {then}"),
        gettext_noop(
            "this is only half of the way round, because the tape lay folded or went from side to "
            "side; all round would be {then}"
        ),
    ),
    "size typed for a girth": (gettext_noop("this is the size of a bra or a dress"),) * 2,
    "tape crooked or loose": (gettext_noop("the tape hung crooked or loose"),) * 2,
}
# Where no point was typed at all.
_DIGIT_MISSING = gettext_noop(
    "the last digit is missing; it would then be {then}, or a little more"
)
_OF_ANOTHER = gettext_noop("this is the number of the {other}")
_COPIED = gettext_noop("this is the number of the {other}, for which you typed the same")
# By what is known besides what women in general have: photos, and other readings of hers.
_EXPECTED: dict[tuple[bool, bool], str] = {
    (False, False): gettext_noop(
        "You entered {typed}; most women have between {low} and {high}, and without photos "
        "that is only a rough guess."
    ),
    (False, True): gettext_noop(
        "You entered {typed}; your other numbers suggest about {about}, most likely "
        "between {low} and {high}, and without photos that is only a rough guess."
    ),
    (True, False): gettext_noop(
        "You entered {typed}; the photos suggest about {about}, most likely between {low} "
        "and {high}."
    ),
    (True, True): gettext_noop(
        "You entered {typed}; the photos and your other numbers suggest about {about}, "
        "most likely between {low} and {high}."
    ),
}


def outside_range(rows: Sequence[Reading]) -> str:
    """Say that readings lie outside what adults usually measure.

    Args:
        rows: the readings of one measurement.
    """
    low, high = _between(*KINDS[rows[0].code].plausible_mm, _unit_of(rows))
    return gettext(
        "You entered {typed}; for adults between {low} and {high} is possible.",
        typed=_all_typed(rows),
        low=low,
        high=high,
    )


def far_from_expected(
    rows: Sequence[Reading], between_mm: tuple[float, float], *, photos: bool, others: bool
) -> str:
    """Say what readings differ from, and what that rests on.

    Args:
        rows: the readings of one measurement.
        between_mm: where 95 % of such women lie.
        photos: whether photos show this measurement.
        others: whether other readings of hers were used.
    """
    unit = _unit_of(rows)
    low, high = _between(*between_mm, unit)
    return gettext(
        _EXPECTED[photos, others],
        typed=_all_typed(rows),
        about=in_unit(sum(between_mm) / 2, unit, _COARSE[unit]),
        low=low,
        high=high,
    )


def out_of_order(smaller: Sequence[Reading], larger: Sequence[Reading], excess_mm: float) -> str:
    """Say that one girth exceeds another that should be larger.

    Args:
        smaller: readings of the girth that should not be the larger one.
        larger: readings of the other.
        excess_mm: by how much it is.
    """
    return gettext(
        "{name} ({typed}) is {excess} more than {other} ({other_typed}); that is very rare.",
        **_pair(smaller, larger, excess_mm),
    )


def rare_order(smaller: Sequence[Reading], larger: Sequence[Reading], excess_mm: float) -> str:
    """Say that one girth exceeds another by as little as some bodies do; as `out_of_order`."""
    return gettext(
        "{name} ({typed}) is {excess} more than {other} ({other_typed}); that is rare.",
        **_pair(smaller, larger, excess_mm),
    )


def apart(rows: Sequence[Reading], value_mm: float) -> str:
    """Say by how much readings of one measurement differ.

    Args:
        rows: the readings.
        value_mm: their median.
    """
    unit, mms = _unit_of(rows), [row.mm for row in rows]
    return gettext(
        "You entered {typed}; they are {apart} apart. Beyond {fine}, one more number has to "
        "decide.",
        typed=_all_typed(rows),
        apart=in_unit(max(mms) - min(mms), unit),
        fine=in_unit(tolerance_mm(value_mm), unit, rounded=math.floor),
    )


def odd_ones(rows: Sequence[Reading]) -> str:
    """Say which readings do not fit the others of a measurement, which agree."""
    return gettext(
        "Does not fit the other readings, which agree: {typed}. The value hardly rests on it.",
        typed=_all_typed(rows),
    )


def scatter(found: TechnicalError, *, named: bool = True) -> str:
    """Say how far repeats of the same hands scatter over a whole sitting.

    Args:
        found: it.
        named: whether to give it its name in the trade, which a customer need not know.
    """
    told = ngettext(
        "Repeats of one measurement scatter by {by}, {percent} %.",
        "Repeats of {number} measurements scatter by {by}, {percent} %.",
        found.measurements,
        by=in_both_units(found.value_mm),
        percent=decimal(f"{100 * found.share:.1f}"),
    )
    return f"{told} {gettext('This is the technical error of measurement.')}" if named else told


def slip_clause(ways: Sequence[Explanation], rows: Sequence[Reading], *, named: bool) -> str:
    """Name slips, with what the reading would be without each.

    Args:
        ways: one slip, or several in the same reading; the likeliest one first.
        rows: the readings.
        named: whether to say which reading is meant.
    """
    reading = rows[ways[0].reading or 0]
    causes = [_cause(way, reading) for way in ways]
    if ways[0].copied:
        first = gettext(
            "{typed} is what you typed for the {other}, too; perhaps it got here by mistake.",
            typed=as_typed(reading),
            other=Noun(KINDS[ways[0].other or reading.code].name),
        )
    elif named:
        first = gettext(
            "As for {typed}, perhaps {cause}.", typed=as_typed(reading), cause=causes[0]
        )
    else:
        first = gettext("Perhaps {cause}.", cause=causes[0])
    return " ".join([first, *(gettext("Or perhaps {cause}.", cause=one) for one in causes[1:])])


def slip_advice(why: Explanation, reading: Reading) -> str:
    """Say the one thing to do about a slip, or about a reading that none explains."""
    if why.slip is None or _alone_elsewhere(why) or _digit_missing(why, reading):
        return _fill(MEASURE_AGAIN, why, reading)
    return _fill(_ADVICE[why.slip], why, reading)


def as_typed(reading: Reading) -> str:
    """A reading as she typed it, with its unit; inches have the sign of the language spoken."""
    raw = " ".join(reading.raw.split())
    if look_at(raw).unit_named:
        return _INCH_TYPED.sub(sign_of("in"), raw)
    # A stop that ended the entry ends no sentence here.
    return f"{raw.removesuffix('.')} {sign_of(reading.unit)}"


def _unit_of(rows: Sequence[Reading]) -> Unit:
    """The unit in which readings were typed; the one shown first, where they were in several."""
    units = {row.unit for row in rows}
    return units.pop() if len(units) == 1 else shown_first()


def _pair(
    smaller: Sequence[Reading], larger: Sequence[Reading], excess_mm: float
) -> dict[str, str]:
    """What is put into the sentences about two girths out of order."""
    return {
        "name": _name(smaller[0].code),
        "typed": _all_typed(smaller),
        "excess": in_unit(excess_mm, _unit_of(smaller)),
        "other": Noun(KINDS[larger[0].code].name),
        "other_typed": _all_typed(larger),
    }


def _all_typed(rows: Sequence[Reading]) -> str:
    """Readings in a row; a number that was typed several times once."""
    typed = [as_typed(row) for row in rows]
    if len(typed) == 1 or len(set(typed)) > 1:
        return listed(typed)
    if len(typed) == 2:
        return gettext("{typed} twice", typed=typed[0])
    return gettext("{typed} {number} times", typed=typed[0], number=len(typed))


def _between(low_mm: float, high_mm: float, unit: Unit) -> tuple[str, str]:
    """Both ends of an interval, rounded outward."""
    step = _COARSE[unit]
    return in_unit(low_mm, unit, step, math.floor), in_unit(high_mm, unit, step, math.ceil)


def _cause(why: Explanation, reading: Reading) -> str:
    """Name a slip in a clause."""
    if why.slip is None:
        return ""
    if _alone_elsewhere(why):
        return _fill(_COPIED if why.copied else _OF_ANOTHER, why, reading)
    if _digit_missing(why, reading):
        return _fill(_DIGIT_MISSING, why, reading)
    larger = why.corrected_mm is not None and why.corrected_mm > reading.mm
    return _fill(_CAUSES[why.slip][larger], why, reading)


def _alone_elsewhere(why: Explanation) -> bool:
    """Whether it is the number of another girth, which has none of its own that belongs here."""
    return why.slip == "fields exchanged" and why.corrected_mm is None


def _digit_missing(why: Explanation, reading: Reading) -> bool:
    """Whether a number ten times too small was typed without a point that could be off."""
    up = why.slip == "decimal point lost" and (why.corrected_mm or 0) > reading.mm
    return up and look_at(reading.raw).form == "whole"


def _fill(text: str, why: Explanation, reading: Reading) -> str:
    """Say a text with names, marks and numbers in it."""
    corrected_mm = reading.mm if why.corrected_mm is None else why.corrected_mm
    meant = ""
    if why.slip == "wrong unit":
        meant = _meant(reading, corrected_mm)
    return gettext(
        text,
        here=Noun(KINDS[reading.code].name),
        other=Noun(KINDS[why.other or reading.code].name),
        mark=f"1-{sign_of('in')}" if reading.unit == "in" else "10-cm",
        ten=f"10 {sign_of('in')}" if reading.unit == "in" else "10 cm",
        taken=in_her_order(gettext(KINDS[reading.code].taken)),
        # No tape shows 95.0.
        then=in_unit(corrected_mm, reading.unit).replace(decimal(".0 "), " "),
        meant=meant,
    )


def _meant(reading: Reading, corrected_mm: float) -> str:
    """A reading as it is typed in the unit that was meant."""
    in_feet = run_together(reading.raw)
    if in_feet and math.isclose(in_feet.mm, corrected_mm):
        return in_feet.raw
    unit = _UNITS[round(float(MM_PER[reading.unit]) * corrected_mm / reading.mm, 1)]
    return with_sign(reading.raw, sign_of(unit))


def _name(code: str) -> str:
    """The measurement's name at the start of a sentence."""
    return capital(f"{Noun(KINDS[code].name)}")
