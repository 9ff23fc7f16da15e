"""Her outline as paper and page show it: levels with numbers, the words below, and as SVG."""

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape

from ellwand.card.drawing import BodyDrawing, DrawnView, Point
from ellwand.card.wording import OUTLINE_WORDS, name_of
from ellwand.language import gettext
from ellwand.measurements import LEVELS, LevelCode
from ellwand.sizing import listed

# For each span of the drawing, and room for numbers on both sides of a view (judged).
_UNITS, _BESIDE, _GAP = 100.0, 16.0, 12.0


@dataclass(frozen=True)
class NumberedLevel:
    """A level with its number.

    Args:
        number: the same in both views.
        y: its height in spans, downwards from the neck.
        ends: both ends on the outline, from the left.
    """

    number: int
    y: float
    ends: tuple[float, float]


@dataclass(frozen=True)
class NumberedView:
    """Her outline from one side, in spans.

    Args:
        width: of the drawing.
        strokes: lines to be drawn.
        levels: from the top.
    """

    width: float
    strokes: tuple[tuple[Point, ...], ...]
    levels: tuple[NumberedLevel, ...]


@dataclass(frozen=True)
class Outline:
    """Her outline with all that stands beside it.

    Args:
        height: of both views, in spans.
        views: from the front and from the side.
        heading: what it is.
        text: what the numbers mean, and whose it is.
        alt: the drawing in words.
    """

    height: float
    views: tuple[NumberedView, NumberedView]
    heading: str
    text: str
    alt: str


def outline_of(drawing: BodyDrawing) -> Outline:
    """Give each level that is drawn its number, and say what they are.

    Args:
        drawing: of both views.
    """
    views = (drawing.front, drawing.side)
    codes: list[LevelCode] = [
        code for code in LEVELS if any(code == one.code for view in views for one in view.levels)
    ]
    names = [name_of(code) for code in codes]
    numbered = ", ".join(f"{number} {name}" for number, name in enumerate(names, 1))
    return Outline(
        height=drawing.height,
        views=(_numbered(drawing.front, codes), _numbered(drawing.side, codes)),
        heading=gettext("Her outline"),
        text=f"{numbered}. {gettext(OUTLINE_WORDS)}",
        alt=gettext(
            "Her outline from the front and from the side, from the neck to the thighs, with "
            "the levels of {names}.",
            names=listed(names),
        ),
    )


def outline_svg(outline: Outline) -> str:
    """Draw it in the colour of the text around it.

    Args:
        outline: with both views.

    Returns:
        An SVG element that is known by its words; odd numbers stand left, even ones right.
    """
    wide = sum(view.width * _UNITS + 2 * _BESIDE for view in outline.views) + _GAP
    tall = outline.height * _UNITS
    parts, left = list[str](), 0.0
    for view in outline.views:
        parts += _view(view, left + _BESIDE)
        left += view.width * _UNITS + 2 * _BESIDE + _GAP
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:.1f} {tall:.1f}" role="img" '
        f'aria-label="{escape(outline.alt)}" fill="none" stroke="currentColor" '
        f'font-family="sans-serif" font-size="9">{"".join(parts)}</svg>'
    )


def _view(view: NumberedView, left: float) -> Iterator[str]:
    for stroke in view.strokes:
        points = " ".join(f"{left + x * _UNITS:.1f},{y * _UNITS:.1f}" for x, y in stroke)
        yield f'<polyline points="{points}" stroke-linejoin="round" stroke-linecap="round"/>'
    for level in view.levels:
        y = level.y * _UNITS
        low, high = (left + end * _UNITS for end in level.ends)
        odd = level.number % 2 == 1
        near, far = (low, left) if odd else (high, left + view.width * _UNITS)
        number = left - _BESIDE / 2 if odd else far + _BESIDE / 2
        yield f'<path d="M{low:.1f} {y:.1f}H{high:.1f}" stroke-width="0.8"/>'
        yield (
            f'<path d="M{near:.1f} {y:.1f}H{far:.1f}" stroke-width="0.5" stroke-dasharray="1 2"/>'
        )
        yield (
            f'<text x="{number:.1f}" y="{y + 3:.1f}" text-anchor="middle" stroke="none" '
            f'fill="currentColor">{level.number}</text>'
        )


def _numbered(view: DrawnView, codes: list[LevelCode]) -> NumberedView:
    return NumberedView(
        view.width,
        view.strokes,
        tuple(
            NumberedLevel(codes.index(level.code) + 1, level.y, level.ends) for level in view.levels
        ),
    )
