"""What is said of two sittings: lines for people, JSON for programs, words for a page."""

import json
import math
from collections.abc import Iterable
from dataclasses import asdict

from ellwand.language import Noun, gettext, gettext_noop, ngettext
from ellwand.listing import capital, listed
from ellwand.measurements import KINDS
from ellwand.quantity import Unit
from ellwand.shown import folded, in_both_units, in_unit
from ellwand.sitting import Difference, Measurement, SittingsCompared, Standing, Verdict
from ellwand.sizing import Redecided

COMPARISON_FORMAT, COMPARISON_VERSION = "ellwand-comparison", 1

# What was confirmed by tape on one day and is an estimate on the other is a matter of the photos.
_MEANT: dict[tuple[Verdict, bool], str] = {
    ("changed", False): gettext_noop("{apart}; that is more than the doubt of the tape"),
    ("changed", True): gettext_noop("{apart}; that is more than the doubt of the photos"),
    ("perhaps", False): gettext_noop(
        "{apart}; that may be only the doubt of the tape: measure again to be sure"
    ),
    ("perhaps", True): gettext_noop(
        "{apart}; that may be only the doubt of the photos: measure with the tape to be sure"
    ),
    ("within doubt", False): gettext_noop("no difference that the tape could show"),
    ("within doubt", True): gettext_noop("no difference that the photos could show"),
}
_NOT_SETTLED = gettext_noop("{apart}; not judged, because not both are settled")
_UNCHANGED = {
    False: gettext_noop("No difference that the tape could show: {names}."),
    True: gettext_noop("No difference that the photos could show: {names}."),
}
# What has clearly changed stands first; what has not is told last, and together.
_TOLD_APART: tuple[Verdict, ...] = ("changed", "perhaps", "not settled")
NOTE = gettext_noop(
    "The percentage tells in how many of 100 cases two values would lie closer together if the "
    "body had not changed. A small change may be missed; where the same hands measured, one is "
    "hardly made up."
)
_STANDINGS: dict[Standing, str] = {
    "confirmed": "{value}",
    "kept": gettext_noop("{value} kept"),
    "estimated": gettext_noop("{value} estimated from photos"),
    "read": gettext_noop("{value} read once"),
    "queried": gettext_noop("{value} in doubt"),
}
_WIDTH = 100
_WEEK_DAYS = 7
_TELLABLE = 0.99
_LENGTH_PLACES, _CHANCE_PLACES = 4, 6


def comparison_lines(found: SittingsCompared) -> list[str]:
    """What has changed, the surest first, and what is different in the size decision.

    Args:
        found: two sittings beside each other.
    """
    parts = [
        [summary_words(found)],
        [line for row in told_apart(found) for line in _row_lines(row)],
        *([words] for words in unchanged_words(found)),
        [gettext("Only in the earlier sitting: {names}.", names=_names(found.old_only))]
        if found.old_only
        else [],
        [gettext("Only in the later sitting: {names}.", names=_names(found.new_only))]
        if found.new_only
        else [],
        [note] if (note := note_words(found)) else [],
        _decision_lines(found),
        *([gettext("Mind: {caution}", caution=one)] for one in cautions(found)),
    ]
    lines: list[str] = []
    for part in filter(None, parts):
        lines += [""] if lines else []
        for text in part:
            indent = text[: len(text) - len(text.lstrip())]
            lines += folded(text, _WIDTH, others=f"{indent}  " if indent else "")
    return lines


def summary_words(found: SittingsCompared) -> str:
    """What matters most: how many measurements have changed.

    Args:
        found: two sittings beside each other.
    """
    if not found.differences:
        return gettext("The two sittings have no measurement in common.")
    changed = sum(row.verdict == "changed" for row in found.differences)
    if not changed:
        return gettext("No measurement has clearly changed.")
    return ngettext(
        "{number} measurement has clearly changed.",
        "{number} measurements have clearly changed.",
        changed,
    )


def told_apart(found: SittingsCompared) -> list[Difference]:
    """The measurements that have a line of their own, those that clearly changed first.

    Args:
        found: two sittings beside each other.
    """
    rows = [row for row in found.differences if row.verdict in _TOLD_APART]
    return sorted(rows, key=lambda row: _TOLD_APART.index(row.verdict))


def unchanged_words(found: SittingsCompared) -> list[str]:
    """The measurements that show no difference, together: those of the tape, then of photos.

    Args:
        found: two sittings beside each other.
    """
    rows = [row for row in found.differences if row.verdict == "within doubt"]
    codes = {
        estimated: [row.code for row in rows if row.estimated == estimated]
        for estimated in _UNCHANGED
    }
    return [
        gettext(text, names=_names(codes[estimated]))
        for estimated, text in _UNCHANGED.items()
        if codes[estimated]
    ]


def note_words(found: SittingsCompared) -> str:
    """What the percentages mean; empty where none is told.

    Args:
        found: two sittings beside each other.
    """
    return gettext(NOTE) if any(row.p_two_sided is not None for row in told_apart(found)) else ""


def _names(codes: Iterable[str]) -> str:
    return listed([gettext(KINDS[code].name) for code in codes])


def comparison_json(found: SittingsCompared) -> str:
    """The same as one JSON document.

    Its keys are `format` ("ellwand-comparison"), `version` (1), `measurements`, `old_only`,
    `new_only` (codes), `decision` and `cautions` (sentences). Each of `measurements` has `code`,
    `name`, `old` and `new` (each `value_mm`, `u_mm`, `standing`), `difference_mm` (new less old),
    `u_mm`, `probability` (that the true values differ in this direction), `p_two_sided`,
    `verdict` ("changed", "perhaps", "within doubt" or "not settled"; the last has no probability),
    `estimated` (whether one of both comes from photos) and `days_apart` (or null). `decision` has
    `decided` ("both", "old only", "new only" or "neither") and `differences`, each with `title`,
    `old` and `new`, null where a sitting has no such line.

    Args:
        found: two sittings beside each other.
    """
    document = {
        "format": COMPARISON_FORMAT,
        "version": COMPARISON_VERSION,
        "measurements": [_plain(row) for row in found.differences],
        "old_only": found.old_only,
        "new_only": found.new_only,
        "decision": {
            "decided": found.decided,
            "differences": [asdict(row) for row in found.redecided],
        },
        "cautions": cautions(found),
    }
    return json.dumps(document, indent=2, allow_nan=False)


def cautions(found: SittingsCompared) -> list[str]:
    """What makes it doubtful that the two files are what they are taken for.

    Args:
        found: two sittings beside each other.
    """
    told = []
    if any(row.code == "stature" and row.verdict == "changed" for row in found.differences):
        told.append(
            gettext(
                "The height of an adult hardly changes; check that both files are of the same "
                "customer."
            )
        )
    if any((row.days_apart or 0) < 0 for row in found.differences):
        told.append(
            gettext(
                "Readings of the later sitting are older than those of the earlier one; name the "
                "earlier file first."
            )
        )
    return told


def _row_lines(row: Difference) -> list[str]:
    return [f"{difference_words(row)}.", f"    {numbers_words(row)}."]


def difference_words(row: Difference, unit: Unit | None = None) -> str:
    """What has become of a measurement, what matters first.

    Args:
        row: the measurement on both days.
        unit: of the length that is told; None for both.

    Returns:
        For instance "Waist: 3.0 cm more than 9 weeks before; that is more than the doubt of the
        tape".
    """
    text = _MEANT.get((row.verdict, row.estimated), _NOT_SETTLED)
    meant = gettext(text, apart=_apart(row, unit))
    return capital(gettext("{name}: {words}", name=Noun(KINDS[row.code].name), words=meant))


def numbers_words(row: Difference, unit: Unit | None = None) -> str:
    """Both values of a measurement, and how sure it is that they differ.

    Args:
        row: the measurement on both days.
        unit: of the lengths; None for both.

    Returns:
        For instance "Before 80.0 cm, now 83.0 cm; over 99 % sure".
    """
    values = {"old": _value(row.old, unit), "new": _value(row.new, unit)}
    if row.p_two_sided is None:
        return gettext("Before {old}, now {new}", **values)
    return gettext("Before {old}, now {new}; {share} sure", share=_sure(row.p_two_sided), **values)


def _value(held: Measurement, unit: Unit | None) -> str:
    return gettext(_STANDINGS[held.standing], value=_length(held.value_mm, unit))


def _length(mm: float, unit: Unit | None) -> str:
    return in_unit(mm, unit) if unit else in_both_units(mm)


def _apart(row: Difference, unit: Unit | None) -> str:
    amount, then = _length(abs(row.difference_mm), unit), _then(row.days_apart)
    if amount == _length(0, unit):
        return gettext("the same as {then}", then=then)
    if row.difference_mm > 0:
        return gettext("{amount} more than {then}", amount=amount, then=then)
    return gettext("{amount} less than {then}", amount=amount, then=then)


def _then(days: int | None) -> str:
    """When the earlier one of two was measured."""
    if days is None or days < 0:
        return gettext("before")
    if days == 0:
        return gettext("earlier on the same day")
    if weeks := days // _WEEK_DAYS:
        return ngettext("{number} week before", "{number} weeks before", weeks)
    return ngettext("{number} day before", "{number} days before", days)


def _sure(p_two_sided: float) -> str:
    """In whole per cent, rounded down, so that a limit is never reached by rounding."""
    sure = 1 - p_two_sided
    return gettext("over 99 %") if sure > _TELLABLE else f"{math.floor(100 * sure)} %"


def _decision_lines(found: SittingsCompared) -> list[str]:
    if not found.redecided:
        return decision_words(found)
    return [gettext("Size decision:"), *(f"  {words}" for words in decision_words(found))]


def decision_words(found: SittingsCompared) -> list[str]:
    """What is different in the size decision, or why nothing is.

    Args:
        found: two sittings beside each other.
    """
    match found.decided:
        case "neither":
            return [gettext("Neither sitting has a size decision.")]
        case "both":
            told = [capital(_redecided(row)) for row in found.redecided]
            return told or [gettext("The size decision is the same.")]
        case "old only":
            return [
                gettext("Only the earlier sitting has a size decision; nothing to compare it with.")
            ]
        case "new only":
            return [
                gettext("Only the later sitting has a size decision; nothing to compare it with.")
            ]


def _redecided(row: Redecided) -> str:
    title = Noun(row.title)
    if row.old is None:
        return gettext("{title}: {new}; not needed before", title=title, new=row.new)
    if row.new is None:
        return gettext("{title}: no longer needed; before {old}", title=title, old=row.old)
    return gettext("{title}: before {old}; now {new}", title=title, old=row.old, new=row.new)


def _plain(row: Difference) -> dict[str, object]:
    return {
        "code": row.code,
        "name": KINDS[row.code].name,
        "old": _plain_value(row.old),
        "new": _plain_value(row.new),
        # Takes the noise of binary fractions off.
        "difference_mm": round(row.difference_mm, _LENGTH_PLACES),
        "u_mm": round(row.u_mm, _LENGTH_PLACES),
        "probability": _rounded(row.probability),
        "p_two_sided": _rounded(row.p_two_sided),
        "verdict": row.verdict,
        "estimated": row.estimated,
        "days_apart": row.days_apart,
    }


def _plain_value(held: Measurement) -> dict[str, object]:
    return {"value_mm": held.value_mm, "u_mm": held.u_mm, "standing": held.standing}


def _rounded(chance: float | None) -> float | None:
    return None if chance is None else round(chance, _CHANCE_PLACES)
