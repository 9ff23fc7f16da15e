"""What speaks against the readings of a sitting: range, estimate, order and repeats.

An implausible reading is a value with a query, never an exception. Every reading is first judged
on its own; the order rules then compare only those that nothing speaks against, so that one slip
does not throw doubt on its neighbours.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ellwand.measurements import KINDS, Estimate
from ellwand.tape import sentences
from ellwand.tape.explain import Explanation, Known, explain
from ellwand.tape.order import ORDER_RULES, OrderRule
from ellwand.tape.readings import Query, Reading, Rule
from ellwand.tape.repeats import REPEAT_SD_MM, ROUNDING_MM, Taped, summarise

# Two-sided limit that 1 % of sound readings pass (judged).
Z_LIMIT = 2.576


@dataclass(frozen=True)
class Judged:
    """The readings of one measurement with what speaks against them.

    Args:
        taped: the readings taken together.
        queries: doubts that hold the measurement back, then remarks that don't.
    """

    taped: Taped
    queries: tuple[Query, ...]

    @property
    def blocked(self) -> bool:
        """Whether a query holds the measurement back."""
        return any(query.blocks for query in self.queries)


def judge(
    readings: Mapping[str, Sequence[Reading]], estimates: Mapping[str, Estimate]
) -> dict[str, Judged]:
    """Judge all readings of a sitting together.

    Args:
        readings: by code of `KINDS`, the readings that count, in the order of entry; a code
            without readings is left out.
        estimates: from photos, by code; may be empty.

    Returns:
        By code, the readings taken together and the queries.
    """
    given = {code: rows for code, rows in readings.items() if rows}
    taped = {code: summarise([row.mm for row in rows]) for code, rows in given.items()}
    alone = Known(estimates, taped, frozenset())
    queries = {code: _alone(rows, taped[code], alone) for code, rows in given.items()}
    sound = frozenset(code for code, found in queries.items() if not found)
    known = Known(estimates, taped, sound)
    for rule in ORDER_RULES:
        if rule.smaller in sound and rule.larger in sound:
            for query in _order(rule, given, known):
                queries[query.code] = [*queries[query.code], query]
    return {code: Judged(taped[code], tuple(queries[code])) for code in given}


def tail_probability(z: float) -> float:
    """Chance that a normal value lies at least |z| standard deviations off, on either side."""
    return math.erfc(abs(z) / math.sqrt(2))


def _alone(rows: Sequence[Reading], taped: Taped, known: Known) -> list[Query]:
    """Judge one measurement by its repeats, its plausible range and its estimate."""
    if taped.count > 1 and not taped.agree:
        return [_apart(rows, known)]
    code, value = rows[0].code, taped.value_mm
    estimate = known.estimates.get(code)
    z = None
    if estimate is not None:
        z = (value - estimate.value_mm) / math.hypot(estimate.u_mm, taped.u_mm)
    low, high = KINDS[code].plausible_mm
    why = _likeliest(rows, taped, known)
    if not low <= value <= high:
        return [_query("range", sentences.outside_range(code, value), rows, why, z)]
    if estimate is not None and z is not None and abs(z) > Z_LIMIT:
        told = sentences.far_from_estimate(code, value, estimate)
        return [_query("estimate", told, rows, why, z)]
    return []


def _apart(rows: Sequence[Reading], known: Known) -> Query:
    """Ask for another reading when those there are don't agree."""
    mms = [row.mm for row in rows]
    why = explain(rows, known)[0]
    z = (max(mms) - min(mms)) / (REPEAT_SD_MM * math.sqrt(2)) if len(mms) == 2 else None
    query = _query("repeats", sentences.apart(rows[0].code, mms), rows, why, z)
    return replace(query, advice=sentences.MEASURE_ANOTHER)


def _order(
    rule: OrderRule, readings: Mapping[str, Sequence[Reading]], known: Known
) -> tuple[Query, ...]:
    """Judge two girths by an order rule: a query on both, a remark on the larger, or nothing."""
    smaller, larger = known.taped[rule.smaller], known.taped[rule.larger]
    excess = smaller.value_mm - larger.value_mm
    if excess <= 0 or (excess <= rule.allowance_mm + ROUNDING_MM and not rule.remark):
        return ()
    if excess <= rule.allowance_mm + ROUNDING_MM:
        told = sentences.rare_order(rule.smaller, rule.larger, excess)
        return (
            Query(rule.larger, "order", told, sentences.CHECK_HIGH_BUST,
                  against=rule.smaller, blocks=False),
        )  # fmt: skip
    told = sentences.out_of_order(rule.smaller, rule.larger, excess)
    z = (excess - rule.allowance_mm) / math.hypot(smaller.u_mm, larger.u_mm)
    return tuple(
        replace(
            _query("order", told, readings[code], _likeliest(readings[code], taped, known), z),
            against=against,
        )
        for code, taped, against in (
            (rule.smaller, smaller, rule.larger),
            (rule.larger, larger, rule.smaller),
        )
    )


def _likeliest(rows: Sequence[Reading], taped: Taped, known: Known) -> Explanation:
    """The likeliest explanation of readings that agree, judged by the one nearest the median."""
    middle = min(rows, key=lambda row: abs(row.mm - taped.value_mm))
    best = explain([middle], known, taped.u_mm)[0]
    return replace(best, reading=rows.index(middle))


def _query(
    rule: Rule, told: str, rows: Sequence[Reading], why: Explanation, z: float | None
) -> Query:
    """Put a query together; a slip is named when it is likelier than a sound reading."""
    reading = rows[why.reading]
    named = rule in ("order", "repeats") or len(rows) > 1
    sentence = f"{told} {sentences.slip_clause(why, reading, named)}" if why.slip else told
    return Query(
        code=reading.code,
        rule=rule,
        sentence=sentence,
        advice=sentences.slip_advice(why, reading),
        z=z,
        probability=None if z is None else tail_probability(z),
        slip=why.slip,
        corrected_mm=why.corrected_mm,
        against=why.other,
    )
