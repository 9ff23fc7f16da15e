"""Who held the tape and what was worn under it: told for the readings to come, kept with each."""

from collections.abc import Collection

from ellwand.measurements import KINDS
from ellwand.sitting.record import Sitting
from ellwand.tape import MeasuredBy, Taken, Worn, worn_words


def with_taking(
    record: Sitting, measured_by: MeasuredBy | None = None, worn: Worn | None = None
) -> Sitting:
    """Note how readings are taken from now on; those before stay as they were taken.

    Args:
        record: the sitting.
        measured_by: who holds the tape, None as before.
        worn: what lies under it, None as before.
    """
    told = {"measured_by": measured_by, "worn": worn}
    new = {key: value for key, value in told.items() if value is not None}
    return record.model_copy(update={"taking": record.taking.model_copy(update=new)})


def taken_of(record: Sitting, code: str) -> tuple[Taken, ...]:
    """How the readings of a measurement that count were taken, each way once.

    Args:
        record: the sitting.
        code: of the measurement.

    Returns:
        In the order of entry. Ways of which nothing is known are among them only beside others.
    """
    rows = record.readings.get(code, ())
    counting = (row.taking.taken().at(code) for row in rows if not row.superseded)
    found = tuple(dict.fromkeys(counting))
    return () if found == (Taken(),) else found


def worn_of(record: Sitting) -> dict[str, frozenset[Worn]]:
    """What lay under the readings that count, by code."""
    return {
        code: frozenset(row.taking.worn for row in rows if not row.superseded)
        for code, rows in record.readings.items()
        if code in KINDS
    }


def worn_warnings(record: Sitting, codes: Collection[str]) -> tuple[str, ...]:
    """What clothes have done to measurements.

    Args:
        record: the sitting.
        codes: of the measurements that matter.
    """
    return worn_words({code: worn for code, worn in worn_of(record).items() if code in codes})
