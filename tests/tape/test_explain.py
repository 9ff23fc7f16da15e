import math

import pytest

from ellwand.measurements import Estimate
from ellwand.tape import SlipName
from ellwand.tape.doubt import Limits
from ellwand.tape.explain import Explanation
from ellwand.tape.slips import COPIED, COPIED_STEP_MM, SLIPS, SOUND_RATE, TYPED_TWICE

from .figures import PHOTOS, doubts, entered, estimate

NO_LIMIT = Limits(2.0, 2.0, 2.0)
# A full bust whose number is neither 10 cm nor a swap of digits away from the waist.
WIDER = {"full_bust": estimate("full_bust", 990.0, 40.0), "waist": estimate("waist", 760.0, 40.0)}
EXCHANGED_WITH_BUST = ("fields exchanged", "full_bust", True)


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


def test_the_number_of_a_girth_that_was_read_is_seen_at_another_one() -> None:
    found = ways({"full_bust": "99", "waist": "99"}, "waist", WIDER)
    assert (found[0].slip, found[0].other, found[0].copied) == EXCHANGED_WITH_BUST
    assert found[0].corrected_mm is None
    # The full bust is right where it stands, so it has no part in the slip.
    assert found[0].partner is None
    assert doubts(entered({"full_bust": "99", "waist": "99"}), WIDER).known.sound == {"full_bust"}


def test_bayes_rule_by_hand_for_a_copied_number() -> None:
    # Photos say 760, u 40. Sound: N(760, 40^2 + 10^2) at 990. Typed in whole centimetres, a copy
    # has the density 1 / 10 mm; measured once more at the bust it is N(990, ...), conditioned on
    # photos (990, u 40) and the tape (990, sd 10): variance 100 * 1600 / 1700, and 10^2 again.
    found = ways({"full_bust": "99", "waist": "99"}, "waist", WIDER)
    (sound,) = (way.probability for way in found if way.sound)
    (copy,) = (way.probability for way in found if way.copied)
    spread = math.sqrt(2 * math.pi)
    expected = math.hypot(40, 10)
    as_sound = SOUND_RATE * math.exp(-0.5 * (230 / expected) ** 2) / (expected * spread)
    again = 1 / (math.sqrt(100 * 1600 / 1700 + 100) * spread)
    as_copy = TYPED_TWICE.rate * (COPIED / COPIED_STEP_MM + (1 - COPIED) * again)
    assert copy / sound == pytest.approx(as_copy / as_sound, rel=1e-6)


@pytest.mark.parametrize(("texts", "reading"), [("99|99", None), ("99|76", 0), ("76|99", 1)])
def test_of_repeats_the_one_with_another_girths_number_is_told(
    texts: str, reading: int | None
) -> None:
    best = ways({"full_bust": "99|99.5", "waist": texts}, "waist", WIDER)[0]
    assert (best.slip, best.other, best.copied) == EXCHANGED_WITH_BUST
    assert best.reading == reading


def test_a_number_near_that_of_another_girth_is_its_number_but_not_copied() -> None:
    best = ways({"full_bust": "99", "waist": "99.7"}, "waist", WIDER)[0]
    assert (best.slip, best.other, best.copied) == (*EXCHANGED_WITH_BUST[:2], False)


@pytest.mark.parametrize("number", ["84", "84.5", "84.3"])
def test_two_girths_that_fit_may_have_the_same_number(number: str) -> None:
    photos = {code: estimate(code, 835.0, 25.0) for code in ("underbust", "waist")}
    for texts in (number, f"{number}|{number}"):
        best = ways({"underbust": texts, "waist": texts}, "waist", photos)[0]
        assert best.sound
        assert best.probability > 0.9


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
