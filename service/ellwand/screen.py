"""What the commands say: lines for people and JSON for programs, made from the sitting alone."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict

from ellwand.card import figures, in_line, in_words, photo_warnings, scale_words
from ellwand.errors import EllwandError
from ellwand.girth.joint import BUST_DIFFERENCE_NAME
from ellwand.language import gettext
from ellwand.measurements import KINDS, Estimate
from ellwand.shown import folded, in_both_units, in_her_order, in_order
from ellwand.sitting import (
    EstimateEntry,
    Sitting,
    View,
    active,
    by_hand,
    confirmed,
    repeatability,
    taken_of,
    tightened,
)
from ellwand.sizing import BETTER_TAPED, REQUIRED, listed
from ellwand.tape import (
    BEFORE,
    CAUTIONS,
    DROPS_MM,
    HOW_TOS,
    Query,
    Section,
    check_code,
    crooked,
    crooked_words,
    scatter,
    section_of,
    summarise,
    taken_words,
)

# In centimetres alone.
_EXTENTS = ("breadth", "depth", "height")
_WIDTH = 80
_NOTHING_FOUND: dict[str, object] = {
    "estimates": {},
    "budget": {},
    "photos": {},
    "scale": None,
    "joint": None,
    "bust_difference": None,
    "outside": [],
    "corrections": [],
    "using_tape": {},
}


def estimate_lines(record: Sitting) -> list[str]:
    """Estimates with their bounds, warnings, and what to tape next.

    Args:
        record: a sitting with findings.
    """
    found = record.findings
    if found is None:
        return []
    named = {KINDS[code].name: found.estimates[code] for code in KINDS if code in found.estimates}
    if found.bust_difference is not None:
        named[gettext(BUST_DIFFERENCE_NAME)] = found.bust_difference
    head = ("", *in_order("cm", "in"), *_EXTENTS)
    rows = [head, *(_row(name, one) for name, one in named.items())]
    wide = [max(len(row[column]) for row in rows) for column in range(len(head))]
    lines = ["From the photos, with 95 % error bounds (rounded outward):"]
    for name, *cells in rows:
        aligned = (cell.rjust(width) for cell, width in zip(cells, wide[1:], strict=True))
        lines.append("  ".join((name.ljust(wide[0]), *aligned)).rstrip())
    given = tightened_lines(record)
    if given:
        lines += ["", *given]
    lines += ["", f"Scale: {scale_words(found)}"]
    lines += photo_warnings(found)
    lines += ["This is a rough guide; cut nothing before the tape has confirmed it."]
    return [*lines, *next_lines(record)]


def corrected_lines(before: Sitting, after: Sitting) -> list[str]:
    """What a correction of lines has changed.

    Args:
        before: the sitting with the findings of before.
        after: the sitting with those worked out anew.
    """
    old, new = before.estimates(), after.estimates()
    lines = ["Corrected; the estimates were worked out anew from the outlines, without the photos:"]
    for code, one in new.items():
        was = old.get(code)
        if was is not None and (was.value_mm, was.u_mm) != (one.value_mm, one.u_mm):
            told = in_words(one.value_mm, one.low_mm, one.high_mm)
            lines.append(f"  {KINDS[code].name}: {told}, was {in_both_units(was.value_mm)}")
    if len(lines) == 1:
        lines = ["Corrected; no estimate has changed."]
    marked = [f"{KINDS[code].name} ({what})" for code, what in by_hand(after.findings).items()]
    held = f"By hand now: {listed(marked)}." if marked else "No line is corrected by hand now."
    return [*lines, held]


def beforehand_lines() -> list[str]:
    """What holds for all that is measured with a tape, and what can be asked for."""
    return [
        "Mind:",
        *_listed_lines([gettext(text) for text in CAUTIONS]),
        "Before you begin:",
        *_listed_lines([in_her_order(gettext(text)) for text in BEFORE]),
        "Then for each, `ellwand howto CODE`:",
        *(f"  {kind.code}: {in_her_order(gettext(kind.taken))}" for kind in KINDS.values()),
    ]


def how_to_lines(code: str, estimates: Mapping[str, Estimate]) -> list[str]:
    """How one measurement is taken, and what a crooked tape does to it.

    Args:
        code: of the measurement.
        estimates: from her photos, by code; may be empty.

    Raises:
        EntryProblem: no such measurement.
    """
    check_code(code)
    kind, how = KINDS[code], HOW_TOS[code]
    lines = [f"{kind.name}: {in_her_order(gettext(kind.taken))}", ""]
    for heading, words in how.parts():
        lines += [heading, *_indented(words)]
    lines += ["What goes wrong", *_listed_lines(how.wrong)]
    section = section_of(code, estimates)
    if section is not None:
        lines += _crooked_lines(section)
    return [*lines, "", "Mind:", *_listed_lines([gettext(text) for text in CAUTIONS])]


def _crooked_lines(section: Section) -> list[str]:
    found = [crooked(section, drop_mm) for drop_mm in DROPS_MM]
    return [
        "When the tape drops at the back",
        *(
            f"  {in_both_units(one.drop_mm)} lower: about {in_both_units(one.together_mm)} more"
            for one in found
        ),
        *_indented(crooked_words(section)),
    ]


def _indented(words: str) -> list[str]:
    return folded(words, _WIDTH, "  ", "  ")


def _listed_lines(texts: Sequence[str]) -> list[str]:
    return [line for text in texts for line in folded(text, _WIDTH, "- ", "  ")]


def tightened_lines(record: Sitting, code: str | None = None) -> list[str]:
    """Estimates that lean on readings of other girths.

    Args:
        record: the sitting.
        code: only those that lean on this girth; None for all.
    """
    given = tightened(record.findings, record.measurements)
    rows = [
        f"  {KINDS[name].name}: "
        f"{in_words(one.estimate.value_mm, one.estimate.low_mm, one.estimate.high_mm)}"
        for name, one in given.items()
        if name in KINDS and (code is None or code in one.by)
    ]
    return ["Estimated, using your tape readings:", *rows] if rows else []


def next_lines(record: Sitting) -> list[str]:
    """What to measure with the tape next."""
    done = confirmed(record)
    needed = [KINDS[code].name for code in REQUIRED if code not in done]
    better = [KINDS[code].name for code in BETTER_TAPED if code not in done]
    lines = []
    if needed:
        lines.append(f"Next, with the tape, twice each: {listed(needed)} (the size needs them).")
    if better:
        lines.append(f"Better taped than estimated: {listed(better)}.")
    return lines


def check_lines(record: Sitting) -> list[str]:
    """Every measurement with its standing, readings and queries, and how far repeats scatter."""
    if not record.measurements:
        return ["Nothing has been measured yet.", *next_lines(record)]
    lines = []
    hand = by_hand(record.findings)
    for code, held in record.measurements.items():
        if code not in KINDS:
            continue
        # Half way between readings that differ lies a value that no tape has shown.
        counting = [row.mm for row in active(record, code)]
        apart = len(counting) > 1 and not summarise(counting).agree
        value = "readings differ" if apart else in_both_units(held.value_mm)
        lines.append(f"{KINDS[code].name}: {value}, {held.standing}")
        if held.standing == "estimated" and code in hand:
            lines.append(f"  {hand[code]} corrected by hand")
        rows = record.readings.get(code, ())
        typed = [f"{row.raw} (no longer counts)" if row.superseded else row.raw for row in rows]
        lines += [f"  typed: {'; '.join(typed)}"] if typed else []
        ways = [taken_words(taken, "you") or "untold" for taken in taken_of(record, code)]
        lines += [f"  taken: {'; '.join(ways)}"] if ways else []
        lines += [f"  kept because “{held.reason}”"] if held.standing == "kept" else []
        for words in query_lines([query.query(code) for query in held.queries]):
            lines += _indented(words)
    found = repeatability(record)
    told = [] if found is None else folded(scatter(found), _WIDTH)
    return [*lines, "", *told, *next_lines(record)]


def taking_lines(record: Sitting) -> list[str]:
    """How readings are taken from now on."""
    words = taken_words(record.taking.taken(), "you") or "nothing of how they are taken"
    return [f"Noted for these readings and those to come: {words}."]


def query_lines(queries: Sequence[Query]) -> list[str]:
    """Queries and remarks about one measurement."""
    return [
        f"{'Query' if query.blocks else 'Remark'}: {query.told} {query.advice}" for query in queries
    ]


def keep_lines(record: Sitting, code: str) -> list[str]:
    """What was kept and why."""
    held = record.measurements[code]
    return [f"{KINDS[code].name}: {in_both_units(held.value_mm)}, kept because “{held.reason}”."]


def estimate_json(record: Sitting) -> str:
    """The findings of a sitting as one JSON document.

    Args:
        record: a sitting with findings.
    """
    found = record.findings
    if found is None:
        return _json(_NOTHING_FOUND)
    budget = {
        code: {part.source: part.share for part in one.budget}
        for code, one in found.estimates.items()
    }
    return _json(
        {
            # Each estimate carries its budget; the budgets stand together, too, to be compared.
            "estimates": {
                code: {**one.model_dump(mode="json"), "budget": budget[code]}
                for code, one in found.estimates.items()
            },
            "budget": budget,
            "photos": {"front": _photo(found.front), "side": _photo(found.side)},
            "scale": found.scale.model_dump(mode="json"),
            "joint": asdict(found.together()),
            "bust_difference": found.bust_difference
            and found.bust_difference.model_dump(mode="json"),
            "outside": found.outside,
            "corrections": [one.model_dump(mode="json") for one in found.corrections],
            "using_tape": {
                code: {
                    "value_mm": one.estimate.value_mm,
                    "u_mm": one.estimate.u_mm,
                    "low_mm": one.estimate.low_mm,
                    "high_mm": one.estimate.high_mm,
                    "tightened_by": one.by,
                }
                for code, one in tightened(found, record.measurements).items()
            },
        }
    )


def refusal_json(error: EllwandError) -> str:
    """What speaks against the photos as one JSON document of the same shape.

    Args:
        error: why there is no estimate.
    """
    from ellwand.photo.problems import PhotosRefused

    views: dict[str, list[dict[str, str]]] = {"front": [], "side": []}
    if isinstance(error, PhotosRefused):
        for view, problems in error.problems.items():
            views[view] = [
                {"code": one.code, "severity": one.severity, "advice": one.advice}
                for one in problems
            ]
    else:
        # What was found in both photos together speaks against either.
        told = {"code": error.code, "severity": "refused", "advice": str(error)}
        views = {"front": [told], "side": [told]}
    return _json(
        _NOTHING_FOUND
        | {
            "photos": {view: {"problems": problems} for view, problems in views.items()},
            "refused": {"code": error.code, "sentence": error.sentence, "advice": error.advice},
        }
    )


def _row(name: str, one: EstimateEntry) -> tuple[str, ...]:
    shown = figures(one.value_mm, one.low_mm, one.high_mm)
    bound = "" if shown.bound_inches is None else f" ± {in_line(shown.bound_inches)}"
    return (
        name,
        *in_order(f"{shown.cm} ± {shown.bound_cm}", f"{in_line(shown.inches)}{bound}"),
        *(f"{mm / 10:.1f}" if mm else "" for mm in (one.breadth_mm, one.depth_mm, one.height_mm)),
    )


def _photo(view: View) -> dict[str, object]:
    # The traced edges are for measuring again; the outline tells all that is to be seen.
    plain: dict[str, object] = view.model_dump(mode="json", exclude={"traced"})
    return plain


def _json(content: object) -> str:
    # ASCII only, so that any terminal and any pipe takes it.
    return json.dumps(content, indent=2, allow_nan=False)
