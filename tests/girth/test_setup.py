"""What is typed beside the photos becomes values with doubts."""

import numpy as np
import pytest

from ellwand.girth.setup import SetUp


def test_a_sheet_beside_her_is_in_her_plane_to_four_centimetres():
    setup = SetUp(1650.0, "marker-sheets", standoffs_mm={"side": (300.0, 20.0)})
    assert setup.standoff("front") == (0.0, pytest.approx(40 / 1.96))
    assert setup.standoff("side") == (300.0, pytest.approx(20 / 1.96))


@pytest.mark.parametrize(
    ("bars", "across", "up"),
    [
        ((None, None), 1.0, 1.0),
        ((148.5, None), 0.99, 0.99),
        ((None, 242.4), 1.01, 1.01),
        ((148.5, 242.4), 0.99, 1.01),
    ],
)
def test_check_bars_tell_the_printed_size(bars, across, up):
    known = SetUp(1650.0, "marker-sheets", check_bars_mm=bars).known(26.0)
    assert (known.paper_across, known.paper_up) == (pytest.approx(across), pytest.approx(up))


def test_a_measured_print_is_known_better_than_one_taken_on_trust():
    trusted = SetUp(1650.0, "marker-sheets").known(26.0)
    measured = SetUp(1650.0, "marker-sheets", check_bars_mm=(150.0, None)).known(26.0)
    assert measured.paper_u < trusted.paper_u


def test_paper_and_card_have_the_tolerance_of_their_standard():
    sheet = SetUp(1650.0, "plain-sheets").known(26.0)
    card = SetUp(1650.0, "id-card").known(26.0)
    # ISO 216: 2 mm of 297 mm; ISO/IEC 7810: 0.15 %; both as limits of a rectangle.
    assert sheet.paper_u == pytest.approx(2 / 297 / np.sqrt(3))
    assert card.paper_u == pytest.approx(0.0015 / np.sqrt(3))


def test_a_weight_changes_nothing_about_the_camera():
    told, untold = SetUp(1650.0, "stature", mass_kg=70.0), SetUp(1650.0, "stature")
    assert (told.mass_kg, untold.mass_kg) == (70.0, None)
    assert told.known(26.0) == untold.known(26.0)


def test_the_typed_focal_length_comes_before_the_written_one():
    typed = SetUp(1650.0, "stature", focal_35mm=24.0).known(26.0)
    written = SetUp(1650.0, "stature").known(26.0)
    unknown = SetUp(1650.0, "stature").known(None)
    assert (typed.focal_35mm, written.focal_35mm) == (24.0, 26.0)
    assert unknown.focal_u > 3 * written.focal_u


def test_what_is_written_into_one_photo_alone_is_a_guess_for_the_other():
    setup = SetUp(1650.0, "marker-sheets")
    one, none = setup.known(28.0, sure=False), setup.known(None)
    assert (one.focal_35mm, one.focal_u) == (28.0, none.focal_u)
    assert setup.known(28.0).focal_u < one.focal_u
    typed = SetUp(1650.0, "marker-sheets", focal_35mm=24.0)
    assert typed.known(28.0, sure=False) == typed.known(None)
