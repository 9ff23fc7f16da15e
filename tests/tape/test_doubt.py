"""Readings held against one another: who is in doubt, and who is left in peace."""

import statistics

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ellwand.measurements import LEVELS
from ellwand.tape import SlipName
from ellwand.tape.doubt import LIMITS

from .figures import PHOTOS, PHOTOS_MM, doubts, entered, tied

SOUND = {code: f"{mm / 10:.1f}" for code, mm in PHOTOS_MM.items()}


def in_doubt(entries: dict[str, str], photos: bool = True) -> dict[str, SlipName | None]:
    """Slip by code of what is in doubt."""
    found = doubts(entered(entries), PHOTOS if photos else {}, tied(0.3) if photos else None)
    return {code: found.likeliest(code).slip for code in entries if code not in found.known.sound}


@pytest.mark.parametrize("photos", [True, False])
@pytest.mark.parametrize(
    ("code", "text", "slip"),
    [
        ("full_bust", "37 3/8", "wrong unit"),
        ("waist", "30", "wrong unit"),
        ("full_hip", "202.0", "tape doubled"),
        ("full_bust", "950", "decimal point lost"),
        ("high_bust", "9.0", "decimal point lost"),
        ("high_bust", "09", "digits swapped"),
    ],
)
def test_one_slip_is_named_and_throws_no_doubt_on_its_neighbours(
    code: str, text: str, slip: SlipName, photos: bool
) -> None:
    assert in_doubt({**SOUND, code: text}, photos) == {code: slip}


def test_nothing_is_in_doubt_where_nothing_slipped() -> None:
    assert in_doubt(SOUND) == {}
    assert in_doubt({**SOUND, "stature": "168"}, photos=False) == {}


def test_exchanged_fields_are_in_doubt_together() -> None:
    turned = {**SOUND, "waist": SOUND["full_hip"], "full_hip": SOUND["waist"]}
    assert in_doubt(turned) == {"waist": "fields exchanged", "full_hip": "fields exchanged"}


@pytest.mark.parametrize("photos", [True, False])
def test_a_number_typed_for_two_girths_is_doubted_where_it_does_not_belong(photos: bool) -> None:
    slip = "fields exchanged"
    for code, other in (("waist", "full_hip"), ("full_hip", "waist"), ("waist", "full_bust")):
        twice = {**SOUND, code: f"{SOUND[other]}|{SOUND[other]}"}
        assert in_doubt(twice, photos) == {code: slip}


def test_two_slips_are_each_named() -> None:
    assert in_doubt({**SOUND, "full_bust": "59", "full_hip": "39 3/4"}) == {
        "full_bust": "digits swapped",
        "full_hip": "wrong unit",
    }


def test_other_readings_tell_what_photos_alone_do_not() -> None:
    # 5 cm more than the photos show is no wonder when all girths are 5 cm more.
    alone = doubts(entered({"waist": "81.0"}), PHOTOS, tied(0.8))
    larger = {code: f"{mm / 10 + 5:.1f}" for code, mm in PHOTOS_MM.items()}
    together = doubts(entered(larger), PHOTOS, tied(0.8))
    assert together.chance("waist") < 0.5 * alone.chance("waist")


def test_all_girths_in_a_wrong_unit_agree_with_each_other_and_are_told_all_the_same() -> None:
    # 85, 66 and 92 cm in fields that take inches, no photos.
    readings = entered({"full_bust": "85", "waist": "66", "full_hip": "92"}, unit="in")
    readings |= entered({"stature": "168 cm"})
    found = doubts(readings, {})
    assert found.known.sound == {"stature"}
    assert {found.likeliest(code).slip for code in ("full_bust", "waist", "full_hip")} == {
        "wrong unit"
    }


def test_large_women_are_no_slips() -> None:
    large = {"full_bust": "138", "waist": "130", "full_hip": "146", "stature": "162"}
    assert in_doubt(large, photos=False) == {}


def test_about_one_sound_reading_in_a_hundred_is_queried() -> None:
    # Sound readings around 950 mm: photos u 20 and tape 10 make 22.4 mm; 999 quantiles of them.
    normal = statistics.NormalDist(950.0, (20.0**2 + 10.0**2) ** 0.5)
    quantiles = [normal.inv_cdf(k / 1000) for k in range(1, 1000)]
    queried = [mm for mm in quantiles if in_doubt({"full_bust": f"{mm / 10:.1f}"})]
    assert 0.005 < len(queried) / len(quantiles) < 0.015


@pytest.mark.parametrize(("second", "told"), [("77.3", False), ("79", True), ("67", True)])
def test_readings_that_differ_tell_a_slip_well_before_it_is_likely(second: str, told: bool) -> None:
    found = doubts(entered({"waist": f"76|{second}"}), PHOTOS)
    assert found.told_apart("waist")[0].sound != told
    assert found.scattered("waist") == (second != "67")


@pytest.mark.parametrize(("off_mm", "most"), [(-100, 94), (100, 97)])
def test_ten_centimetres_are_caught_at_nearly_every_woman(off_mm: int, most: int) -> None:
    normal = statistics.NormalDist(950.0 + off_mm, (20.0**2 + 10.0**2) ** 0.5)
    texts = [f"{normal.inv_cdf((k + 0.5) / 100) / 10:.1f}" for k in range(100)]
    assert sum(bool(in_doubt({"full_bust": text})) for text in texts) >= most


@settings(max_examples=60)
@given(
    st.dictionaries(
        st.sampled_from([*LEVELS, "stature"]),
        st.sampled_from(["92.5", "36 3/8", "76|67", "101", "9.5", "168", "850", "76|76.5|101"]),
        min_size=1,
        max_size=5,
    ),
    st.booleans(),
)
def test_what_is_sound_is_likelier_sound_than_the_limit_says(
    entries: dict[str, str], photos: bool
) -> None:
    readings = entered(entries)
    found = doubts(readings, PHOTOS if photos else {})
    assert found.known.sound <= readings.keys() == found.ways.keys()
    for code in found.ways:
        assert 0 <= found.chance(code) <= 1 + 1e-9
        assert not found.likeliest(code).sound
    turned = doubts(dict(reversed(readings.items())), PHOTOS if photos else {})
    assert turned.known.sound == found.known.sound
    assert LIMITS.told < LIMITS.agreeing < LIMITS.once < 0.5
