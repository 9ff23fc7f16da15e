"""The measurements: names, codes and limits."""

import pytest

from ellwand.measurements import KINDS, LEVELS, Kind

KINDS_BY_CODE = pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)


def test_every_level_is_a_measurement_from_the_highest_to_the_lowest() -> None:
    assert LEVELS == ("high_bust", "full_bust", "underbust", "waist", "high_hip", "full_hip")
    assert set(LEVELS) < set(KINDS)


def test_a_name_is_no_other_measurement_s_name_or_code() -> None:
    assert len({kind.name for kind in KINDS.values()}) == len(KINDS)
    for code, kind in KINDS.items():
        assert kind.name.replace(" ", "_") not in KINDS.keys() - {code}


@KINDS_BY_CODE
def test_a_kind_has_what_a_page_shows(kind: Kind) -> None:
    assert KINDS[kind.code] is kind
    assert kind.code.isidentifier()
    assert kind.code == kind.code.lower()
    assert kind.name
    assert kind.taken


@KINDS_BY_CODE
def test_limits_hold_the_women_of_the_published_tables(kind: Kind) -> None:
    low, high = kind.plausible_mm
    # ANSUR II women, 1st to 99th percentile, mm (from memory, rounded); not all are surveyed.
    seen = {"stature": (1480, 1780), "waist": (650, 1150), "full_hip": (850, 1260),
            "full_bust": (780, 1200), "wrist": (135, 175), "inside_leg": (640, 850)}  # fmt: skip
    least, most = seen.get(kind.code, (low + 1, high - 1))
    assert 0 < low < least < most < high
