"""What `ellwand tryon` says: lines for people and JSON for programs."""

import json
from collections.abc import Iterator
from dataclasses import asdict

from ellwand.listing import capital
from ellwand.measurements import KINDS
from ellwand.shown import folded, in_both_units
from ellwand.sitting import TriedOn, TryOnEntry
from ellwand.sizing import FINDINGS, TRY_ON_LEVELS, Examined, finding_words, pattern_words
from ellwand.sizing.causes import Weighed

_WIDTH = 96
_MADE = {
    "planned": "cut as the size decision says",
    "plain": "cut without the changes of the size decision",
    "altered": "altered as its last try-on said",
    "untold": "judged as if it was cut without the changes of the size decision",
}

_UNTOLD = (
    "The size decision changes the pattern, and it was not told whether the garment was cut so: "
    "where it does, the next order does not start from this try-on. Record it again with --made "
    "planned (with the changes) or --made plain (without)."
)


def word_lines() -> list[str]:
    """The words that a finding can be told in, each with how to see it."""
    levels = ", ".join(KINDS[level].name for level in TRY_ON_LEVELS)
    lines = ["What can be seen at a try-on, for --finding:"]
    for kind in FINDINGS.values():
        lines += [f"  {kind.words}{' at LEVEL' if kind.at_level else ''}", f"      {kind.see}"]
    return [*lines, f"LEVEL: {levels}"]


def tryon_lines(tried: TriedOn) -> list[str]:
    """What each finding comes from, what to do, and what the next order starts from."""
    entry = tried.record.tryons[-1]
    lines = _wrapped(f"{_head(entry)}.")
    if entry.made == "untold":
        lines += _wrapped(_UNTOLD)
    remark = _layer(tried, entry)
    lines += _wrapped(remark) if remark else []
    told: set[str] = set()
    for one in tried.examined:
        lines += ["", capital(finding_words(one.finding))]
        lines += _finding(one, told)
    return [*lines, "", *_wrapped(f"The next order starts from {_next_order(tried)}.")]


def tryon_json(tried: TriedOn) -> str:
    """The same for programs, with the try-on as the file holds it."""
    content = {
        "tryon": tried.record.tryons[-1].model_dump(mode="json"),
        "findings": [
            {
                "words": finding_words(one.finding),
                **asdict(one.finding),
                "causes": [
                    {"words": cause.words, **asdict(cause), "remedy": asdict(asked)}
                    for cause, asked in one.causes
                ],
            }
            for one in tried.examined
        ],
        "learnt": [asdict(one) for one in tried.learnt],
        "next_order": _next_order(tried),
    }
    return json.dumps(content, indent=2, allow_nan=False)


def _next_order(tried: TriedOn) -> str:
    return pattern_words(tried.next_order.changes, tried.worn.size, tried.worn.block)


def _head(entry: TryOnEntry) -> str:
    over = f", worn over {entry.over}" if entry.over else ""
    return f"{entry.garment.replace('-', ' ')}, size {entry.size}, {_MADE[entry.made]}{over}"


def _layer(tried: TriedOn, entry: TryOnEntry) -> str | None:
    """What it was worn over, against what its ease is counted with."""
    layer = tried.worn.garment.under_layer_mm
    if entry.over and layer == 0:
        return (
            f"It is drafted to be worn over nothing that adds girth: if “{entry.over}” does, try "
            "it on without once before anything is changed."
        )
    if not entry.over and layer > 0:
        return (
            f"It is drafted with {in_both_units(layer)} for a layer under it: try it on over that "
            "layer before anything is changed."
        )
    return None


def _finding(one: Examined, told: set[str]) -> Iterator[str]:
    if one.finding.code == "fits":
        yield from _item("Noted", "the next order starts from this.")
        return
    first = next((pair for pair in one.causes if pair[0].possible), None)
    if first is None:
        yield from _item(
            "First",
            "check the tape and how it was cut: the numbers speak against every usual cause.",
        )
    for cause, asked in one.causes:
        if first is not None and cause is first[0]:
            again = cause.words in told
            yield from _item(
                "First", f"{cause.words}{', as above.' if again else f'. {cause.why}'}"
            )
            if not again:
                yield from _item("  Now", asked.now)
                yield from _item("  Next time", asked.next_time)
            told.add(cause.words)
        else:
            yield from _item(_title(cause), f"{cause.words}. {cause.why}")


def _title(cause: Weighed) -> str:
    return {"unlikely": "Hardly", "later": "Leave alone"}.get(cause.weight, "Then")


def _item(title: str, text: str) -> list[str]:
    return folded(f"{title}: {text}", _WIDTH, "  ", "      ")


def _wrapped(text: str) -> list[str]:
    return folded(capital(text), _WIDTH)
