"""Two sittings of one customer, or cards of them: what differs by more than its doubt."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal

from ellwand.measurements import KINDS
from ellwand.sitting.freshness import oldest_day
from ellwand.sitting.record import Measurement, Sitting
from ellwand.sizing import Decision, Redecided, decision_from_json, redecided

Verdict = Literal["changed", "perhaps", "within doubt", "not settled"]
Decided = Literal["both", "old only", "new only", "neither"]

# With this confidence a difference is called a change: two-sided, as the bounds of the card are
# (customary; JCGM 100, 6.3.3).
CHANGED_FROM = 0.95
# With this one perhaps: a little over one standard uncertainty of the difference (judged).
PERHAPS_FROM = 0.68
# What tape or photos have settled well enough to be set against another value. One single reading
# and one in doubt may have slipped, and their uncertainty says nothing of that.
_SETTLED = ("confirmed", "kept", "estimated")


@dataclass(frozen=True)
class Side:
    """What a sitting, or the card of one, has to be set beside another.

    Args:
        measurements: by code, with value, uncertainty and standing.
        days: by code, the day of a taped measurement; none where it is not known.
        decision: the size decision, None without one.
    """

    measurements: Mapping[str, Measurement]
    days: Mapping[str, date]
    decision: Decision | None


@dataclass(frozen=True)
class Difference:
    """One measurement that both sittings have.

    Args:
        code: key of `measurements.KINDS`.
        old: as the earlier sitting holds it.
        new: as the later one does.
        difference_mm: new less old.
        u_mm: standard uncertainty of it.
        probability: that the true values differ in this direction, from 0.5 to 1; None where a
            value is not settled.
        p_two_sided: how often doubt alone would put two values of the same body at least as far
            apart; None where a value is not settled.
        verdict: what that comes to.
        days_apart: from the old reading to the new one, below 0 when the new one is the earlier;
            None where a day is not known.
    """

    code: str
    old: Measurement
    new: Measurement
    difference_mm: float
    u_mm: float
    probability: float | None
    p_two_sided: float | None
    verdict: Verdict
    days_apart: int | None

    @property
    def estimated(self) -> bool:
        """Whether one of the two comes from photos."""
        return "estimated" in (self.old.standing, self.new.standing)


@dataclass(frozen=True)
class SittingsCompared:
    """Two sittings beside each other.

    Args:
        differences: what both have measured, in the order of `measurements.KINDS`.
        old_only: codes that only the earlier sitting has.
        new_only: codes that only the later sitting has.
        decided: which of them has a size decision.
        redecided: the answers that differ, none unless both have a decision.
    """

    differences: tuple[Difference, ...]
    old_only: tuple[str, ...]
    new_only: tuple[str, ...]
    decided: Decided
    redecided: tuple[Redecided, ...]


def sittings_compared(old: Sitting, new: Sitting) -> SittingsCompared:
    """Say what is different in a later sitting of the same customer.

    Args:
        old: the earlier sitting.
        new: the later one.

    Returns:
        Every measurement that both have, changed or not, and what is different in the decision.

    Raises:
        SittingProblem: a decision in one of them cannot be read.
    """
    return sides_compared(side_of(old), side_of(new))


def side_of(record: Sitting) -> Side:
    """What a sitting has to be set beside another.

    Raises:
        SittingProblem: its decision cannot be read.
    """
    days = {code: _day(record, code) for code in record.measurements}
    return Side(
        measurements=record.measurements,
        days={code: day for code, day in days.items() if day is not None},
        decision=None if record.decision is None else decision_from_json(record.decision),
    )


def sides_compared(old: Side, new: Side) -> SittingsCompared:
    """Say what is different, whatever the two were read from.

    Args:
        old: the earlier one.
        new: the later one.
    """
    before, after = old.decision, new.decision
    both = before is not None and after is not None
    decided: Decided = "both" if both else "old only" if before else "new only" if after else (
        "neither"
    )  # fmt: skip
    return SittingsCompared(
        differences=tuple(
            _difference(code, old, new)
            for code in KINDS
            if code in old.measurements and code in new.measurements
        ),
        old_only=_missing(old, new),
        new_only=_missing(new, old),
        decided=decided,
        redecided=() if before is None or after is None else redecided(before, after),
    )


def certainty(difference_mm: float, u_mm: float) -> tuple[float, float]:
    """How sure it is that two true values differ.

    Args:
        difference_mm: of the values found.
        u_mm: its standard uncertainty; 0 for values that are exact.

    Returns:
        The probability that the true values differ in the direction of those found, given that
        nothing else is known of either; and the two-sided p, how often doubt alone would set them
        at least as far apart. The first is one less half of the second.

    Source: normal distribution about the difference, JCGM 100, 4.3.4 and G.1.

    >>> [round(one, 3) for one in certainty(-19.6, 10.0)]
    [0.975, 0.05]
    """
    if u_mm == 0:
        two_sided = float(difference_mm == 0)
    else:
        two_sided = math.erfc(abs(difference_mm) / (u_mm * math.sqrt(2)))
    return 1 - two_sided / 2, two_sided


def _difference(code: str, old: Side, new: Side) -> Difference:
    """One measurement of both sittings.

    The uncertainties are taken together as if the two were independent. Each holds the whole part
    that the same hands have in common (`tape.repeats.COMMON_SD_MM`), whether or not the same hands
    measured both times, when some of it would cancel; so do photos, whose errors of the same body
    are alike. The doubt told is then too large, never too small. Readings that both sittings
    count are the same case.
    """
    before, after = old.measurements[code], new.measurements[code]
    apart = after.value_mm - before.value_mm
    u = math.hypot(before.u_mm, after.u_mm)
    first, second = old.days.get(code), new.days.get(code)
    between = None if first is None or second is None else (second - first).days
    if before.standing not in _SETTLED or after.standing not in _SETTLED:
        return Difference(code, before, after, apart, u, None, None, "not settled", between)
    probability, p = certainty(apart, u)
    return Difference(code, before, after, apart, u, probability, p, _verdict(1 - p), between)


def _verdict(confidence: float) -> Verdict:
    if confidence >= CHANGED_FROM:
        return "changed"
    return "perhaps" if confidence >= PERHAPS_FROM else "within doubt"


def _day(record: Sitting, code: str) -> date | None:
    """The day of a taped measurement: that of its oldest reading that counts."""
    if record.measurements[code].standing == "estimated":
        return None
    return oldest_day(record, code)


def _missing(there: Side, here: Side) -> tuple[str, ...]:
    """Codes that one of the two has measured and the other has not."""
    return tuple(
        code for code in KINDS if code in there.measurements and code not in here.measurements
    )
