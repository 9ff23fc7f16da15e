"""The measurement card: complete, on one page, the same bytes every time."""

import io
from collections.abc import Callable
from itertools import pairwise

import cv2
import numpy as np
import pytest
from pypdf import PdfReader

from ellwand.card import CardContent, CardQuery, CardRow, card_pdf
from ellwand.card.content import FINE_PRINT, STANDING_WORDS, card_data, glued, shortened
from ellwand.card.pdf import CARD_TEMPLATE
from ellwand.card.typeset import typeset_png
from ellwand.girth.joint import interval_95
from ellwand.measurements import KINDS, Estimate
from ellwand.sizing import Decision, decide, demo_block
from ellwand.tape import Confirmed

# An invented customer, millimetres.
VALUES = {
    "stature": 1680.0,
    "high_bust": 880.0,
    "full_bust": 982.0,
    "underbust": 800.0,
    "waist": 925.0,
    "high_hip": 1060.0,
    "full_hip": 1140.0,
    "shoulder_width": 391.0,
    "back_waist_length": 440.0,
    "shoulder_to_bust": 262.0,
    "arm_length": 583.0,
    "upper_arm": 302.0,
    "wrist": 161.0,
    "hand": 208.0,
    "waist_to_hip": 205.0,
    "inside_leg": 765.0,
}
STANDINGS = ("confirmed", "kept", "read", "queried", "estimated")
LONG_REASON = (
    "a neighbour who has sewn for forty years held the tape, and we measured again and again, "
    "standing, breathing in and out, with 1/2 in of slack and without, over a thin shirt and over "
    "nothing at all, until we were both sure that no other number is right, whatever they say"
)


def decision(long: bool = False) -> Decision:
    taped = {
        code: Confirmed(code, value, 9.0, LONG_REASON if long else None)
        for code, value in VALUES.items()
        if code != "waist"
    }
    return decide(taped, {"waist": Estimate("waist", 850, 45, 760, 940, ())}, demo_block())


def plain() -> CardContent:
    rows = []
    for number, (code, value) in enumerate(VALUES.items()):
        standing = STANDINGS[number % 5]
        low, high = interval_95(value, 20 if standing == "estimated" else 5)
        rows.append(
            CardRow(
                code,
                value,
                low,
                high,
                standing,
                "photos" if standing == "estimated" else "tape, 2 readings",
                "measured three times" if standing == "kept" else None,
            )
        )
    return CardContent(
        tuple(rows),
        queries=(CardQuery("upper_arm", "This is more than the photos allow.", "Measure again."),),
        decision=decision(),
        scale_note="Two marker sheets in both photos.",
        warnings=("The photo is a little blurred.",),
        customer="Ada Example",
        taken_on="25 November 2026",
    )


def overfull() -> CardContent:
    query = (
        "This reading of 20.5 cm (8 1/8 in) is more than the photos allow: a value this far off "
        "has a chance of one in 3,000. Likeliest, the tape was read from its other end; then it "
        "would be 92.5 cm (36 3/8 in)."
    )
    return CardContent(
        tuple(
            CardRow(code, value, value - 19.3, value + 19.3, "kept",
                    "tape, 3 readings, spread 1.2 cm", LONG_REASON)
            for code, value in VALUES.items()
        ),
        queries=tuple(CardQuery(code, query, "Measure it once more.") for code in VALUES),
        decision=decision(long=True),
        scale_note="One blank sheet in both photos; it and the stated height disagree. " * 3,
        warnings=tuple(f"Warning number {number} of a long list." for number in range(12)),
        customer="Ada Example " * 20,
        taken_on="25 November 2026",
    )  # fmt: skip


def nothing() -> CardContent:
    return CardContent((), undecided="Still to be confirmed: height, high bust and full bust.")


def text_of(content: CardContent) -> str:
    reader = PdfReader(io.BytesIO(card_pdf(content)))
    assert len(reader.pages) == 1
    return " ".join(reader.pages[0].extract_text().replace("\u2019", "'").split())


def test_every_measurement_stands_on_the_card_in_both_units_with_its_bound() -> None:
    content = plain()
    assert {row.code for row in content.rows} == set(KINDS)
    text = text_of(content)
    for row, shown in zip(content.rows, card_data(content)["rows"], strict=True):  # type: ignore[call-overload]
        start = text.index(f"{KINDS[row.code].name} {shown['cm']}")
        line = text[start : start + 80]
        for part in (*shown["inches"], shown["bound_cm"], *shown["bound_inches"], row.standing):
            assert part in line
    assert "waist 92.5 ± 4.0 36 3/8 ± 1 5/8 estimated photos" in text


@pytest.mark.parametrize("standing", STANDINGS)
def test_each_standing_is_explained(standing: str) -> None:
    words = {str(name): words for name, words in STANDING_WORDS.items()}
    assert f"{standing}: {words[standing]}" in text_of(plain())


def test_the_card_holds_doubts_decision_and_cautions() -> None:
    content = plain()
    text = text_of(content)
    assert "Upper arm: This is more than the photos allow. Measure again." in text
    assert "kept because “measured three times”" in text
    assert "The photo is a little blurred." in text
    assert "Two marker sheets in both photos." in text
    assert "Ada Example · 25 November 2026" in text
    assert FINE_PRINT in text
    made = content.decision
    assert made is not None
    for step in made.steps():
        assert " ".join(step.reason.split()) in text
    for sentence in (*made.cautions, *made.warnings, made.block, made.block_note):
        assert sentence in text


def test_without_a_decision_the_card_says_why() -> None:
    text = text_of(nothing())
    assert "No size yet. Still to be confirmed: height, high bust and full bust." in text


def test_far_too_much_still_fits_on_one_page() -> None:
    text = text_of(overfull())
    assert text.count("Measure it once more.") == len(VALUES)
    assert text.count("kept because") == len(VALUES)
    assert "Warning number 11 of a long list." in text
    assert FINE_PRINT in text


def test_even_an_absurd_number_of_warnings_fits_on_one_page() -> None:
    warnings = tuple(f"Warning number {number} of a long list." for number in range(900))
    assert "Warning number 899 of a long list." in text_of(CardContent((), warnings=warnings))


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("make", [plain, overfull, nothing])
def test_the_foot_is_clear_of_what_stands_above(
    make: Callable[[], CardContent], paper: str
) -> None:
    content = make()
    data = card_data(content) | {
        "paper": {"a4": {"width": 210, "height": 297}, "letter": {"width": 215.9, "height": 279.4}}[
            paper
        ]
    }
    pages = typeset_png(CARD_TEMPLATE, data, 4)
    assert len(pages) == 1
    grey = cv2.imdecode(np.frombuffer(pages[0], np.uint8), cv2.IMREAD_GRAYSCALE)
    inked = (grey < 240).any(axis=1)
    # From the bottom: margin, fine print, its line, then white before the card's last line.
    rows = np.nonzero(inked)[0]
    assert grey.shape[0] - rows[-1] > 9 * 4
    # The line is the lowest row that is inked right across the text width.
    width = grey.shape[1]
    across = (grey[:, 14 * 4 : width - 14 * 4] < 240).all(axis=1)
    line = np.nonzero(across)[0][-1]
    assert not inked[line - 2 * 4 : line - 1].any()


def lines_on_lines(content: CardContent) -> list[str]:
    """Texts set closer below another than their letters are high, in the same column."""
    lines: dict[float, list[tuple[float, float, str]]] = {}

    def visit(text: str, cm: list[float], _tm: object, _font: object, size: float) -> None:
        if text.strip():
            lines.setdefault(round(cm[4], 1), []).append((cm[5], size, text))

    PdfReader(io.BytesIO(card_pdf(content))).pages[0].extract_text(visitor_text=visit)
    found = []
    for column in lines.values():
        column.sort(reverse=True)
        for (above, _, _), (below, size, text) in pairwise(column):
            if above - below < 0.9 * size:
                found.append(text)
    return found


@pytest.mark.parametrize("make", [plain, overfull])
def test_no_line_is_set_on_another(make: Callable[[], CardContent]) -> None:
    assert lines_on_lines(make()) == []


def test_the_same_content_gives_the_same_bytes() -> None:
    first = card_pdf(plain())
    assert first == card_pdf(plain())
    assert b"CreationDate" not in first


def test_words_of_the_customer_are_never_markup() -> None:
    words = '#panic("no") *bold* $x$ <label> @ref \\ `raw` = heading'
    row = CardRow("waist", 800, None, None, "kept", "tape, 1 reading", words)
    assert words in text_of(CardContent((row,)))


def test_rows_stand_in_the_order_of_the_names() -> None:
    data = card_data(CardContent(tuple(reversed(plain().rows))))
    names = [row["name"] for row in data["rows"]]  # type: ignore[attr-defined]
    assert names == [kind.name for kind in KINDS.values()]


def test_very_long_words_are_cut_with_a_mark() -> None:
    assert shortened("a\nb\x00  c") == "a b c"
    cut = shortened("word " * 200)
    assert len(cut) <= 300
    assert cut.endswith("…")


def test_a_number_stays_with_its_unit() -> None:
    assert glued("92.5 cm (36 3/8 in) in all") == "92.5\xa0cm (36 3/8\xa0in) in all"


def test_an_endless_number_is_a_mistake_of_the_caller() -> None:
    row = CardRow("waist", float("nan"), None, None, "read", "tape")
    with pytest.raises(ValueError, match="waist"):
        card_data(CardContent((row,)))


def test_letter_paper_is_letter_paper() -> None:
    page = PdfReader(io.BytesIO(card_pdf(CardContent((), paper="letter")))).pages[0]
    assert float(page.mediabox.width) == pytest.approx(612, abs=0.05)
    assert float(page.mediabox.height) == pytest.approx(792, abs=0.05)
