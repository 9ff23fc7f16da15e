"""Whether what was measured is still fresh: girths change."""

from collections.abc import Collection
from datetime import date

from ellwand.language import Noun, gettext, ngettext
from ellwand.listing import listed
from ellwand.measurements import KINDS
from ellwand.sitting.record import Sitting

# After so many weeks girths are read again before cloth is cut (judged).
FRESH_WEEKS = 8
_DAYS_A_WEEK = 7


def stale_words(
    record: Sitting, codes: Collection[str], today: date, weeks: int = FRESH_WEEKS
) -> tuple[str, ...]:
    """Say which measurements are to be read again because of their age.

    Args:
        record: the sitting.
        codes: of the measurements that matter.
        today: the day on which that is asked.
        weeks: how long a girth counts as fresh.

    Returns:
        One sentence, or none. Readings of files that hold no day are passed over; a measurement is
        as old as its oldest reading that counts. A height does not grow old.
    """
    old = {}
    for code in codes:
        age = (today - (oldest_day(record, code) or today)).days // _DAYS_A_WEEK
        if code != "stature" and age >= weeks:
            old[code] = age
    if not old:
        return ()
    told = ngettext(
        "Measured {number} week ago: {names}.",
        "Measured {number} weeks ago: {names}.",
        max(old.values()),
        names=listed([f"{Noun(KINDS[code].name)}" for code in KINDS if code in old]),
    )
    again = (
        gettext("Bodies change; read it again before cutting.")
        if len(old) == 1
        else gettext("Bodies change; read them again before cutting.")
    )
    return (f"{told} {again}",)


def oldest_day(record: Sitting, code: str) -> date | None:
    """The first day of the readings of a measurement that count; None where none has a day."""
    rows = record.readings.get(code, ())
    return min((row.on for row in rows if row.on and not row.superseded), default=None)
