"""What the tape tells of girths that it has not confirmed: estimates given the readings."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from ellwand.girth.joint import bust_difference, conditioned, interval_95
from ellwand.measurements import Estimate
from ellwand.sitting.record import FindingsEntry, Measurement, Sitting

# Rounded as findings are: a hundredth of a millimetre.
_MM_PLACES = 2


@dataclass(frozen=True)
class Tightened:
    """An estimate that leans on readings of other girths, too.

    Args:
        estimate: value and bounds, without a budget.
        by: codes of those girths.
    """

    estimate: Estimate
    by: tuple[str, ...]


def tightened(
    findings: FindingsEntry | None, measurements: Mapping[str, Measurement]
) -> dict[str, Tightened]:
    """Estimates of girths without a fact, given the facts.

    A value that is kept against a query tells nothing of other girths: where photos and tape
    contradict each other, what they say together is not what either means.

    Args:
        findings: what the photos gave.
        measurements: by code; those that are confirmed or kept are facts.

    Returns:
        By code, only those that lean on a fact.
    """
    facts = _telling(measurements)
    if findings is None or not facts:
        return {}
    before = findings.together()
    after = conditioned(before, facts)
    found: dict[str, Tightened] = {}
    for i, code in enumerate(before.codes):
        row = before.covariance_mm2[i]
        by = tuple(
            other
            for other, shared in zip(before.codes, row, strict=True)
            if other in facts and shared
        )
        if by and code in findings.estimates and not _is_fact(measurements.get(code)):
            value, u = round(after.mean_mm[i], _MM_PLACES), round(after.u_mm(code), _MM_PLACES)
            low, high = interval_95(value, u)
            estimate = replace(
                findings.estimates[code].estimate(code),
                value_mm=value, u_mm=u, low_mm=low, high_mm=high, budget=(),
            )  # fmt: skip
            found[code] = Tightened(estimate, by)
    return found


def estimates_given_tape(record: Sitting) -> dict[str, Estimate]:
    """All estimates of a sitting, those that lean on readings in place of what photos say alone."""
    given = tightened(record.findings, record.measurements)
    return record.estimates() | {code: one.estimate for code, one in given.items()}


def bust_difference_given_tape(record: Sitting) -> Estimate | None:
    """Full bust minus high bust from photos, and from the tape as far as that has confirmed one.

    Args:
        record: the sitting.

    Returns:
        The estimate; None without photos, or when both girths are facts and need no photos.
    """
    held = record.measurements
    if record.findings is None or all(
        _is_fact(held.get(code)) for code in ("full_bust", "high_bust")
    ):
        return None
    return bust_difference(conditioned(record.findings.together(), _telling(held)))


def _is_fact(held: Measurement | None) -> bool:
    return held is not None and held.standing in ("confirmed", "kept")


def _telling(measurements: Mapping[str, Measurement]) -> dict[str, tuple[float, float]]:
    """Value and uncertainty of each fact that nothing speaks against."""
    return {
        code: (held.value_mm, held.u_mm)
        for code, held in measurements.items()
        if _is_fact(held) and not any(query.blocks for query in held.queries)
    }
