"""Ease at each level as a small picture: one strip a level, SVG in black and white."""

from xml.sax.saxutils import escape

from ellwand.measurements import KINDS
from ellwand.quantity import in_both_units
from ellwand.sizing.decision import Decision, LevelEase

_LEFT, _RIGHT, _WIDTH = 112.0, 500.0, 660.0
_TOP, _ROW, _BELOW = 14.0, 34.0, 58.0
_HALF = 7.0
# Room at both ends of the scale, and one of its steps.
_ROOM_MM, _STEP_MM = 15.0, 50.0
_STYLE = (
    "text{font:13px sans-serif;fill:#222}.small{font-size:11px}.axis{stroke:#999;stroke-width:1}"
    ".ease{fill:#d9d9d9}.tight{fill:url(#hatch)}.drafted{stroke:#222;stroke-width:2}"
    ".hers{fill:#222;stroke:#222;stroke-width:3}"
)
_HATCH = (
    '<pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" '
    'patternTransform="rotate(45)"><path d="M0 0V6" stroke="#777"/></pattern>'
)


def ease_chart(decision: Decision) -> str:
    """The ease that the chosen size leaves at each level, before any change.

    Args:
        decision: with at least one level.

    Returns:
        An SVG document: hatched where the garment strains, grey from the least to the drafted
        ease, a line at the drafted ease, a diamond at hers, or a bar from one end of a bound to
        the other.
    """
    rows = decision.ease
    ends = [
        value
        for row in rows
        for value in (row.least_mm, row.drafted_mm, row.ease_at_low_mm, row.ease_at_high_mm)
    ]
    low, high = min(0.0, *ends) - _ROOM_MM, max(0.0, *ends) + _ROOM_MM
    height = _TOP + _ROW * len(rows) + _BELOW

    def x(mm: float) -> float:
        return round(_LEFT + (mm - low) / (high - low) * (_RIGHT - _LEFT), 1)

    foot = _TOP + _ROW * len(rows)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH:g} {height:g}" role="img" '
        f'aria-labelledby="what"><title id="what">{escape(_in_words(decision))}</title>',
        f"<defs>{_HATCH}</defs><style>{_STYLE}</style>",
    ]
    for number, row in enumerate(rows):
        middle = _TOP + _ROW * (number + 0.5)
        parts.append(_strip(row, middle, x(low), x(row.least_mm), x(row.drafted_mm)))
        parts.append(_hers(middle, x(row.ease_at_high_mm), x(row.ease_at_low_mm)))
    steps = range(int(low // _STEP_MM) + 1, int(high // _STEP_MM) + 1)
    for step in steps:
        at = x(step * _STEP_MM)
        parts.append(
            f'<path class="axis" d="M{at} {foot}v5"/><text class="small" text-anchor="middle" '
            f'x="{at}" y="{foot + 18}">{step * _STEP_MM / 10:g}</text>'
        )
    parts.append(
        f'<path class="axis" d="M{_LEFT} {foot}H{_RIGHT}"/>'
        f'<text class="small" x="{_RIGHT + 8}" y="{foot + 18}">cm of ease</text>'
        f'<text class="small" x="{_LEFT}" y="{foot + 42}">hatched: it strains · grey: least to '
        "drafted ease · line: as drafted · black: yours</text></svg>\n"
    )
    return "".join(parts)


def _strip(row: LevelEase, middle: float, low: float, least: float, drafted: float) -> str:
    """What a level's garment needs and has."""
    top, height = middle - _HALF, 2 * _HALF
    return (
        f'<text x="0" y="{middle + 4}">{escape(KINDS[row.level].name)}</text>'
        f'<rect class="tight" x="{low}" y="{top}" width="{least - low:.1f}" height="{height}"/>'
        f'<rect class="ease" x="{least}" y="{top}" width="{drafted - least:.1f}" '
        f'height="{height}"/><path class="drafted" d="M{drafted} {top - 3}v{height + 6}"/>'
        f'<text class="small" x="{_RIGHT + 8}" y="{middle + 4}">{escape(_ease(row))}</text>'
    )


def _hers(middle: float, at_high: float, at_low: float) -> str:
    """Her ease: a diamond, or a bar over its bound."""
    if at_low == at_high:
        return (
            f'<path class="hers" d="M{at_low} {middle - 5}l5 5l-5 5l-5 -5z" '
            'style="stroke-width:0"/>'
        )
    ends = "".join(f"M{at} {middle - 5}v10" for at in (at_high, at_low))
    return f'<path class="hers" d="M{at_high} {middle}H{at_low}{ends}"/>'


def _ease(row: LevelEase) -> str:
    if row.ease_at_low_mm == row.ease_at_high_mm:
        return in_both_units(row.ease_at_low_mm)
    return f"{row.ease_at_high_mm / 10:.1f} to {row.ease_at_low_mm / 10:.1f} cm"


def _in_words(decision: Decision) -> str:
    told = "; ".join(f"{KINDS[row.level].name} {_ease(row)}" for row in decision.ease)
    return f"Ease of size {decision.size.name} at each level: {told}"
