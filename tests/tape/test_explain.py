import math

import pytest

from ellwand.tape import SlipName, enter, summarise
from ellwand.tape.explain import Known, explain
from ellwand.tape.slips import RATES, SOUND_RATE

from .figures import PHOTOS, estimate

NOTHING = Known({}, {}, frozenset())


def test_a_reading_that_fits_is_sound() -> None:
    best = explain([enter("full_bust", "94", "cm")], Known(PHOTOS, {}, frozenset()))[0]
    assert best.slip is None
    assert best.probability > 0.9


def test_probabilities_of_all_explanations_sum_to_one() -> None:
    ways = explain([enter("full_bust", "36.4", "cm")], Known(PHOTOS, {}, frozenset()))
    assert sum(way.probability for way in ways) == pytest.approx(1)
    assert [way.probability for way in ways] == sorted(
        (way.probability for way in ways), reverse=True
    )


def test_bayes_rule_by_hand_for_the_10_cm_mark() -> None:
    # Photos say 950 with u = 24, tape 10: sd 26. Read 1050: sound lies 100 off, less 100 it fits.
    known = Known({"wrist": estimate("wrist", 950.0, 24.0)}, {}, frozenset())
    ways = explain([enter("wrist", "105", "cm")], known)
    by_slip = {way.slip: way.probability for way in ways}
    ratio = RATES["counted from the 10 cm mark"] / (SOUND_RATE * math.exp(-0.5 * (100 / 26) ** 2))
    assert by_slip["counted from the 10 cm mark"] / by_slip[None] == pytest.approx(ratio)


ALONE: list[tuple[str, str, SlipName, float]] = [
    ("full_bust", "37.4", "wrong unit", 949.96),
    ("full_bust", "95 in", "wrong unit", 950.0),
    ("waist", "7.6", "decimal point lost", 760.0),
    ("waist", "760", "decimal point lost", 760.0),
    ("full_hip", "49", "tape read from its other end", 1010.0),
    ("waist", "38", "tape doubled", 760.0),
    ("full_bust", "105", "counted from the 10 cm mark", 950.0),
    ("waist", "67", "digits swapped", 760.0),
]


@pytest.mark.parametrize(("code", "text", "slip", "mm"), ALONE)
def test_photos_tell_the_slip_and_the_value(
    code: str, text: str, slip: SlipName, mm: float
) -> None:
    best = explain([enter(code, text, "cm")], Known(PHOTOS, {}, frozenset()))[0]
    assert best.slip == slip
    assert best.corrected_mm == pytest.approx(mm)


def test_without_photos_the_plausible_range_still_tells_a_wrong_unit() -> None:
    for text in ("36.4", "95 in"):
        assert explain([enter("full_bust", text, "cm")], NOTHING)[0].slip == "wrong unit"


def test_a_slack_tape_gives_no_value_to_compute() -> None:
    known = Known({"waist": estimate("waist", 760.0, 8.0)}, {}, frozenset())
    best = explain([enter("waist", "80.1", "cm")], known)[0]
    assert (best.slip, best.corrected_mm) == ("tape crooked or loose", None)


def test_exchanged_fields_are_seen_from_both_sides() -> None:
    taped = {"waist": summarise([1010.0]), "full_hip": summarise([760.0])}
    known = Known(PHOTOS, taped, frozenset())
    waist = explain([enter("waist", "101", "cm")], known)[0]
    hip = explain([enter("full_hip", "76", "cm")], known)[0]
    assert (waist.slip, waist.other, waist.corrected_mm) == ("fields exchanged", "full_hip", 760.0)
    assert (hip.slip, hip.other, hip.corrected_mm) == ("fields exchanged", "waist", 1010.0)


def test_a_value_of_another_field_is_seen_before_that_field_is_entered() -> None:
    best = explain([enter("waist", "101", "cm")], Known(PHOTOS, {}, frozenset()))[0]
    assert (best.slip, best.other, best.corrected_mm) == ("fields exchanged", "full_hip", None)


def test_of_two_readings_the_one_that_slipped_is_told() -> None:
    readings = [enter("waist", "72", "cm"), enter("waist", "28.5", "cm")]
    best = explain(readings, NOTHING)[0]
    assert (best.slip, best.reading) == ("wrong unit", 1)
    assert best.corrected_mm == pytest.approx(723.9)
    turned = explain(readings[::-1], NOTHING)[0]
    assert (turned.slip, turned.reading) == ("wrong unit", 0)
