"""What has changed between two sittings, and how sure that is."""

import math
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.measurements import KINDS
from ellwand.sitting import (
    Difference,
    Measurement,
    Sitting,
    SittingsCompared,
    Standing,
    Verdict,
    read,
    sittings_compared,
    sized,
    with_findings,
)
from ellwand.sitting.comparing import CHANGED_FROM, PERHAPS_FROM, certainty
from ellwand.sizing import demo_block
from ellwand.tape import summarise
from ellwand.tape.repeats import COMMON_SD_MM, REPEAT_SD_MM

from .invented import findings


def held(value_mm: float, u_mm: float, standing: Standing = "confirmed") -> Measurement:
    return Measurement(value_mm=value_mm, u_mm=u_mm, standing=standing)


def sitting(**measurements: Measurement) -> Sitting:
    return Sitting(measurements=measurements)


def only(found: SittingsCompared) -> Difference:
    (row,) = found.differences
    return row


# By hand: d is 40 or less, u the root of both squared; Phi(2) = 0.97725, Phi(1.96) = 0.975,
# Phi(1) = 0.84134, Phi(0.5) = 0.69146, Phi(3) = 0.99865. Two-sided 95 % begins at 1.95996 u and
# 68 % at 0.99446 u.
CASES: list[tuple[Measurement, Measurement, float, float, float | None, Verdict]] = [
    (held(800, 6), held(820, 8), 20, 10, 0.97725, "changed"),
    (held(820, 8), held(800, 6), -20, 10, 0.97725, "changed"),
    (held(800, 6), held(819.6, 8), 19.6, 10, 0.97500, "changed"),
    (held(800, 6), held(819.5, 8), 19.5, 10, 0.97441, "perhaps"),
    (held(800, 6), held(810, 8), 10, 10, 0.84134, "perhaps"),
    (held(800, 6), held(809.9, 8), 9.9, 10, 0.83891, "within doubt"),
    (held(800, 6), held(805, 8), 5, 10, 0.69146, "within doubt"),
    (held(800, 6), held(800, 8), 0, 10, 0.5, "within doubt"),
    (held(800, 3, "kept"), held(815, 4), 15, 5, 0.99865, "changed"),
    # Estimates with their own doubt: 5, 12, 13 and 30, 40, 50.
    (held(800, 12, "estimated"), held(826, 5), 26, 13, 0.97725, "changed"),
    (held(800, 12, "estimated"), held(813, 5), 13, 13, 0.84134, "perhaps"),
    (held(800, 30, "estimated"), held(825, 40, "estimated"), 25, 50, 0.69146, "within doubt"),
    # Nothing is said of what may have slipped, however far apart.
    (held(800, 6), held(920, 8, "queried"), 120, 10, None, "not settled"),
    (held(800, 6, "read"), held(920, 8), 120, 10, None, "not settled"),
    # Exact values, as a file that was written by hand may have.
    (held(800, 0), held(800, 0), 0, 0, 0.5, "within doubt"),
    (held(800, 0), held(800.1, 0), 0.1, 0, 1.0, "changed"),
]


@pytest.mark.parametrize(("old", "new", "apart", "u", "probability", "verdict"), CASES)
def test_a_difference_is_named_by_its_probability(
    old: Measurement,
    new: Measurement,
    apart: float,
    u: float,
    probability: float | None,
    verdict: Verdict,
) -> None:
    row = only(sittings_compared(sitting(waist=old), sitting(waist=new)))
    assert row.difference_mm == pytest.approx(apart)
    assert row.u_mm == pytest.approx(u)
    assert row.verdict == verdict
    if probability is None:
        assert (row.probability, row.p_two_sided) == (None, None)
    else:
        assert row.probability == pytest.approx(probability, abs=1e-5)
        assert row.p_two_sided == pytest.approx(2 * (1 - probability), abs=2e-5)
    assert row.estimated == ("estimated" in (old.standing, new.standing))


@pytest.mark.parametrize(
    ("apart", "u_old", "u_new"), [(3.0, 7.9, 7.9), (-9.0, 5.0, 12.0), (22.0, 7.9, 20.0)]
)
def test_the_probability_is_that_of_a_simulation(apart: float, u_old: float, u_new: float) -> None:
    draws = np.random.default_rng(27)
    true_old = 800 + u_old * draws.standard_normal(200_000)
    true_new = 800 + apart + u_new * draws.standard_normal(200_000)
    probability, p = certainty(apart, math.hypot(u_old, u_new))
    assert np.mean(np.sign(true_new - true_old) == np.sign(apart)) == pytest.approx(
        probability, abs=0.01
    )
    # The same body twice, found with these doubts.
    noise = u_new * draws.standard_normal(200_000) - u_old * draws.standard_normal(200_000)
    assert np.mean(np.abs(noise) >= abs(apart)) == pytest.approx(p, abs=0.01)


@pytest.mark.parametrize("same_hands", [False, True])
def test_a_body_that_stays_the_same_is_seldom_said_to_have_changed(same_hands: bool) -> None:
    """Pairs of readings as the tape makes them, through the very median and doubt of a sitting."""
    draws = np.random.default_rng(31)
    changed = tried = 0
    for own in draws.normal(0, REPEAT_SD_MM, (25_000, 2, 2)).tolist():
        hands = draws.normal(0, COMMON_SD_MM, 2)
        if same_hands:
            hands[1] = hands[0]
        old, new = (
            summarise([800 + off + one for one in pair])
            for off, pair in zip(hands.tolist(), own, strict=True)
        )
        if old.agree and new.agree:
            tried += 1
            _, p = certainty(new.value_mm - old.value_mm, math.hypot(old.u_mm, new.u_mm))
            changed += 1 - p >= CHANGED_FROM
    assert tried > 5_000
    share = changed / tried
    # The doubt of a pair that agrees is pooled with the ordinary one and comes out 4 % small.
    low, high = (0.008, 0.030) if same_hands else (0.045, 0.070)
    assert low < share < high


STANDINGS = st.sampled_from(["estimated", "read", "queried", "confirmed", "kept"])
DAYS = st.none() | st.dates(date(2025, 1, 1), date(2026, 12, 31))
MEASURED = st.builds(held, st.floats(200, 2000), st.floats(0, 60, allow_subnormal=False), STANDINGS)


@st.composite
def sittings(draw: st.DrawFn) -> Sitting:
    codes = draw(st.lists(st.sampled_from(list(KINDS)), unique=True, max_size=6))
    record = Sitting()
    readings = {}
    for code in codes:
        readings |= read(record, code, ["80", "80"], on=draw(DAYS)).record.readings
    measurements = {code: draw(MEASURED) for code in codes}
    return record.model_copy(update={"readings": readings, "measurements": measurements})


def turned(row: Difference) -> Difference:
    days = row.days_apart
    return replace(
        row,
        old=row.new,
        new=row.old,
        difference_mm=-row.difference_mm,
        days_apart=None if days is None else -days,
    )


@given(sittings(), sittings())
def test_the_other_way_round_turns_the_signs_and_nothing_else(old: Sitting, new: Sitting) -> None:
    there, back = sittings_compared(old, new), sittings_compared(new, old)
    assert back.differences == tuple(turned(row) for row in there.differences)
    assert (back.old_only, back.new_only) == (there.new_only, there.old_only)
    for row in there.differences:
        if row.probability is not None:
            assert 0.5 <= row.probability <= 1


@given(sittings())
def test_a_sitting_beside_itself_has_no_change(record: Sitting) -> None:
    found = sittings_compared(record, record)
    assert [row.code for row in found.differences] == [
        code for code in KINDS if code in record.measurements
    ]
    assert {row.verdict for row in found.differences} <= {"within doubt", "not settled"}
    assert {row.difference_mm for row in found.differences} <= {0}
    assert {row.days_apart for row in found.differences} <= {0, None}
    assert (found.old_only, found.new_only, found.redecided) == ((), (), ())


@given(st.floats(0, 100), st.floats(0, 100), st.floats(0.1, 50))
def test_farther_apart_is_never_less_sure(one: float, other: float, u: float) -> None:
    near, far = sorted((one, other))
    assert certainty(near, u)[0] <= certainty(far, u)[0]
    assert certainty(near, u)[1] >= certainty(far, u)[1]


def test_the_limits_are_those_that_are_told() -> None:
    assert (CHANGED_FROM, PERHAPS_FROM) == (0.95, 0.68)


def taped(on: date | None, waist: tuple[str, ...], **others: tuple[str, ...]) -> Sitting:
    record = Sitting()
    for code, texts in {"waist": waist, **others}.items():
        record = read(record, code, texts, on=on).record
    return record


def test_days_are_those_of_the_oldest_reading_that_counts() -> None:
    spring, autumn = date(2026, 3, 2), date(2026, 9, 14)
    old, new = taped(spring, ("80", "80")), taped(autumn, ("83", "83"))
    assert only(sittings_compared(old, new)).days_apart == 28 * 7
    assert only(sittings_compared(old, taped(None, ("83", "83")))).days_apart is None
    # Readings that no longer count are as if they had not been.
    late = read(new, "waist", ["84", "84"], True, date(2026, 9, 28)).record
    assert only(sittings_compared(old, late)).days_apart == 30 * 7


def test_an_estimate_has_no_day() -> None:
    old = read(with_findings(Sitting(), findings()), "waist", ["76", "76"], on=date(2026, 3, 2))
    found = sittings_compared(old.record, with_findings(Sitting(), findings()))
    by_code = {row.code: row for row in found.differences}
    assert by_code["waist"].days_apart is None
    assert by_code["waist"].estimated
    # Values that lean on another tape reading are the same kind of estimate.
    assert all(row.estimated for row in found.differences)


def test_what_only_one_has_is_told_in_the_usual_order() -> None:
    old = sitting(hand=held(200, 5), waist=held(800, 5), stature=held(1680, 10))
    new = sitting(waist=held(800, 5), wrist=held(160, 5))
    found = sittings_compared(old, new)
    assert (found.old_only, found.new_only) == (("stature", "hand"), ("wrist",))


@pytest.mark.parametrize(
    ("old_decided", "new_decided", "told"),
    [
        (True, True, "both"),
        (True, False, "old only"),
        (False, True, "new only"),
        (False, False, "neither"),
    ],
)
def test_decisions_are_compared_where_both_have_one(
    old_decided: bool, new_decided: bool, told: str
) -> None:
    def decided(record: Sitting, wanted: bool) -> Sitting:
        return sized(record, demo_block()) if wanted else record

    rest = {"stature": ("168",), "high_bust": ("92", "92"), "full_bust": ("99", "99")}
    old = decided(taped(None, ("80", "80"), full_hip=("103", "103"), **rest), old_decided)
    new = decided(taped(None, ("80", "80"), full_hip=("110", "110"), **rest), new_decided)
    found = sittings_compared(old, new)
    assert found.decided == told
    assert bool(found.redecided) == (told == "both")
