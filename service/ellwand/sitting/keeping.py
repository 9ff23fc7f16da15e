"""The act of keeping a value: the customer's word against a query, or for one reading alone."""

from ellwand.errors import EntryProblem
from ellwand.language import Noun
from ellwand.measurements import KINDS
from ellwand.sitting.actions import rejudged
from ellwand.sitting.printable import is_printable
from ellwand.sitting.record import KeepEntry, Sitting
from ellwand.tape import check_code

LONGEST_REASON = 200


def keep(record: Sitting, code: str, reason: str) -> Sitting:
    """Keep the value of a measurement, against a query or unrepeated, for a reason.

    Args:
        record: the sitting.
        code: key of `KINDS`.
        reason: why, in the customer's words; it goes on the card.

    Raises:
        EntryProblem: no such measurement, nothing to keep, readings that differ or that no adult
            measures, or no reason that can be printed.
    """
    check_code(code)
    readings = record.readings.get(code, ())
    held = record.measurements.get(code)
    name = Noun(KINDS[code].name)
    if not readings or held is None:
        raise EntryProblem(
            "no-reading",
            "There is no reading of the {name} to keep.",
            "Measure it and type it in first.",
            name=name,
        )
    if held.standing == "confirmed":
        raise EntryProblem(
            "already-confirmed",
            "The {name} is confirmed and needs no keeping.",
            "Go on with the next measurement.",
            name=name,
        )
    if any(query.rule == "repeats" for query in held.queries):
        # Their median may be a value that no tape has shown.
        raise EntryProblem(
            "readings-differ",
            "The readings of the {name} differ too much for one of them to be kept.",
            "Measure once more and enter the new reading; then keep what most of them say.",
            name=name,
        )
    if any(query.rule == "range" for query in held.queries):
        raise EntryProblem(
            "out-of-range",
            "No adult has a {name} of this size, so it cannot be kept.",
            "Look at the unit and the digits, and measure again.",
            name=name,
        )
    kept = KeepEntry(reason=_printable(reason), value_mm=held.value_mm, readings=len(readings))
    keeps = {**record.keeps, code: (*record.keeps.get(code, ()), kept)}
    return rejudged(record.model_copy(update={"keeps": keeps}))


def _printable(reason: str) -> str:
    """A reason as one line.

    Raises:
        EntryProblem: it is empty, too long, or holds characters that cannot be printed.
    """
    line = " ".join(reason.split())
    if not line:
        raise EntryProblem(
            "no-reason", "A value is kept for a reason only.", "Say in a few words why it is right."
        )
    if len(line) > LONGEST_REASON:
        raise EntryProblem(
            "reason-too-long",
            "The reason does not fit the card.",
            "Say it in at most {most} characters.",
            most=LONGEST_REASON,
        )
    if not is_printable(line):
        raise EntryProblem(
            "reason-unprintable",
            "The reason holds characters that cannot be printed.",
            "Type it again in plain text.",
        )
    return line
