"""Her outline on the card: only where she wants it, headless, at one scale in both views."""

import io
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from ellwand.card import CardContent, card_json, card_pdf, content_of
from ellwand.card.drawing import DrawnView, body_drawing
from ellwand.card.wording import OUTLINE_WORDS
from ellwand.sitting import FindingsEntry, Sitting, View, entry_of

from ..sitting.invented import findings
from .test_measurement_card import plain

SIDES = {"left": 60.0, "right": -60.0}


def ring(middle_px: float, half_px: float) -> tuple[tuple[float, float], ...]:
    """A body like a board, with a narrow neck and a head, a point every 5 px."""
    right = [
        *((middle_px + 10, y) for y in range(100, 200, 5)),
        *((middle_px + half_px, y) for y in range(200, 900, 5)),
    ]
    left = [(2 * middle_px - x, y) for x, y in reversed(right)]
    return tuple((float(x), float(y)) for x, y in (*right, *left))


def view(middle_px: float = 500, half_px: float = 60, scale: float = 1.0) -> View:
    """Nose at 150, shoulders at 200, full bust at 300, waist at 400, full hip at 500."""
    heights = {"full_bust": 300.0, "waist": 400.0, "full_hip": 500.0}
    return View(
        width_px=1000,
        height_px=1000,
        outline_px=tuple((x * scale, y * scale) for x, y in ring(middle_px, half_px)),
        landmarks_px={"nose": (middle_px * scale, 150 * scale, 1.0)}
        | {
            f"{side}_shoulder": ((middle_px + by) * scale, 200 * scale, 1.0)
            for side, by in SIDES.items()
        },
        references_px=(),
        levels_px={
            code: (((middle_px - half_px) * scale, y * scale), ((middle_px + half_px) * scale,
                                                              y * scale))
            for code, y in heights.items()
        },
    )  # fmt: skip


def entry(front: View, side: View) -> FindingsEntry:
    return entry_of(findings()).model_copy(update={"front": front, "side": side})


def points(drawn: DrawnView) -> list[tuple[float, float]]:
    return [point for stroke in drawn.strokes for point in stroke]


def test_it_goes_from_the_neck_to_the_thighs_at_one_scale() -> None:
    made = body_drawing(entry(view(), view(300, 40, scale=1.5)))
    assert made is not None
    # A span is the 200 px from full bust to full hip; the cut is at 180, 0.6 of the way from nose
    # to shoulders, and the drawing ends 0.35 spans below the full hip.
    assert made.height == pytest.approx(0.6 + 1 + 0.35)
    for drawn, half in ((made.front, 0.3), (made.side, 0.2)):
        assert [level.code for level in drawn.levels] == ["full_bust", "waist", "full_hip"]
        assert [level.y for level in drawn.levels] == pytest.approx([0.6, 1.1, 1.6])
        for level in drawn.levels:
            assert level.ends[1] - level.ends[0] == pytest.approx(2 * half, abs=0.002)
        # Both flanks are where they were found, in a part without corners.
        flanks = [x for x, y in points(drawn) if 0.6 < y < 1.6]
        for end in drawn.levels[1].ends:
            assert min(abs(x - end) for x in flanks) < 0.002


def test_there_is_no_head_in_it() -> None:
    made = body_drawing(entry(view(), view()))
    assert made is not None
    for drawn in (made.front, made.side):
        assert min(y for _, y in points(drawn)) >= 0
        # The neck is open: two lines, none from one flank to the other.
        assert len(drawn.strokes) == 2


@settings(max_examples=40)
@given(st.floats(0, 6.28), st.integers(0, 200))
def test_every_point_stays_in_the_drawing(turn: float, begin: int) -> None:
    """Wherever the polygon begins, and with wrists far out."""
    whole = list(ring(500, 60))
    whole[60:60] = [(560 + 300 * (turn / 6.28), 480.0), (560.0, 490.0)]
    turned = (*whole[begin:], *whole[:begin])
    made = body_drawing(entry(view().model_copy(update={"outline_px": turned}), view()))
    assert made is not None
    for x, y in points(made.front):
        assert 0 <= x <= made.front.width
        assert 0 <= y <= made.height


@pytest.mark.parametrize(
    "lacking",
    [
        {"landmarks_px": {}},
        {"levels_px": {}},
        {"landmarks_px": view().landmarks_px | {"nose": (500.0, 250.0, 1.0)}},
        {"levels_px": view().levels_px | {"full_hip": view().levels_px["full_bust"]}},
    ],
)
def test_without_what_it_needs_there_is_none(lacking: dict[str, object]) -> None:
    assert body_drawing(entry(view().model_copy(update=lacking), view())) is None
    assert body_drawing(entry(view(), view().model_copy(update=lacking))) is None


def record() -> Sitting:
    return Sitting(findings=entry(view(), view(300, 40)))


def text_of(content: CardContent) -> str:
    pages = PdfReader(io.BytesIO(card_pdf(content))).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_it_is_off_unless_she_asks_and_says_whose_it_is() -> None:
    assert content_of(record()).drawing is None
    assert "HER OUTLINE" not in text_of(content_of(record()))
    text = text_of(content_of(record(), drawing=True))
    assert "HER OUTLINE" in text
    assert "1 full bust, 2 waist, 3 full hip" in text
    assert OUTLINE_WORDS in text


def test_it_is_never_in_the_json() -> None:
    assert card_json(content_of(record(), drawing=True)) == card_json(content_of(record()))
    assert content_of(Sitting(), drawing=True).drawing is None


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_full_card_with_it_goes_on_cleanly_behind(paper: str) -> None:
    drawn = content_of(record(), drawing=True).drawing
    text = text_of(replace(plain(), drawing=drawn, paper=paper))  # type: ignore[arg-type]
    assert OUTLINE_WORDS in text
    assert "page 2 of 2" in text
