"""Seam arithmetic of the trade (common practice, no source)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.sizing.seams import french_seam, let_out_edge_mm, let_out_gain_mm

INCH_MM = 25.4


def test_three_sixteenths_let_out_at_each_edge_gain_three_quarters() -> None:
    assert let_out_gain_mm(3 / 16 * INCH_MM) == pytest.approx(3 / 4 * INCH_MM)
    assert let_out_edge_mm(3 / 4 * INCH_MM) == pytest.approx(3 / 16 * INCH_MM)


def test_a_french_seam_of_five_eighths_is_a_quarter_and_three_eighths() -> None:
    seam = french_seam(5 / 8 * INCH_MM)
    assert seam.first_mm == pytest.approx(1 / 4 * INCH_MM)
    assert seam.trimmed_mm == pytest.approx(1 / 8 * INCH_MM)
    assert seam.second_mm == pytest.approx(3 / 8 * INCH_MM)


@given(st.floats(5, 50))
def test_a_french_seam_uses_its_allowance_up_and_hides_its_first_row(allowance_mm: float) -> None:
    seam = french_seam(allowance_mm)
    assert seam.first_mm + seam.second_mm == pytest.approx(allowance_mm)
    # What is trimmed of the first row must lie inside the second.
    assert 0 < seam.trimmed_mm < seam.second_mm
