"""The printed marker sheets and the other reference objects: sizes and places in millimetres.

Detection (`photo.reference`) and printing (`card.sheets`) share this one description. On a sheet,
x runs right and y down from the board's upper left corner, as OpenCV counts.
"""

from dataclasses import dataclass

# ChArUco layout: large squares, because finer ones are not found at 2-3 m (measured on renderings).
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

# Most printers leave this much of the paper's edge white.
PRINT_MARGIN_MM = 5.0

# Where the board stands on the paper, from the paper's upper left corner: the same on A4 and
# Letter, so that everything fits both. The paper's own edge ends the quiet zone above and left.
BOARD_LEFT_MM = QUIET_ZONE_MM
BOARD_TOP_MM = QUIET_ZONE_MM

# Check bars to measure after printing, from outer end to outer end; each as long as the paper
# allows beside the board, and outside its quiet zone.
CHECK_BAR_ACROSS_MM = 150.0
CHECK_BAR_UP_MM = 240.0
CHECK_BAR_LINE_MM = 0.35
CHECK_BAR_TICK_MM = 2.4
# Left end and middle line of the bar across; upper end and middle line of the bar up.
CHECK_BAR_ACROSS_LEFT_MM = BOARD_LEFT_MM
CHECK_BAR_ACROSS_Y_MM = BOARD_TOP_MM + BOARD_HEIGHT_MM + QUIET_ZONE_MM + 2.5
CHECK_BAR_UP_TOP_MM = BOARD_TOP_MM + (BOARD_HEIGHT_MM - CHECK_BAR_UP_MM) / 2
CHECK_BAR_UP_X_MM = BOARD_LEFT_MM + BOARD_WIDTH_MM + QUIET_ZONE_MM + 1.5


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
