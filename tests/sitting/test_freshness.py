"""Readings grow old: after some weeks girths are asked for again."""

from datetime import date, timedelta

import pytest

from ellwand.sitting import Sitting, dump, parse, read, sized, stale_words
from ellwand.sizing import demo_block

DAY = date(2031, 5, 4)
GIRTHS = {"high_bust": "88", "full_bust": "93", "waist": "76", "full_hip": "99"}


def measured(days: dict[str, date | None]) -> Sitting:
    """A customer as size 4 is drafted; each girth read twice on its day."""
    record = read(Sitting(), "stature", ["168"], on=DAY - timedelta(weeks=200)).record
    for code, text in GIRTHS.items():
        record = read(record, code, [text, text], on=days.get(code, DAY)).record
    return record


@pytest.mark.parametrize(
    ("age", "weeks", "stale"),
    [(timedelta(days=55), 8, False), (timedelta(days=56), 8, True), (timedelta(days=56), 9, False)],
)
def test_a_girth_is_fresh_for_so_many_weeks(age: timedelta, weeks: int, stale: bool) -> None:
    told = stale_words(measured({}), GIRTHS, DAY + age, weeks)
    assert bool(told) == stale


def test_only_what_is_old_is_named_and_a_height_never_is() -> None:
    record = measured({"waist": DAY - timedelta(weeks=10)})
    (told,) = stale_words(record, ["stature", *GIRTHS], DAY)
    assert told == ("Measured 10 weeks ago: waist. Bodies change; read it again before cutting.")


def test_a_new_reading_makes_it_fresh_and_files_without_days_are_passed_over() -> None:
    old = measured({"waist": DAY - timedelta(weeks=10)})
    again = read(old, "waist", ["76", "76"], instead=True, on=DAY).record
    assert stale_words(again, GIRTHS, DAY) == ()
    assert stale_words(measured(dict.fromkeys(GIRTHS)), GIRTHS, DAY) == ()


def test_the_decision_says_it_and_the_day_stays_in_the_file() -> None:
    record = parse(dump(measured({})))
    assert record.readings["waist"][0].on == DAY
    later = sized(record, demo_block(), today=DAY + timedelta(weeks=9)).decision
    assert later is not None
    assert later["warnings"][0].startswith("Measured 9 weeks ago: high bust, full bust, waist")
    now = sized(record, demo_block(), today=DAY).decision
    assert now is not None
    assert not any("weeks ago" in one for one in now["warnings"])
