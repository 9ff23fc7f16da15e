"""The measurement card: complete, to be folded and read, the same bytes every time."""

import io
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from itertools import pairwise
from typing import Literal

import cv2
import numpy as np
import pytest
from pypdf import PdfReader

from ellwand.card import CardContent, CardFinding, CardQuery, CardRow, CardTryOn, card_pdf
from ellwand.card.page import card_data
from ellwand.card.passages import found_words, fresh_words, passages
from ellwand.card.pdf import CARD_TEMPLATE
from ellwand.card.typeset import typeset_png
from ellwand.card.wording import FINE_PRINT, STANDING_WORDS, shortened
from ellwand.girth.joint import interval_95
from ellwand.language import speaking
from ellwand.listing import capital
from ellwand.measurements import KINDS, Estimate
from ellwand.shown import showing_first
from ellwand.sizing import Decision, decide, demo_block, ease_strips
from ellwand.tape import Confirmed, Taken

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
Make = Callable[[], CardContent]
Paper = Literal["a4", "letter"]
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


def text_of(content: CardContent, pages: int = 1) -> str:
    reader = PdfReader(io.BytesIO(card_pdf(content)))
    assert len(reader.pages) == pages
    text = " ".join(page.extract_text() for page in reader.pages)
    return " ".join(text.replace("\u2019", "'").split())


def eight_queries() -> CardContent:
    queries = overfull().queries[:8]
    return replace(plain(), queries=queries, customer="Wilhelmina Bartholomea Example " * 3)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_measurement_stands_on_the_card_in_both_units_with_its_bound(paper: Paper) -> None:
    content = replace(plain(), paper=paper)
    assert {row.code for row in content.rows} == set(KINDS)
    text = text_of(content)
    for row, shown in zip(content.rows, card_data(content)["rows"], strict=True):  # type: ignore[call-overload]
        start = text.index(f"{capital(KINDS[row.code].name)} {shown['cm']}")
        line = text[start : start + 80]
        for part in (*shown["inches"], shown["bound_cm"], *shown["bound_inches"], row.standing):
            assert part in line
    assert "Waist 92.5 ± 4.0 36 3/8 ± 1 5/8 estimated" in text


def test_a_card_without_a_name_has_a_line_for_it() -> None:
    unnamed = replace(plain(), customer="")
    assert text_of(unnamed).startswith("Measurement card Name: 25 November 2026 ")
    assert "Name:" not in text_of(plain())
    with speaking("de"):
        assert "Maßkarte Name:" in text_of(unnamed)


def test_inches_stand_first_on_the_card_of_who_measures_in_inches() -> None:
    with showing_first("in"):
        text = text_of(plain())
    assert "Measurement in ± cm ± Standing" in text
    assert "Waist 36 3/8 ± 1 5/8 92.5 ± 4.0 estimated" in text


@pytest.mark.parametrize("standing", STANDINGS)
def test_each_standing_is_explained(standing: str) -> None:
    words = {str(name): words for name, words in STANDING_WORDS.items()}
    assert f"{capital(standing)}: {words[standing]}" in text_of(plain())


def test_the_card_holds_doubts_decision_and_cautions() -> None:
    content = plain()
    text = text_of(content)
    assert "Upper arm: This is more than the photos allow. Measure again." in text
    assert "High bust: “measured three times”" in text
    assert "Photos: waist, shoulder to bust point and waist to hip." in text
    assert "The photo is a little blurred." in text
    assert "Two marker sheets in both photos." in text
    assert "Ada Example · 25 November 2026" in text
    assert FINE_PRINT in text
    made = content.decision
    assert made is not None
    for step in made.reasons:
        assert " ".join(step.reason.split()) in text
    for sentence in (*made.cautions, *made.warnings, made.block, made.block_note):
        assert sentence in text


def test_without_a_decision_the_card_says_why() -> None:
    text = text_of(nothing())
    assert "No size yet. Still to be confirmed: height, high bust and full bust." in text


def test_far_too_much_goes_on_cleanly_behind() -> None:
    text = text_of(overfull(), pages=3)
    assert text.count("Measure it once more.") == len(VALUES)
    assert text.count(f"“{LONG_REASON}”") == len(VALUES)
    assert "Warning number 11 of a long list." in text
    assert text.count(FINE_PRINT) == 1
    assert "More on page 2" in text
    assert "page 3 of 3" in text


def test_eight_queries_and_a_long_name_need_no_third_page() -> None:
    text = text_of(eight_queries(), pages=2)
    assert text.count("Measure it once more.") == 8
    assert "Wilhelmina Bartholomea Example" in text


def long_names() -> CardContent:
    """A block whose names are as long as anybody may like them."""
    made = decision()
    long = "long petite of the autumn collection " * 9
    return replace(
        plain(),
        customer=long,
        taken_on=long,
        decision=replace(
            made,
            size=replace(made.size, name=long, alternative=long),
            cup=replace(made.cup, name="Wide Ample", alternative="More"),
            length_class=replace(made.length_class, name="regular", alternative="petite"),
            garment="blouse-with-long-sleeves-" * 9,
            block=long,
            block_note=long,
        ),
    )


def test_even_an_absurd_number_of_warnings_is_told() -> None:
    warnings = tuple(f"Warning number {number} of a long list." for number in range(900))
    text = text_of(CardContent((), warnings=warnings), pages=7)
    for warning in warnings:
        assert text.count(warning) == 1


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("make", [plain, overfull, eight_queries, long_names, nothing])
def test_no_letter_stands_on_a_fold_or_at_an_edge(make: Make, paper: Paper) -> None:
    data = card_data(replace(make(), paper=paper))
    dots = 6
    page = cv2.imdecode(
        np.frombuffer(typeset_png(CARD_TEMPLATE, data, dots)[0], np.uint8), cv2.IMREAD_GRAYSCALE
    )
    # The stitches along the folds are lighter than any letter.
    inked = page < 150
    assert inked.any()
    height, width = page.shape
    white = 3 * dots
    assert not inked[height // 2 - white : height // 2 + white].any()
    assert not inked[:, width // 2 - white : width // 2 + white].any()
    edge = 8 * dots
    inside = np.zeros_like(inked)
    inside[edge : height - edge, edge : width - edge] = True
    assert not (inked & ~inside).any()


@pytest.mark.parametrize("make", [plain, overfull, nothing])
def test_numbers_and_size_lie_in_the_first_quarter(make: Make) -> None:
    content = make()
    reader = PdfReader(io.BytesIO(card_pdf(content)))
    page = reader.pages[0]
    width, height = float(page.mediabox.width), float(page.mediabox.height)
    there: list[str] = []

    def visit(text: str, cm: list[float], tm: list[float], _font: object, _size: float) -> None:
        x, y = tm[4] * cm[0] + cm[4], tm[5] * cm[3] + cm[5]
        if x < width / 2 and y > height / 2:
            there.append(text)

    page.extract_text(visitor_text=visit)
    quarter = " ".join("".join(there).split())
    for row in content.rows:
        assert f"{capital(KINDS[row.code].name)} {row.value_mm / 10:.1f}" in quarter
    if content.decision is None:
        assert "No size yet" in quarter
    else:
        assert "SIZE 4" in quarter
        assert "SEWING CUP D" in quarter
        assert "LENGTH regular" in quarter


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("make", [plain, overfull, nothing])
def test_no_text_is_smaller_than_8_points(make: Make, paper: Paper) -> None:
    sizes: dict[str, float] = {}

    def visit(text: str, cm: list[float], tm: list[float], _font: object, size: float) -> None:
        if text.strip():
            sizes[text] = abs(size * tm[3] * cm[3])

    for page in PdfReader(io.BytesIO(card_pdf(replace(make(), paper=paper)))).pages:
        page.extract_text(visitor_text=visit)
    assert sizes
    assert {text: size for text, size in sizes.items() if size < 8 - 1e-3} == {}


def lines_on_lines(content: CardContent) -> list[str]:
    """Texts set closer below another than their letters are high, in the same column."""
    lines: dict[float, list[tuple[float, float, str]]] = {}

    def visit(text: str, cm: list[float], _tm: object, _font: object, size: float) -> None:
        if text.strip():
            lines.setdefault(round(cm[4], 1), []).append((cm[5], size, text))

    found = []
    for page in PdfReader(io.BytesIO(card_pdf(content))).pages:
        lines.clear()
        page.extract_text(visitor_text=visit)
        for column in lines.values():
            column.sort(reverse=True)
            for (above, _, _), (below, size, text) in pairwise(column):
                if above - below < 0.9 * size:
                    found.append(text)
    return found


@pytest.mark.parametrize("make", [plain, overfull, eight_queries, long_names])
def test_no_line_is_set_on_another(make: Make) -> None:
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
    assert names == [capital(kind.name) for kind in KINDS.values()]


def test_very_long_words_are_cut_with_a_mark() -> None:
    assert shortened("a\nb\x00  c") == "a b c"
    cut = shortened("word " * 200)
    assert len(cut) <= 300
    assert cut.endswith("…")


def test_an_endless_number_is_a_mistake_of_the_caller() -> None:
    row = CardRow("waist", float("nan"), None, None, "read", "tape")
    with pytest.raises(ValueError, match="waist"):
        card_data(CardContent((row,)))


def test_how_fresh_the_girths_are_is_told_by_the_days_they_were_taken_on() -> None:
    rows = plain().rows
    assert fresh_words(rows) == ""
    same = tuple(replace(row, on=date(2026, 11, 25)) for row in rows)
    assert "Taken with the tape on 25 November 2026. Measure again after 8 weeks." in text_of(
        replace(plain(), rows=same)
    )
    two = (replace(rows[1], on=date(2026, 10, 31)), *same[2:])
    assert fresh_words(two).startswith("Taken with the tape from 31 October 2026 to 25 November")
    # A height does not grow old.
    assert fresh_words((replace(rows[0], on=date(2020, 1, 1)), *same[1:])) == fresh_words(same)


def told(content: CardContent, *ways: Taken) -> CardContent:
    """A card whose taped measurements were taken in these ways, one after the other."""
    day = date(2026, 11, 25)
    return replace(
        content,
        rows=tuple(
            row
            if row.standing == "estimated"
            else replace(row, on=day, until=day, taken=(ways[number % len(ways)],))
            for number, row in enumerate(content.rows)
        ),
    )


def test_how_each_measurement_was_taken_is_told_once_for_all_that_were_taken_so() -> None:
    bra, limb = Taken("herself", "bra"), Taken("somebody")
    text = text_of(told(plain(), bra, limb))
    for words in (
        "Tape, 2 readings, measured by herself, in an unpadded bra, on 25 November 2026: height, ",
        "Tape, 2 readings, measured by somebody with her, on 25 November 2026: high bust, ",
        "Photos: waist, shoulder to bust point and waist to hip.",
    ):
        assert text.count(words) == 1


@pytest.mark.parametrize(
    "ways",
    [
        (Taken("herself", "bra"),),
        (Taken("somebody", "close-top"), Taken("herself", "padded-bra"), Taken("herself")),
    ],
    ids=len,
)
def test_all_measurements_with_how_they_were_taken_fit_one_page(ways: tuple[Taken, ...]) -> None:
    content = told(plain(), *ways)
    assert text_of(content).count("on 25 November 2026: ") == len(ways)
    assert lines_on_lines(content) == []


def test_queries_long_names_and_ways_of_taking_need_no_third_page() -> None:
    ways = (Taken("somebody", "close-top"), Taken("herself", "thick"), Taken("herself"))
    text = text_of(told(eight_queries(), *ways), pages=2)
    assert "by somebody with her, in a close top" in text


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        (date(2026, 11, 3), None, "tape, on 3 November 2026"),
        (date(2026, 11, 3), date(2026, 11, 5), "tape, from 3 to 5 November 2026"),
        (date(2026, 10, 31), date(2026, 11, 2), "tape, from 31 October 2026 to 2 November 2026"),
        (date(2025, 11, 3), date(2026, 11, 3), "tape, from 3 November 2025 to 3 November 2026"),
    ],
)
def test_days_of_a_measurement_are_told_shortly(first: date, last: date | None, words: str) -> None:
    row = CardRow("waist", 800, None, None, "read", "tape", on=first, until=last)
    assert found_words(row) == words


def test_readings_taken_in_two_ways_say_so() -> None:
    row = CardRow("waist", 800, None, None, "read", "tape", taken=(Taken("herself"), Taken()))
    assert found_words(row) == "tape, measured partly by herself, partly untold"


def test_the_seamstress_has_a_line_for_every_level_that_has_ease() -> None:
    made = decision()
    text = text_of(plain())
    after = text[text.index("CHANGED AFTER THE TRY-ON") :]
    for level in made.ease:
        assert capital(KINDS[level.level].name) in after
    assert "Sleeve Length" in after
    assert "CHANGED AFTER" not in text_of(nothing())


def test_bra_cup_and_sewing_cup_stand_side_by_side() -> None:
    assert decision().designation.bra == "80D"
    assert "SEWING CUP D bra cup: 80D" in text_of(plain())


def test_what_was_seen_at_a_try_on_is_told() -> None:
    seen = CardTryOn(
        "blouse", "4", "planned", "a thin shirt",
        (CardFinding("snug at the full hip", 19.05), CardFinding("gapes at the armhole")),
    )  # fmt: skip
    told = passages(CardContent((), tryons=(seen,)))
    assert [(one.heading, one.lead, one.text) for one in told] == [
        (
            "Seen at the try-on",
            "blouse, size 4, cut with the changes, worn over a thin shirt",
            "snug at the full hip by 1.9 cm (3/4 in); gapes at the armhole.",
        )
    ]


def test_the_strips_show_each_ease_at_its_place() -> None:
    made = decision()
    shown = ease_strips(made)
    low = min(0.0, *(row.ease_at_high_mm for row in made.ease)) - 15
    ends = [(row.least_mm, row.drafted_mm, row.ease_at_low_mm) for row in made.ease]
    high = max(0.0, *(mm for row in ends for mm in row)) + 15
    for row, given in zip(shown.rows, made.ease, strict=True):
        for place, mm in (
            (row.least, given.least_mm),
            (row.drafted, given.drafted_mm),
            (row.start, given.ease_at_high_mm),
            (row.end, given.ease_at_low_mm),
        ):
            assert low + place * (high - low) == pytest.approx(mm, abs=0.05)
    # The waist is an estimate: a bar, not a point.
    assert [row.start == row.end for row in shown.rows] == [True, False, True, True]


def test_letter_paper_is_letter_paper() -> None:
    page = PdfReader(io.BytesIO(card_pdf(CardContent((), paper="letter")))).pages[0]
    assert float(page.mediabox.width) == pytest.approx(612, abs=0.05)
    assert float(page.mediabox.height) == pytest.approx(792, abs=0.05)
