"""Ease at each level as a small picture: one strip a level, SVG in black and white."""

from xml.sax.saxutils import escape

from ellwand.language import gettext
from ellwand.sizing.decision import Decision
from ellwand.sizing.strips import Strip, ease_strips

_LEFT, _RIGHT, _WIDTH = 112.0, 500.0, 660.0
_TOP, _ROW, _BELOW = 14.0, 34.0, 58.0
_HALF = 7.0
# A longer name is squeezed into the room before the strips.
_LONGEST_NAME, _NAME_WIDTH = 14, _LEFT - 4
# As attributes, because a page of the service takes no style from within.
_SMALL = 'font-size="11"'
_AXIS = 'class="axis" stroke="#999"'
_HATCH = (
    '<pattern id="ease-hatch" width="6" height="6" patternUnits="userSpaceOnUse" '
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
    strips = ease_strips(decision)
    foot = _TOP + _ROW * len(strips.rows)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH:g} {foot + _BELOW:g}" '
        'role="img" aria-labelledby="ease-told" font-family="sans-serif" font-size="13" '
        f'fill="#222"><title id="ease-told">{escape(strips.alt)}</title><defs>{_HATCH}</defs>',
        *(_strip(row, _TOP + _ROW * (number + 0.5)) for number, row in enumerate(strips.rows)),
        *(
            f'<path {_AXIS} d="M{_x(step.at)} {foot}v5"/><text {_SMALL} '
            f'text-anchor="middle" x="{_x(step.at)}" y="{foot + 18}">{step.words}</text>'
            for step in strips.steps
        ),
        f'<path {_AXIS} d="M{_LEFT} {foot}H{_RIGHT}"/>'
        f'<text {_SMALL} x="{_RIGHT + 8}" y="{foot + 18}">{escape(strips.unit)}</text>'
        f'<text {_SMALL} x="{_LEFT}" y="{foot + 42}">{escape(_legend())}</text></svg>\n',
    ]
    return "".join(parts)


def _legend() -> str:
    return gettext(
        "Hatched: it strains · grey: least to drafted ease · line: as drafted · black: as it is"
    )


def _x(place: float) -> float:
    return round(_LEFT + place * (_RIGHT - _LEFT), 1)


def _strip(row: Strip, middle: float) -> str:
    """What a level's garment needs and has, and hers."""
    top, height = middle - _HALF, 2 * _HALF
    least, drafted, start, end = (_x(one) for one in (row.least, row.drafted, row.start, row.end))
    hers = f'd="M{end} {middle - 5}l5 5l-5 5l-5 -5z"'
    if start != end:
        caps = "".join(f"M{at} {middle - 5}v10" for at in (start, end))
        hers = f'stroke="#222" stroke-width="3" d="M{start} {middle}H{end}{caps}"'
    squeezed = (
        f' textLength="{_NAME_WIDTH:g}" lengthAdjust="spacingAndGlyphs"'
        if len(row.name) > _LONGEST_NAME
        else ""
    )
    return (
        f'<text x="0" y="{middle + 4}"{squeezed}>{escape(row.name)}</text>'
        f'<rect fill="url(#ease-hatch)" x="{_LEFT}" y="{top}" width="{least - _LEFT:.1f}" '
        f'height="{height}"/><rect class="ease" fill="#d9d9d9" x="{least}" y="{top}" '
        f'width="{drafted - least:.1f}" height="{height}"/>'
        f'<path stroke="#222" stroke-width="2" d="M{drafted} {top - 3}v{height + 6}"/>'
        f'<path class="hers" {hers}/>'
        f'<text {_SMALL} x="{_RIGHT + 8}" y="{middle + 4}">{escape(row.beside)}</text>'
    )
