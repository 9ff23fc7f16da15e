"""What is said of two sittings: lines for people, JSON for programs, words for a page."""

import json
import math
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from textwrap import wrap

from ellwand.language import Noun, gettext, gettext_noop, ngettext
from ellwand.measurements import KINDS
from ellwand.shown import in_both_units
from ellwand.sitting import Difference, Measurement, SittingsCompared, Standing, Verdict
from ellwand.sizing import Redecided, listed

COMPARISON_FORMAT, COMPARISON_VERSION = "ellwand-comparison", 1

_HEADINGS: dict[Verdict, str] = {
    "changed": gettext_noop("Changed, by more than the doubt of what was measured:"),
    "perhaps": gettext_noop("Perhaps changed; measure again to be sure:"),
    "within doubt": gettext_noop("Within the doubt of the tape:"),
    "not settled": gettext_noop("Not settled by the tape in both sittings, so no judgement:"),
}
# What comes from photos is no matter of the tape.
_PHOTOS_WITHIN = gettext_noop("Within the doubt of the photos:")
NOTE = gettext_noop(
    "Each percentage tells how often doubt alone would put two values of the same body less far "
    "apart. An error that the same hands make every time is counted in both sittings, although it "
    "cancels: where the same hands measured, a change is rather passed over than made up."
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
    lines = []
    for verdict, heading in _HEADINGS.items():
        rows = [row for row in found.differences if row.verdict == verdict]
        for one in dict.fromkeys((gettext(heading), gettext(_PHOTOS_WITHIN))):
            lines += _group(one, [row for row in rows if heading_of(row) == one])
    if not found.differences:
        lines += [gettext("The two sittings have no measurement in common."), ""]
    elif not any(row.verdict == "changed" for row in found.differences):
        lines += [gettext("No measurement has changed for sure.")]
        lines += [*wrap(gettext(NOTE), _WIDTH), ""]
    else:
        lines += [*wrap(gettext(NOTE), _WIDTH), ""]
    if found.old_only:
        told = gettext("Only in the earlier sitting: {names}.", names=_names(found.old_only))
        lines += [*wrap(told, _WIDTH), ""]
    if found.new_only:
        told = gettext("Only in the later sitting: {names}.", names=_names(found.new_only))
        lines += [*wrap(told, _WIDTH), ""]
    lines += _decision_lines(found)
    return lines + [
        line
        for one in cautions(found)
        for line in wrap(gettext("Mind: {caution}", caution=one), _WIDTH)
    ]


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


def _group(heading: str, rows: Sequence[Difference]) -> list[str]:
    return [heading, *_listed_lines(_row(row) for row in rows), ""] if rows else []


def _listed_lines(texts: Iterable[str]) -> list[str]:
    return [
        line
        for text in texts
        for line in wrap(text, _WIDTH, initial_indent="  ", subsequent_indent="    ")
    ]


def heading_of(row: Difference) -> str:
    """What a difference comes to, ending with a colon."""
    within_photos = row.verdict == "within doubt" and row.estimated
    return gettext(_PHOTOS_WITHIN if within_photos else _HEADINGS[row.verdict])


def apart_words(row: Difference) -> str:
    """What lies between two values: how much, how surely, and how long."""
    amount = [_apart(row.difference_mm)]
    if row.p_two_sided is not None:
        amount.append(_confidence(row.p_two_sided))
    parts = [", ".join(amount)]
    if row.days_apart is not None:
        parts.append(_time_apart(row.days_apart))
    return "; ".join(parts)


def _row(row: Difference) -> str:
    """One measurement, old and new, with what lies between."""
    return gettext(
        "{name}: {old}, now {new}: {apart}",
        name=Noun(KINDS[row.code].name),
        old=_value(row.old),
        new=_value(row.new),
        apart=apart_words(row),
    )


def _value(held: Measurement) -> str:
    return gettext(_STANDINGS[held.standing], value=in_both_units(held.value_mm))


def _apart(difference_mm: float) -> str:
    amount = in_both_units(abs(difference_mm))
    if amount == in_both_units(0):
        return gettext("the same")
    if difference_mm > 0:
        return gettext("{amount} more", amount=amount)
    return gettext("{amount} less", amount=amount)


def _confidence(p_two_sided: float) -> str:
    """In whole per cent, rounded down, so that a limit is never reached by rounding."""
    sure = 1 - p_two_sided
    return gettext("over 99 %") if sure > _TELLABLE else f"{math.floor(100 * sure)} %"


def _time_apart(days: int) -> str:
    if days == 0:
        return gettext("measured on the same day")
    weeks, size = abs(days) // _WEEK_DAYS, abs(days)
    if weeks:
        return ngettext("measured {number} week apart", "measured {number} weeks apart", weeks)
    return ngettext("measured {number} day apart", "measured {number} days apart", size)


def _decision_lines(found: SittingsCompared) -> list[str]:
    if not found.redecided:
        return decision_words(found)
    return [gettext("Size decision:"), *_listed_lines(decision_words(found))]


def decision_words(found: SittingsCompared) -> list[str]:
    """What is different in the size decision, or why nothing is.

    Args:
        found: two sittings beside each other.
    """
    match found.decided:
        case "neither":
            return [gettext("Neither sitting has a size decision.")]
        case "both":
            told = [_redecided(row) for row in found.redecided]
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
