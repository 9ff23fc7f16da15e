import pytest

from ellwand.girth.people import people
from ellwand.measurements import LEVELS
from ellwand.tape import summarise
from ellwand.tape.expect import expect

from .figures import PHOTOS, estimate, tied


def test_girths_in_photos_are_expected_as_the_photos_have_them() -> None:
    expected = expect(["waist"], PHOTOS, tied(0.5), None)
    assert set(expected.joint.codes) == set(LEVELS)
    assert expected.normal("waist") == (760.0, 400.0)
    assert expected.on_scale("waist", 770.0, 10.0) == (770.0, 10.0)


def test_a_reading_moves_what_is_expected_of_the_others() -> None:
    # Correlation 1/2, u 20, tape 10: the other moves by 200 / 500 of 25 mm.
    expected = expect(["waist"], PHOTOS, tied(0.5), None).given({"full_hip": summarise([1035.0])})
    mean, variance = expected.normal("waist")
    assert mean == pytest.approx(770.0)
    assert variance == pytest.approx(400.0 - 200.0**2 / 500.0)


def test_without_photos_women_are_expected() -> None:
    expected = expect(["full_bust"], {}, None, None)
    assert set(expected.joint.codes) == {"stature", *LEVELS}
    mean, variance = expected.normal("full_bust")
    assert expected.off_scale("full_bust", mean) == people().scales["full_bust"].centre_mm
    assert variance**0.5 > 100
    assert not expected.seen


def test_a_height_tells_of_girths_only_where_there_are_no_photos() -> None:
    tall = {"stature": summarise([1750.0])}
    women = expect(["stature", "full_hip"], {}, None, None)
    assert women.given(tall).normal("full_hip") != women.normal("full_hip")
    photos = expect(["stature", "full_hip"], PHOTOS, tied(0.5), None)
    assert photos.given(tall).normal("full_hip") == photos.normal("full_hip")
    assert women.tells("stature", "full_hip")
    assert not photos.tells("stature", "full_hip")
    assert not women.tells("full_hip", "full_hip")


def test_what_no_photo_shows_is_expected_in_its_plausible_range() -> None:
    expected = expect(["wrist", "arm_length"], {"arm_length": estimate("arm_length", 600.0)},
                      None, None)  # fmt: skip
    mean, variance = expected.normal("wrist")
    low = expected.off_scale("wrist", mean - 2.576 * variance**0.5)
    assert low == pytest.approx(100.0)
    assert expected.normal("arm_length") == (600.0, 400.0)
    assert expected.seen == {"arm_length"}
