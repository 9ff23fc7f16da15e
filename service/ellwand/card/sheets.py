"""The two marker sheets and the page that says how to hang them, as PDF.

The board is drawn from what OpenCV's own board says about it (which marker, where, which modules
are white), so that print and detection cannot drift apart.
"""

from typing import Literal

from ellwand.card.sheet_words import sheet_words
from ellwand.card.typeset import typeset_pdf
from ellwand.language import decimal, gettext, spoken_language
from ellwand.photo import sheets
from ellwand.quantity import MM_PER
from ellwand.shown import sign_of

PaperCode = Literal["a4", "letter"]

SHEETS_TEMPLATE = "sheets.typ"

# Four modules of DICT_4X4_50 and a black one on each side.
_MODULES = 6

Rectangle = tuple[float, float, float, float]


def marker_sheets_pdf(paper: PaperCode) -> bytes:
    """Sheet 1, sheet 2, and how to hang them and where to stand, in the language spoken.

    Args:
        paper: what it is printed on.

    Returns:
        A PDF of three pages; the same bytes every time.
    """
    return typeset_pdf(SHEETS_TEMPLATE, sheets_data(paper))


def sheets_data(paper: PaperCode) -> dict[str, object]:
    """What the template of the sheets shows.

    Args:
        paper: what it is printed on.

    Returns:
        Sizes and places in millimetres from the paper's upper left corner; a rectangle is left,
        top, width, height.

    Raises:
        ValueError: there is no such paper.
    """
    if paper not in sheets.PAPERS:
        raise ValueError(f"no paper {paper}")
    size = sheets.PAPERS[paper]
    return {
        "language": spoken_language(),
        "words": sheet_words(),
        "paper": {"code": size.code, "width": size.width_mm, "height": size.height_mm},
        "margin": sheets.PRINT_MARGIN_MM,
        "board": {
            "left": sheets.BOARD_LEFT_MM,
            "top": sheets.BOARD_TOP_MM,
            "width": sheets.BOARD_WIDTH_MM,
            "height": sheets.BOARD_HEIGHT_MM,
            "quiet": sheets.QUIET_ZONE_MM,
        },
        "sheets": [
            {
                "name": gettext("sheet {number}", number=number),
                "black": black_rectangles(number),
            }
            for number in sheets.SHEET_NUMBERS
        ],
        "bar_across": {
            "left": sheets.CHECK_BAR_ACROSS_LEFT_MM,
            "middle": sheets.CHECK_BAR_ACROSS_Y_MM,
            "length": sheets.CHECK_BAR_ACROSS_MM,
            "says": gettext(
                "check bar across: {length} from end to end",
                length=_nominal(sheets.CHECK_BAR_ACROSS_MM),
            ),
        },
        "bar_up": {
            "top": sheets.CHECK_BAR_UP_TOP_MM,
            "middle": sheets.CHECK_BAR_UP_X_MM,
            "length": sheets.CHECK_BAR_UP_MM,
            "says": gettext(
                "check bar up: {length} from end to end",
                length=_nominal(sheets.CHECK_BAR_UP_MM),
            ),
        },
        "line": sheets.CHECK_BAR_LINE_MM,
        "tick": sheets.CHECK_BAR_TICK_MM,
    }


def _nominal(length_mm: float) -> str:
    """A length to be met by a print: closer than the eighths of an inch shown elsewhere."""
    inches = decimal(f"{length_mm / float(MM_PER['in']):.2f}")
    return f"{length_mm:.0f} mm ({inches} {sign_of('in')})"


def black_rectangles(sheet: int) -> list[Rectangle]:
    """The black parts of a board.

    Args:
        sheet: number of the sheet.

    Returns:
        Rectangles that do not overlap: left, top, width, height in millimetres from the board's
        upper left corner.
    """
    # The vision library is large; only those who print wait for it.
    import cv2
    import numpy as np

    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    board = cv2.aruco.CharucoBoard(
        (sheets.SQUARES_ACROSS, sheets.SQUARES_UP),
        sheets.SQUARE_MM,
        sheets.MARKER_MM,
        dictionary,
        np.array(sheets.marker_ids(sheet)),
    )
    square = sheets.SQUARE_MM
    # A board has black squares where no marker is: in the upper left corner and on from there.
    black: list[Rectangle] = [
        (column * square, row * square, square, square)
        for row in range(sheets.SQUARES_UP)
        for column in range(sheets.SQUARES_ACROSS)
        if (row + column) % 2 == 0
    ]
    module = sheets.MARKER_MM / _MODULES
    for number, corners in zip(np.ravel(board.getIds()), board.getObjPoints(), strict=True):
        left, top = float(corners[0][0]), float(corners[0][1])
        modules = cv2.aruco.generateImageMarker(dictionary, int(number), _MODULES)
        for row, line in enumerate(modules.tolist()):
            for first, length in _black_runs(line):
                black.append((left + first * module, top + row * module, length * module, module))
    return black


def _black_runs(line: list[int]) -> list[tuple[int, int]]:
    """First module and length of each run of black modules in a line of a marker."""
    runs: list[tuple[int, int]] = []
    for place, value in enumerate(line):
        if value:
            continue
        if runs and sum(runs[-1]) == place:
            runs[-1] = (runs[-1][0], runs[-1][1] + 1)
        else:
            runs.append((place, 1))
    return runs
