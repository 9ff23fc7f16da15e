"""The printed marker sheets: found by OpenCV where they should be, to scale, on both papers."""

import io

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from pypdf import PageObject, PdfReader
from pypdf.generic import ContentStream

from ellwand.card import marker_sheets_pdf
from ellwand.card.sheets import SHEETS_TEMPLATE, PaperCode, black_rectangles, sheets_data
from ellwand.card.typeset import typeset_png
from ellwand.photo import sheets

PX_PER_MM = 4
PAPERS: tuple[PaperCode, ...] = ("a4", "letter")
POINTS_PER_MM = 72 / 25.4

Grey = NDArray[np.uint8]


@pytest.fixture(scope="module", params=PAPERS)
def paper(request: pytest.FixtureRequest) -> PaperCode:
    code: PaperCode = request.param
    return code


@pytest.fixture(scope="module")
def pages(paper: PaperCode) -> list[Grey]:
    pictures = typeset_png(SHEETS_TEMPLATE, sheets_data(paper), PX_PER_MM)
    return [
        np.asarray(cv2.imdecode(np.frombuffer(png, np.uint8), cv2.IMREAD_GRAYSCALE))
        for png in pictures
    ]


def board(sheet: int) -> cv2.aruco.CharucoBoard:
    return cv2.aruco.CharucoBoard(
        (3, 4),
        62,
        48,
        cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50),
        np.array(sheets.marker_ids(sheet)),
    )


def to_px(mm: float | NDArray[np.float64]) -> NDArray[np.float64]:
    """Millimetres of the paper to pixels; the centre of the first pixel is (0, 0)."""
    return np.asarray(mm * PX_PER_MM - 0.5)


@pytest.mark.parametrize("sheet", sheets.SHEET_NUMBERS)
def test_all_corners_of_a_sheet_are_found_where_they_should_be(
    pages: list[Grey], sheet: int
) -> None:
    corners, ids, _, marker_ids = cv2.aruco.CharucoDetector(board(sheet)).detectBoard(
        pages[sheet - 1]
    )
    assert ids is not None
    assert sorted(ids.ravel().tolist()) == [0, 1, 2, 3, 4, 5]
    assert sorted(marker_ids.ravel().tolist()) == list(range(6 * sheet - 6, 6 * sheet))
    inner = np.array([(62 * x, 62 * y) for y in (1, 2, 3) for x in (1, 2)], float)
    expected = to_px(inner + np.array([sheets.BOARD_LEFT_MM, sheets.BOARD_TOP_MM]))
    found = corners.reshape(-1, 2)[np.argsort(ids.ravel())]
    assert np.abs(found - expected).max() < 0.3


@pytest.mark.parametrize("sheet", sheets.SHEET_NUMBERS)
def test_one_sheet_does_not_hold_the_markers_of_the_other(pages: list[Grey], sheet: int) -> None:
    _, ids, _, _ = cv2.aruco.CharucoDetector(board(3 - sheet)).detectBoard(pages[sheet - 1])
    assert ids is None


@pytest.mark.parametrize("sheet", sheets.SHEET_NUMBERS)
def test_the_board_is_drawn_as_opencv_draws_it(pages: list[Grey], sheet: int) -> None:
    left, top = int(sheets.BOARD_LEFT_MM * PX_PER_MM), int(sheets.BOARD_TOP_MM * PX_PER_MM)
    width, height = 186 * PX_PER_MM, 248 * PX_PER_MM
    drawn = pages[sheet - 1][top : top + height, left : left + width]
    wanted = board(sheet).generateImage((width, height))
    assert np.array_equal(drawn > 127, wanted > 127)


@pytest.mark.parametrize("sheet", sheets.SHEET_NUMBERS)
def test_black_parts_do_not_overlap(sheet: int) -> None:
    drawn = np.zeros((248, 186), int)
    for left, top, width, height in black_rectangles(sheet):
        drawn[round(top) : round(top + height), round(left) : round(left + width)] += 1
    assert drawn.max() == 1


def ink_box(page: Grey) -> tuple[int, int, int, int]:
    rows, columns = np.nonzero(page < 250)
    return columns.min(), rows.min(), columns.max() + 1, rows.max() + 1


def test_everything_stays_inside_what_printers_print(pages: list[Grey], paper: PaperCode) -> None:
    size = sheets.PAPERS[paper]
    margin = sheets.PRINT_MARGIN_MM * PX_PER_MM
    for page in pages:
        left, top, right, bottom = ink_box(page)
        assert min(left, top) >= margin
        assert right <= size.width_mm * PX_PER_MM - margin
        assert bottom <= size.height_mm * PX_PER_MM - margin


def test_the_quiet_zone_is_white(pages: list[Grey]) -> None:
    quiet = int(sheets.QUIET_ZONE_MM * PX_PER_MM)
    left, top = int(sheets.BOARD_LEFT_MM * PX_PER_MM), int(sheets.BOARD_TOP_MM * PX_PER_MM)
    right, bottom = left + 186 * PX_PER_MM, top + 248 * PX_PER_MM
    for page in pages[:2]:
        around = page[top - quiet : bottom + quiet, left - quiet : right + quiet].copy()
        around[quiet:-quiet, quiet:-quiet] = 255
        assert around.min() == 255


def test_the_check_bars_are_as_long_as_they_say(pages: list[Grey]) -> None:
    # Beside the line only the end ticks are black; both ends lie on pixel borders at 4 px/mm.
    half = sheets.CHECK_BAR_TICK_MM / 2 * PX_PER_MM
    for page in pages[:2]:
        middle = sheets.CHECK_BAR_ACROSS_Y_MM * PX_PER_MM
        strip = page[round(middle - half) : round(middle - 1), : 165 * PX_PER_MM]
        ends = np.nonzero(strip.min(axis=0) < 128)[0]
        assert ends[0] == sheets.CHECK_BAR_ACROSS_LEFT_MM * PX_PER_MM
        assert ends[-1] + 1 - ends[0] == 150 * PX_PER_MM
        middle = sheets.CHECK_BAR_UP_X_MM * PX_PER_MM
        strip = page[: 262 * PX_PER_MM, round(middle - half) : round(middle - 1)]
        ends = np.nonzero(strip.min(axis=1) < 128)[0]
        assert ends[0] == sheets.CHECK_BAR_UP_TOP_MM * PX_PER_MM
        assert ends[-1] + 1 - ends[0] == 240 * PX_PER_MM


def path_points_mm(page: PageObject) -> NDArray[np.float64]:
    """Corners of all straight paths of a page, millimetres from its lower left corner."""
    now, kept, points = np.eye(3), [], []
    for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
        match operator:
            case b"q":
                kept.append(now)
            case b"Q":
                now = kept.pop()
            case b"cm":
                a, b, c, d, e, f = (float(value) for value in operands)
                now = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ now
            case b"m" | b"l":
                points.append((np.array([*map(float, operands), 1.0]) @ now)[:2])
            case _:
                pass
    return np.array(points) / POINTS_PER_MM


def test_the_printed_board_is_to_scale_in_both_directions(paper: PaperCode) -> None:
    for page in PdfReader(io.BytesIO(marker_sheets_pdf(paper))).pages[:2]:
        points = path_points_mm(page)
        points[:, 1] = sheets.PAPERS[paper].height_mm - points[:, 1]
        points -= (sheets.BOARD_LEFT_MM, sheets.BOARD_TOP_MM)
        for x in (0, 62, 124):
            for y in (62, 124, 186):
                assert np.abs(points - (x, y)).max(axis=1).min() < 0.005


def test_pages_have_the_size_of_their_paper(paper: PaperCode) -> None:
    reader = PdfReader(io.BytesIO(marker_sheets_pdf(paper)))
    # ISO 216 A4, ANSI A (Letter).
    wanted = {"a4": (210, 297), "letter": (215.9, 279.4)}[paper]
    assert len(reader.pages) == 3
    for page in reader.pages:
        box = page.mediabox
        assert float(box.width) / POINTS_PER_MM == pytest.approx(wanted[0], abs=0.01)
        assert float(box.height) / POINTS_PER_MM == pytest.approx(wanted[1], abs=0.01)


def test_the_sheets_say_what_they_are_and_how_to_print_them(paper: PaperCode) -> None:
    texts = [page.extract_text() for page in PdfReader(
        io.BytesIO(marker_sheets_pdf(paper))).pages]  # fmt: skip
    for number in (1, 2):
        text = " ".join(texts[number - 1].split())
        for words in (f"sheet {number}", "up", "100 %", "150 mm", "240 mm"):
            assert words in text
    guide = " ".join(texts[2].split())
    for words in ("standoff", "2.2", "50 to 60°", "outer ankle bone", "adults only",
                  "photos stay on the machine"):  # fmt: skip
        assert words in guide


def test_the_same_call_gives_the_same_bytes(paper: PaperCode) -> None:
    first = marker_sheets_pdf(paper)
    assert first == marker_sheets_pdf(paper)
    assert b"CreationDate" not in first


def test_another_paper_is_a_mistake_of_the_caller() -> None:
    with pytest.raises(ValueError, match="no paper"):
        sheets_data("a5")  # type: ignore[arg-type]
