"""The printed marker sheets and the other reference objects: sizes and places in millimetres.

Detection (`photo.reference`) and printing (`card.sheets`) share this one description. On a sheet,
x runs right and y down from the board's upper left corner, as OpenCV counts.
"""

from dataclasses import dataclass

# ChArUco layout: large squares, because finer ones are not found at 2-3 m (vision.md, measured).
SQUARES_ACROSS = 3
SQUARES_UP = 4
SQUARE_MM = 62.0
MARKER_MM = 48.0
BOARD_WIDTH_MM = SQUARES_ACROSS * SQUARE_MM
BOARD_HEIGHT_MM = SQUARES_UP * SQUARE_MM
MARKERS_PER_SHEET = SQUARES_ACROSS * SQUARES_UP // 2
SHEET_NUMBERS = (1, 2)

# One module of a marker (48 mm / 6) stays white around the board.
QUIET_ZONE_MM = MARKER_MM / 6

# Check bars to measure after printing; each as long as A4 allows beside the board.
CHECK_BAR_ACROSS_MM = 150.0
CHECK_BAR_UP_MM = 240.0


@dataclass(frozen=True)
class Paper:
    """A paper size, upright.

    Args:
        code: name on the command line.
        width_mm: shorter side.
        height_mm: longer side.
        tolerance_mm: half-width of what the maker may be off on the longer side.
    """

    code: str
    width_mm: float
    height_mm: float
    tolerance_mm: float


PAPERS = {
    # ISO 216; tolerance 2 mm for sides of 150 to 600 mm (from memory).
    "a4": Paper("a4", 210.0, 297.0, 2.0),
    # ANSI A, 8.5 x 11 in; tolerance taken as that of A4 (judged).
    "letter": Paper("letter", 215.9, 279.4, 2.0),
}

# ISO/IEC 7810 ID-1; tolerance 0.15 % (from memory).
CARD_WIDTH_MM = 85.60
CARD_HEIGHT_MM = 53.98
CARD_CORNER_RADIUS_MM = 3.18


def marker_ids(sheet: int) -> range:
    """Ids of the markers on a sheet: 0-5 on sheet 1, 6-11 on sheet 2.

    Raises:
        ValueError: there is no such sheet.
    """
    if sheet not in SHEET_NUMBERS:
        raise ValueError(f"no sheet {sheet}")
    first = (sheet - 1) * MARKERS_PER_SHEET
    return range(first, first + MARKERS_PER_SHEET)
