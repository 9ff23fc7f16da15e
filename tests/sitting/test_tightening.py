"""A girth read off the tape tells of those that only photos have shown."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ellwand.measurements import LEVELS
from ellwand.sitting import (
    Sitting,
    bust_difference_given_tape,
    confirmed,
    estimates_given_tape,
    keep,
    read,
    sized,
    with_findings,
)
from ellwand.sizing import decision_from_json, demo_block
from ellwand.tape import summarise

from .invented import GIRTHS_MM, findings

# Every girth known to 20 mm, and half of that shared.
PHOTOS = with_findings(Sitting(), findings(correlation=0.5))
TAPE_U_MM = summarise([1000.0, 1000.0]).u_mm


def test_photos_alone_are_left_as_they_are() -> None:
    for code in LEVELS:
        held = PHOTOS.measurements[code]
        assert (held.value_mm, held.u_mm, held.tightened_by) == (GIRTHS_MM[code], 20.0, ())
    assert estimates_given_tape(PHOTOS) == PHOTOS.estimates()


def test_a_confirmed_hip_moves_and_tightens_the_waist() -> None:
    record = read(PHOTOS, "full_hip", ["103", "103"]).record
    waist = record.measurements["waist"]
    # 20 mm more than the photos said; the waist takes 200 / (400 + u^2) of it and loses
    # 200 * 200 / (400 + u^2) of its variance.
    total = 400 + TAPE_U_MM**2
    assert waist.value_mm == pytest.approx(760 + 200 / total * 20, abs=0.01)
    assert waist.u_mm == pytest.approx(math.sqrt(400 - 200**2 / total), abs=0.01)
    assert (waist.standing, waist.tightened_by) == ("estimated", ("full_hip",))
    # What the photos gave stays as it was, and lengths have no part in it.
    assert record.findings == PHOTOS.findings
    assert record.measurements["arm_length"] == PHOTOS.measurements["arm_length"]


def test_one_reading_alone_and_a_queried_one_tell_nothing() -> None:
    for entries, standing in ((["103"], "read"), (["40.5", "40.5"], "queried")):
        record = read(PHOTOS, "full_hip", entries).record
        assert record.measurements["full_hip"].standing == standing
        assert record.measurements["waist"] == PHOTOS.measurements["waist"]


def test_a_kept_reading_tells_as_much_as_its_doubt_allows() -> None:
    once = keep(read(PHOTOS, "full_hip", ["103"]).record, "full_hip", "the tape is worn")
    twice = read(PHOTOS, "full_hip", ["103", "103"]).record
    assert once.measurements["full_hip"].standing == "kept"
    assert once.measurements["waist"].tightened_by == ("full_hip",)
    assert twice.measurements["waist"].u_mm < once.measurements["waist"].u_mm < 20.0


def test_a_value_kept_against_the_photos_tells_nothing() -> None:
    record = read(PHOTOS, "full_hip", ["120", "120"]).record
    assert record.measurements["full_hip"].standing == "queried"
    record = keep(record, "full_hip", "measured by a friend")
    assert record.measurements["full_hip"].standing == "kept"
    assert record.measurements["waist"] == PHOTOS.measurements["waist"]


def test_a_further_reading_that_ends_confirmation_gives_the_estimate_back() -> None:
    record = read(PHOTOS, "full_hip", ["103", "103"]).record
    record = read(record, "full_hip", ["40"], instead=True).record
    assert record.measurements["waist"] == PHOTOS.measurements["waist"]


def test_the_size_rests_on_estimates_given_the_tape() -> None:
    record = PHOTOS
    for code, entry in (("stature", "168"), ("high_bust", "91"), ("full_bust", "96.5")):
        record = read(record, code, [entry, entry]).record
    held = record.measurements["waist"]
    given = estimates_given_tape(record)["waist"]
    assert (given.value_mm, given.u_mm) == (held.value_mm, held.u_mm)
    assert held.tightened_by == ("high_bust", "full_bust")
    assert given.high_mm - given.value_mm == pytest.approx(1.96 * held.u_mm)
    ease = {row.level: row for row in decision_from_json(sized(record, demo_block()).decision).ease}
    assert (ease["waist"].low_mm, ease["waist"].high_mm) == (given.low_mm, given.high_mm)


def test_a_decision_falls_when_a_reading_moves_an_estimate_that_it_rests_on() -> None:
    record = PHOTOS
    for code, entry in (("stature", "168"), ("high_bust", "90"), ("full_bust", "95")):
        record = read(record, code, [entry, entry]).record
    decided = sized(record, demo_block())
    assert read(decided, "underbust", ["81", "81"]).record.decision is None


def test_the_bust_difference_leans_on_a_girth_that_is_taped_and_ends_with_both() -> None:
    alone = bust_difference_given_tape(PHOTOS)
    assert alone is not None
    assert (alone.value_mm, alone.u_mm) == (50.0, 20.0)
    record = read(PHOTOS, "high_bust", ["90", "90"]).record
    given_one = bust_difference_given_tape(record)
    assert given_one is not None
    assert given_one.u_mm < alone.u_mm
    record = read(record, "full_bust", ["96", "96"]).record
    assert {"high_bust", "full_bust"} <= confirmed(record).keys()
    assert bust_difference_given_tape(record) is None
    assert bust_difference_given_tape(Sitting()) is None


SOUND = st.sampled_from(LEVELS).flatmap(
    lambda code: st.tuples(st.just(code), st.floats(-15, 15).map(lambda mm: round(mm, 1)))
)


@settings(max_examples=40)
@given(st.lists(SOUND, max_size=4, unique_by=lambda row: row[0]), st.floats(0, 0.95))
def test_no_confirmed_girth_makes_an_estimate_less_certain(
    readings: list[tuple[str, float]], correlation: float
) -> None:
    record = with_findings(Sitting(), findings(correlation=correlation))
    for code, off_mm in readings:
        before = record
        entry = f"{GIRTHS_MM[code] + off_mm:.1f} mm"
        record = read(record, code, [entry, entry]).record
        for other, held in record.measurements.items():
            if held.standing == "estimated":
                assert held.u_mm <= before.measurements[other].u_mm + 0.01
