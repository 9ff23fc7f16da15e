import math

import pytest

from ellwand.measurements import Estimate
from ellwand.tape import SlipName
from ellwand.tape.doubt import Limits
from ellwand.tape.explain import Explanation
from ellwand.tape.slips import SLIPS, SOUND_RATE

from .figures import PHOTOS, doubts, entered, estimate

NO_LIMIT = Limits(2.0, 2.0, 2.0)


def ways(
    entries: dict[str, str], code: str, photos: dict[str, Estimate] = PHOTOS
) -> tuple[Explanation, ...]:
    """How the readings of a measurement may have come about, all others taken for sound."""
    return doubts(entered(entries), photos, limits=NO_LIMIT).ways[code]


def test_a_reading_that_fits_is_sound() -> None:
    best = ways({"full_bust": "94"}, "full_bust")[0]
    assert best.sound
    assert best.probability > 0.9


def test_probabilities_of_all_explanations_sum_to_one() -> None:
    found = ways({"full_bust": "36.4", "high_bust": "90|91"}, "high_bust")
    assert sum(way.probability for way in found) == pytest.approx(1)
    assert [way.probability for way in found] == sorted(
        (way.probability for way in found), reverse=True
    )


def test_bayes_rule_by_hand_for_the_10_cm_mark() -> None:
    # Photos say 950 with u = 24, tape 10: sd 26. Read 1050: sound lies 100 off, less 100 it fits.
    found = ways(
        {"full_bust": "105"}, "full_bust", {"full_bust": estimate("full_bust", 950.0, 24.0)}
    )
    by_slip = {way.slip: way.probability for way in found if not way.sound}
    (sound,) = (way.probability for way in found if way.sound)
    rate = SLIPS["counted from the 10 cm mark"].rate
    ratio = rate / (SOUND_RATE * math.exp(-0.5 * (100 / 26) ** 2))
    assert by_slip["counted from the 10 cm mark"] / sound == pytest.approx(ratio)


def test_two_repeats_by_hand() -> None:
    # u 24; repeats share 5 mm and have 8.66 mm each: the mean of two has a variance of 638.5.
    photos = {"waist": estimate("waist", 760.0, 24.0)}
    found = ways({"waist": "86|86"}, "waist", photos)
    (sound,) = (way.probability for way in found if way.sound)
    (both,) = (way.probability for way in found
               if way.slip == "counted from the 10 cm mark" and way.reading is None)  # fmt: skip
    habit = SLIPS["counted from the 10 cm mark"]
    odds = habit.rate * habit.again / SOUND_RATE * math.exp(0.5 * 100.0**2 / 638.5)
    assert both / sound == pytest.approx(odds, rel=1e-4)


ALONE: list[tuple[str, str, SlipName, float]] = [
    ("full_bust", "37.4", "wrong unit", 949.96),
    ("full_bust", "95 in", "wrong unit", 950.0),
    ("waist", "7.6", "decimal point lost", 760.0),
    ("waist", "760", "decimal point lost", 760.0),
    ("full_hip", "48", "tape read from its other end", 1020.0),
    ("waist", "38", "tape doubled", 760.0),
    ("full_bust", "105", "counted from the 10 cm mark", 950.0),
    ("full_bust", "85", "a ten misread", 950.0),
    ("full_bust", "59", "digits swapped", 950.0),
]


@pytest.mark.parametrize(("code", "text", "slip", "mm"), ALONE)
def test_photos_tell_the_slip_and_the_value(
    code: str, text: str, slip: SlipName, mm: float
) -> None:
    best = ways({code: text}, code)[0]
    assert best.slip == slip
    assert best.corrected_mm == pytest.approx(mm)


def test_without_photos_a_wrong_unit_is_still_told() -> None:
    for text in ("36.4", "95 in"):
        assert ways({"full_bust": text}, "full_bust", {})[0].slip == "wrong unit"


def test_a_slack_tape_gives_no_value_to_compute() -> None:
    best = ways({"waist": "80.1"}, "waist", {"waist": estimate("waist", 760.0, 8.0)})[0]
    assert (best.slip, best.corrected_mm) == ("tape crooked or loose", None)


def test_exchanged_fields_are_seen_from_both_sides() -> None:
    entries = {"waist": "101", "full_hip": "76"}
    waist, hip = ways(entries, "waist")[0], ways(entries, "full_hip")[0]
    assert (waist.slip, waist.other, waist.corrected_mm) == ("fields exchanged", "full_hip", 760.0)
    assert (hip.slip, hip.other, hip.corrected_mm) == ("fields exchanged", "waist", 1010.0)


def test_a_value_of_another_field_is_seen_before_that_field_is_entered() -> None:
    best = ways({"waist": "101.4"}, "waist")[0]
    assert (best.slip, best.other, best.corrected_mm) == ("fields exchanged", "full_hip", None)


def test_of_two_readings_the_one_that_slipped_is_told() -> None:
    for entries, slipped in (("72|28.5", 1), ("28.5|72", 0)):
        best = ways({"waist": entries}, "waist", {})[0]
        assert (best.slip, best.reading) == ("wrong unit", slipped)
        assert best.corrected_mm == pytest.approx(723.9)


def test_repeats_that_agree_exclude_a_swap_in_one_of_them() -> None:
    # 67 for 76 is likely once, and hardly twice.
    def swapped(texts: str) -> float:
        found = ways({"waist": texts}, "waist")
        return sum(way.probability for way in found if way.slip == "digits swapped")

    assert swapped("67") > 0.3
    assert swapped("67|67") < 0.3 * swapped("67")
    assert swapped("67|76") > 0.5


@pytest.mark.parametrize("text", ["30 in", "31 in", "32 in", "33 in"])
def test_an_inch_is_only_claimed_of_one_among_several_readings(text: str) -> None:
    def counted(texts: str, photos: dict[str, Estimate]) -> set[int | None]:
        found = ways({"waist": texts}, "waist", photos)
        return {way.reading for way in found if way.slip == "counted from the 10 cm mark"}

    for photos in (PHOTOS, {}):
        assert counted(text, photos) == set()
        assert counted(f"{text}|{text}", photos) == {0, 1}
