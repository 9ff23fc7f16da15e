"""A typed entry for a named measurement becomes a reading."""

from typing import get_args

from ellwand.errors import EntryProblem
from ellwand.measurements import KINDS
from ellwand.quantity import LargeUnit, Unit, parse_length
from ellwand.tape.mistyped import in_plainer_words
from ellwand.tape.readings import Reading


def enter(code: str, text: str, default_unit: Unit) -> Reading:
    """Read one tape entry; whether it is plausible is judged later, as a query.

    Args:
        code: key of `KINDS`.
        text: what was typed: for the stature a `height`, for all else a `length` of the grammar
            in `quantity`.
        default_unit: unit of a bare number.

    Returns:
        The reading with its raw text.

    Raises:
        EntryProblem: no such measurement, or the text is not a length.
    """
    check_code(code)
    large: tuple[LargeUnit, ...] = get_args(LargeUnit) if code == "stature" else ()
    try:
        length = parse_length(text, default_unit, large)
    except EntryProblem as problem:
        raise in_plainer_words(code, text, default_unit, problem) from None
    return Reading(code, length.raw, length.mm, length.unit)


def check_code(code: str) -> None:
    """Refuse a name that no measurement has.

    Raises:
        EntryProblem: `code` is not a key of `KINDS`.
    """
    if code not in KINDS:
        raise EntryProblem(
            "unknown-measurement",
            "There is no measurement of this name.",
            "Use one of: {codes}.",
            codes=", ".join(KINDS),
        )
