import numpy as np
import pytest

from calibration.sightings import LEVEL_CODES
from calibration.trial import CODES, setup_of, trial_of
from ellwand.girth.model import WIDTHS
from ellwand.photo import sheets

TRUE = np.array([900.0, 960.0, 800.0, 750.0, 900.0, 1000.0, 60.0])


def entry(name, off_mm=0.0, half_95=20.0, half_68=10.0):
    """A body with every estimate off by the same, and bounds of even half-width."""
    value = TRUE + off_mm
    ends = np.array([-half_95, half_95, -half_68, half_68])
    return {
        "name": name,
        "true_mm": TRUE,
        "value_mm": value,
        "u_mm": np.full(len(CODES), half_95 / 1.96),
        "outline_share": np.full(len(LEVEL_CODES), 0.8),
        "bounds_mm": value[:, None] + ends,
        "true_widths_mm": np.full(len(WIDTHS), 300.0),
        "widths_mm": np.full(len(WIDTHS), 303.0),
        "after_mm": TRUE[: len(LEVEL_CODES)] + off_mm / 2,
        "after_u_mm": np.full(len(LEVEL_CODES), 5.0),
        "height_off_mm": np.zeros(6),
        "waist_shown": True,
        "outside": False,
        "marker_sheets": True,
    }


def test_a_truth_within_the_bounds_is_covered_and_one_beyond_is_not():
    tried = trial_of([entry("a", 0.0), entry("b", -15.0), entry("c", 19.9), entry("d", 20.1)])

    assert tried.covered(95).all(axis=1).tolist() == [True, True, True, False]
    assert tried.covered(68).all(axis=1).tolist() == [True, False, False, False]
    assert tried.covered(95).shape == (4, len(CODES))


def test_lopsided_bounds_cover_by_their_ends():
    one = entry("a", 15.0)
    one["bounds_mm"] = one["value_mm"][:, None] + np.array([-5.0, 40.0, -2.0, 20.0])

    assert not trial_of([one]).covered(95).any()


def test_refused_sittings_are_counted_apart():
    tried = trial_of([entry("a"), {"name": "b", "refused": "outline-not-seen"}, entry("c")])

    assert tried.names == ["a", "c"]
    assert tried.refused == {"b": "outline-not-seen"}
    assert tried.true_mm.shape == (2, len(CODES))


def test_an_estimate_that_is_too_large_is_off_to_the_positive():
    assert trial_of([entry("a", 7.0)]).off_mm == pytest.approx(7.0)


def typed(**changes):
    return {
        "typed": {
            "stature": "168 cm",
            "reference": "marker-sheets",
            "paper": "a4",
            "standoff_front": "21 cm",
            "standoff_side": "18.5 cm",
            **changes,
        }
    }


def test_what_she_typed_beside_a_rendered_sitting_is_read_in_millimetres():
    setup = setup_of(typed())

    assert setup.stature_mm == 1680.0
    assert setup.standoffs_mm == {"front": (210.0, 20.0), "side": (185.0, 20.0)}
    assert setup.check_bars_mm == (sheets.CHECK_BAR_ACROSS_MM, sheets.CHECK_BAR_UP_MM)


def test_blank_sheets_have_no_bars_to_check():
    assert setup_of(typed(reference="plain-sheets")).check_bars_mm == (None, None)
