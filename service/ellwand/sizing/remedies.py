"""What a cause asks for: how much is lacking, what the seams can give, what to change next time.

Source: common practice, no source, for the let-out rule, for a French seam that has nothing left
to let out.
"""

import math
from dataclasses import dataclass

from ellwand.girth.joint import COVERAGE_FACTOR_95, interval_95
from ellwand.measurements import KINDS
from ellwand.shown import half_up, in_both_units
from ellwand.sizing.block import EASE_LEVELS, EaseLevel
from ellwand.sizing.causes import Weighed
from ellwand.sizing.changes import FRONT_HALVES, LEAST_CHANGE_MM
from ellwand.sizing.size_parts import level_words
from ellwand.sizing.tryon import Cause, Finding
from ellwand.sizing.wording import LEAST_SHOWN_MM, amount_words, edge_words, split_words
from ellwand.sizing.worn import LevelWorn, Worn


@dataclass(frozen=True)
class Remedy:
    """What to do about a cause.

    Args:
        now: what to do to this garment.
        next_time: what to change on the block for the next order.
        level: where girth is to change, None where the cause is no matter of girth.
        lacking_mm: girth to add, below zero to take; None where nothing tells how much.
        low_mm: lower end of its bound.
        high_mm: upper end of it.
        each_edge_mm: what each seam edge is let out by, below zero to be taken in.
        gain_mm: girth that this gives now.
        remaining_mm: girth that is lacking still when the allowance is used up.
        wanted_mm: girth beyond the drafted size that the next order starts from.
    """

    now: str
    next_time: str
    level: EaseLevel | None = None
    lacking_mm: float | None = None
    low_mm: float = 0.0
    high_mm: float = 0.0
    each_edge_mm: float = 0.0
    gain_mm: float = 0.0
    remaining_mm: float = 0.0
    wanted_mm: float | None = None


def remedy(weighed: Weighed, findings: tuple[Finding, ...], worn: Worn) -> Remedy:
    """What one cause asks for.

    Args:
        weighed: the cause.
        findings: all findings of the try-on, for the amounts that were measured.
        worn: the numbers of the garment.
    """
    cause = weighed.cause
    match cause.code:
        case "tight" | "loose":
            found = _width(cause, _typed(cause, findings), worn)
        case "cup-fuller" | "cup-smaller":
            found = _other_cup(cause.code == "cup-fuller", worn)
        case "shoulders-too-wide" | "shoulders-too-narrow":
            found = _shoulders(worn)
        case "back-too-long" | "back-too-short":
            found = _back(cause.code == "back-too-long", worn)
        case _:
            found = Remedy(*_IN_WORDS[cause.code])
    return found


def _width(cause: Cause, typed_mm: float | None, worn: Worn) -> Remedy:
    """Too little or too much of a girth."""
    if cause.level in EASE_LEVELS:
        return (_let_out if cause.code == "tight" else _take_in)(cause.level, typed_mm, worn)
    if cause.level == "high_bust":
        return _frame(cause, worn)
    return _sleeve(cause, typed_mm)


def _typed(cause: Cause, findings: tuple[Finding, ...]) -> float | None:
    """What was measured on her at the level of a cause."""
    code = "snug" if cause.code == "tight" else "loose"
    return next(
        (one.by_mm for one in findings if (one.code, one.level) == (code, cause.level)), None
    )


def _let_out(level: EaseLevel, typed_mm: float | None, worn: Worn) -> Remedy:
    """Girth that is lacking, out of the allowance now and into the block for the next time."""
    row, name = worn.levels.get(level), KINDS[level].name
    value, low, high = _lacking(typed_mm, row)
    if value is None:
        return Remedy(
            f"Nothing tells how much is lacking at the {name}: open the side seams there, measure "
            f"how far they stand apart, and record it with --by. {_room(level, worn)}",
            "Waits for that amount.",
            level,
        )
    spare = worn.spare_mm(level)
    each = min(value / worn.edges, spare)
    gain = each * worn.edges
    gained, chalked = split_words(gain, worn.edges, math.floor if each == spare else half_up)
    remaining = max(0.0, value - gain)
    now = f"It lacks {in_both_units(value)} at the {name}{_bound(low, high)}. "
    if each > 0:
        now += (
            f"Let the side seams out there by {chalked} at each of {worn.edges} edges, "
            f"which gains {gained}. "
        )
    if remaining > LEAST_SHOWN_MM:
        now += f"{_room(level, worn)} {in_both_units(remaining)} would still be lacking. "
    wanted = worn.sewn[level].added_mm + value
    return Remedy(
        now.rstrip(), _next_time(level, wanted, worn, "" if typed_mm else "at least "),
        level, value, low, high, each, gain, remaining, wanted,
    )  # fmt: skip


def _lacking(typed_mm: float | None, row: LevelWorn | None) -> tuple[float | None, float, float]:
    """How much is lacking, with the ends of its bound.

    What was measured on her goes before what the numbers say. They say what is lacking to the
    least ease; where it only may be lacking, the upper end, because width can be taken in again.
    """
    if typed_mm is not None:
        return typed_mm, typed_mm, typed_mm
    if row is None:
        return None, 0.0, 0.0
    value = row.least_mm - row.ease_mm
    low, high = interval_95(value, row.u_mm)
    low = max(0.0, low)
    if value >= LEAST_CHANGE_MM:
        return value, low, high
    return (high, low, high) if high >= LEAST_CHANGE_MM else (None, 0.0, 0.0)


def _bound(low: float, high: float) -> str:
    """The ends of a bound; nothing for what was measured on her."""
    return "" if high - low < LEAST_SHOWN_MM else f", by her numbers {amount_words(low, high)}"


def _room(level: EaseLevel, worn: Worn) -> str:
    spare = worn.spare_mm(level)
    if worn.garment.seam == "french":
        return "A French seam has nothing left to let out."
    if spare <= 0:
        return "The allowance has nothing left to let out."
    whole, each = split_words(spare * worn.edges, worn.edges, math.floor)
    return f"The allowance can give {each} at each edge, {whole} in all."


def _next_time(level: EaseLevel, wanted_mm: float, worn: Worn, limit: str = "") -> str:
    """The girth of the next pattern; "at least" or "at most" where it was not measured on her."""
    words = level_words(level, wanted_mm, worn.body_mm(level), worn.size, worn.block)
    amount = f"{in_both_units(abs(wanted_mm))} {'more' if wanted_mm >= 0 else 'less'} than drafted"
    return f"Size {worn.size.name} at the bust, {limit}{words} ({amount})."


def _take_in(level: EaseLevel, typed_mm: float | None, worn: Worn) -> Remedy:
    """Girth that is too much, out of the side seams."""
    row, name = worn.levels.get(level), KINDS[level].name
    value = typed_mm
    if value is None and row is not None and row.ease_mm - row.drafted_mm >= LEAST_CHANGE_MM:
        value = row.ease_mm - row.drafted_mm
    if value is None:
        return Remedy(
            f"Nothing tells how much is too much at the {name}: pinch both sides alike, measure "
            "what is pinched, and record it with --by.",
            "Waits for that amount.",
            level,
        )
    each = value / worn.edges
    whole, chalked = split_words(value, worn.edges)
    wanted = worn.sewn[level].added_mm - value
    return Remedy(
        f"Take the side seams in at the {name} by {chalked} at each of {worn.edges} edges, "
        f"{whole} in all.",
        _next_time(level, wanted, worn, "" if typed_mm else "at most "),
        level, -value, -value, -value, -each, -value, 0.0, wanted,
    )  # fmt: skip


def _other_cup(fuller: bool, worn: Worn) -> Remedy:
    """A full or small bust adjustment of what her difference and the front's are apart."""
    amount = worn.difference_mm - worn.front_mm
    name = "full bust adjustment" if fuller else "small bust adjustment"
    if (amount if fuller else -amount) < LEAST_CHANGE_MM:
        return Remedy(
            "The front cannot be changed once it is cut.",
            f"Nothing tells how much: pin the front of the next trial for a {name}.",
        )
    bound = COVERAGE_FACTOR_95 * worn.u_difference_mm
    whole, half = split_words(abs(amount), FRONT_HALVES)
    wanted = worn.sewn["full_bust"].added_mm + amount
    room = f" {_room('full_bust', worn)} That eases the pull but does not change the shape."
    return Remedy(
        "The front cannot be given another cup once it is cut." + (room if fuller else ""),
        f"A {name} of {whole} {'more' if fuller else 'less'} than this one had, {half} in each "
        "half of the front.",
        "full_bust", amount, amount - bound, amount + bound, wanted_mm=wanted,
    )  # fmt: skip


def _shoulders(worn: Worn) -> Remedy:
    size, hers = worn.size.shoulder_width_mm, worn.confirmed.get("shoulder_width")
    if hers is None or size is None:
        return Remedy(
            "Pin the shoulder ends where hers are, then set the sleeves there.",
            "The shoulder as pinned.",
        )
    each = abs(size - hers.value_mm) / 2
    way = "in" if size > hers.value_mm else "out as far as the allowance of the armhole gives"
    return Remedy(
        f"Set each sleeve {edge_words(each)} farther {way}.",
        f"Draw each shoulder {edge_words(each)} {'shorter' if way == 'in' else 'longer'}.",
    )


def _back(too_long: bool, worn: Worn) -> Remedy:
    hers = worn.confirmed.get("back_waist_length")
    tell = "Pin the fold out" if too_long else "Open the waist seam and measure the gap"
    if hers is None or worn.back_mm is None:
        amount = "what is pinned" if too_long else "what was measured"
    else:
        amount = in_both_units(abs(worn.back_mm - hers.value_mm))
    where = "out of the centre back at the waist, to nothing at the side seams"
    return Remedy(
        f"{tell}; nothing else can be done to a sewn back.",
        f"Take {amount} {where}." if too_long else f"Lengthen front and back by {amount}.",
    )


def _frame(cause: Cause, worn: Worn) -> Remedy:
    sizes = worn.block.sizes
    number = sizes.index(worn.size) + (1 if cause.code == "tight" else -1)
    if not 0 <= number < len(sizes):
        return Remedy("Shoulders and armholes cannot be let out.", "The block has no such size.")
    return Remedy(
        "Shoulders and armholes cannot be changed once they are sewn.",
        f"Tape the high bust once more; if it stays, try size {sizes[number].name} at the bust and "
        "keep the girths below it.",
    )


def _sleeve(cause: Cause, typed_mm: float | None) -> Remedy:
    verb, more = ("Let", "wider") if cause.code == "tight" else ("Take", "narrower")
    out = "out" if cause.code == "tight" else "in"
    if typed_mm is None:
        return Remedy(
            f"{verb} the sleeve seam {out} as pinned, half at each edge.",
            f"The sleeve {more} by the same, cap and armhole walked together again.",
        )
    return Remedy(
        f"{verb} the sleeve seam {out} by {edge_words(typed_mm / 2)} at each of 2 edges, as far as "
        "its allowance goes.",
        f"The sleeve {in_both_units(typed_mm)} {more}, cap and armhole walked together again.",
    )


_IN_WORDS = {
    "shoulders-slope": (
        "A thin shoulder pad, or the shoulder seam taken deeper at its outer end.",
        "The slope of the shoulder, and the armhole lowered by the same.",
    ),
    "bust-point-elsewhere": (
        "Sew the darts anew, towards the point marked.",
        "The dart points where her bust point is.",
    ),
    "neck-edge-stretched": (
        "Ease the neck edge onto its tape or facing, shrunk with steam.",
        "Nothing on the block: stay the neck edge before it is handled.",
    ),
    "cap-too-low": (
        "Set the sleeve with less taken into the seam at the top of the cap.",
        "A higher cap, walked into the armhole again.",
    ),
}
