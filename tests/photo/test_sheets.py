"""Sizes of the reference objects against the standards that define them."""

import pytest

from ellwand.photo import sheets


def test_a4_is_iso_216():
    """Series A: A0 has one square metre, sides as 1 to root 2, each size half of the one before."""
    width_mm, height_mm = sheets.PAPERS["a4"].width_mm, sheets.PAPERS["a4"].height_mm
    assert (width_mm, height_mm) == (210, 297)
    assert height_mm / width_mm == pytest.approx(2**0.5, rel=1e-3)
    assert width_mm * height_mm * 16 == pytest.approx(1e6, rel=0.003)


def test_letter_is_8_and_a_half_by_11_inches():
    assert sheets.PAPERS["letter"].width_mm == pytest.approx(8.5 * 25.4)
    assert sheets.PAPERS["letter"].height_mm == pytest.approx(11 * 25.4)


def test_card_is_iso_iec_7810_id_1():
    """3.370 x 2.125 inches, corners of 3.18 mm."""
    assert pytest.approx(3.370 * 25.4, abs=0.01) == sheets.CARD_WIDTH_MM
    assert pytest.approx(2.125 * 25.4, abs=0.01) == sheets.CARD_HEIGHT_MM
    assert sheets.CARD_CORNER_RADIUS_MM == 3.18


def test_the_board_with_its_quiet_zone_fits_both_papers():
    for paper in sheets.PAPERS.values():
        assert paper.width_mm >= sheets.BOARD_WIDTH_MM + 2 * sheets.QUIET_ZONE_MM
        assert paper.height_mm >= sheets.BOARD_HEIGHT_MM + 2 * sheets.QUIET_ZONE_MM


def test_two_sheets_share_no_marker():
    assert list(sheets.marker_ids(1)) == [0, 1, 2, 3, 4, 5]
    assert list(sheets.marker_ids(2)) == [6, 7, 8, 9, 10, 11]
    with pytest.raises(ValueError, match="no sheet 3"):
        sheets.marker_ids(3)
