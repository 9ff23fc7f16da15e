"""What speaks against the readings of a sitting: range, photos, other readings, order and repeats.

An implausible reading is a value with a query, never an exception. All readings are weighed
together first; the order rules then compare only those that nothing speaks against.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ellwand.girth.joint import COVERAGE_FACTOR_95, Joint
from ellwand.language import gettext
from ellwand.measurements import KINDS, Estimate
from ellwand.quantity import MM_PER
from ellwand.tape import sentences
from ellwand.tape.doubt import LIMITS, Doubts, Limits, weigh
from ellwand.tape.expect import expect
from ellwand.tape.explain import Explanation, worth_telling
from ellwand.tape.form import look_at
from ellwand.tape.order import ORDER_RULES, OrderRule
from ellwand.tape.readings import Query, Reading, Rule
from ellwand.tape.repeats import REPEAT_SD_MM, ROUNDING_MM, Taped, agreeing, summarise


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
    readings: Mapping[str, Sequence[Reading]],
    estimates: Mapping[str, Estimate],
    joint: Joint | None = None,
    mass_kg: float | None = None,
    limits: Limits = LIMITS,
) -> dict[str, Judged]:
    """Judge all readings of a sitting together.

    Args:
        readings: by code of `KINDS`, the readings that count, in the order of entry; a code
            without readings is left out.
        estimates: from photos, by code; may be empty.
        joint: the girths of the photos together; None when they tell nothing of one another.
        mass_kg: her weight, if she told it.
        limits: how likely something wrong makes a query.

    Returns:
        By code, the readings taken together and the queries.
    """
    doubts = doubts_about(readings, estimates, joint, mass_kg, limits)
    queries = {code: _alone(rows, doubts) for code, rows in doubts.known.readings.items()}
    sound = {code for code, found in queries.items() if not found}
    for rule in ORDER_RULES:
        if rule.smaller in sound and rule.larger in sound:
            for query in _order(rule, doubts):
                queries[query.code] = [*queries[query.code], query]
    for code, found in queries.items():
        if not any(query.blocks for query in found):
            found += _odd_ones(readings[code], doubts)
    return {code: Judged(doubts.known.taped[code], tuple(found)) for code, found in queries.items()}


def doubts_about(
    readings: Mapping[str, Sequence[Reading]],
    estimates: Mapping[str, Estimate],
    joint: Joint | None = None,
    mass_kg: float | None = None,
    limits: Limits = LIMITS,
) -> Doubts:
    """Weigh all readings of a sitting; everything is as in `judge`.

    Returns:
        What was read, by code, with what speaks against it; of repeats those that agree, where most
        do.
    """
    given = {code: rows for code, rows in readings.items() if rows}
    taped = {code: summarise([row.mm for row in rows]) for code, rows in given.items()}
    counted = {code: _counted(rows) for code, rows in given.items()}
    expected = expect(given.keys(), estimates, joint, mass_kg)
    return weigh(expected, counted, taped, limits)


def _counted(rows: Sequence[Reading]) -> Sequence[Reading]:
    """The readings that agree, where most do; otherwise all of them."""
    near = agreeing([row.mm for row in rows])
    return [row for row in rows if row.mm in near]


def tail_probability(z: float) -> float:
    """Chance that a normal value lies at least |z| standard deviations off, on either side."""
    return math.erfc(abs(z) / math.sqrt(2))


def _alone(rows: Sequence[Reading], doubts: Doubts) -> list[Query]:
    """Judge one measurement by its repeats, its plausible range and all else that is known."""
    code, known = rows[0].code, doubts.known
    taped = known.taped[code]
    if len(rows) > 1 and not taped.agree:
        return [_beyond(rows, doubts) or _apart(rows, doubts)]
    in_range = KINDS[code].is_plausible(taped.value_mm)
    if in_range and code in known.sound:
        return []
    given = known.without(code)
    mean, variance = given.normal(code)
    x, u = given.on_scale(code, taped.value_mm, taped.u_mm)
    z = (x - mean) / math.hypot(math.sqrt(variance), u)
    ways = doubts.wrong(code)
    photos = code in known.expected.seen
    if not (in_range or photos):
        return [_query("range", sentences.outside_range(rows), rows, ways, z)]
    rule: Rule = "range" if not in_range else "estimate" if photos else "women"
    bound = COVERAGE_FACTOR_95 * math.sqrt(variance)
    between = (given.off_scale(code, mean - bound), given.off_scale(code, mean + bound))
    others = any(known.expected.tells(other, code) for other in known.sound)
    told = sentences.far_from_expected(rows, between, photos=photos, others=others)
    return [_query(rule, told, rows, ways, z)]


def _odd_ones(rows: Sequence[Reading], doubts: Doubts) -> list[Query]:
    """Remark on readings that do not fit those that agree; a second like it may prove it right."""
    counted = doubts.known.readings[rows[0].code]
    odd = [row for row in rows if row not in counted]
    if not odd:
        return []
    told, advice = sentences.odd_ones(odd), gettext(sentences.CHECK_ODD_ONES)
    return [Query(odd[0].code, "repeats", told, advice, blocks=False)]


def _beyond(rows: Sequence[Reading], doubts: Doubts) -> Query | None:
    """Doubt those of readings that differ which no body has; None where there are none."""
    code = rows[0].code
    odd = [at for at, row in enumerate(rows) if not KINDS[code].is_plausible(row.mm)]
    if not odd:
        return None
    # The others are not put right with them.
    ways = [way for way in doubts.wrong(code) if len(odd) == len(rows) or way.reading in odd]
    told = sentences.outside_range([rows[at] for at in odd])
    return _query("range", told, rows, ways, None)


def _apart(rows: Sequence[Reading], doubts: Doubts) -> Query:
    """Ask for another reading when those there are don't agree."""
    mms = [row.mm for row in rows]
    code = rows[0].code
    z = (max(mms) - min(mms)) / (REPEAT_SD_MM * math.sqrt(2)) if len(mms) == 2 else None
    told = sentences.apart(rows, doubts.known.taped[code].value_mm)
    query = _query("repeats", told, rows, doubts.told_apart(code), z)
    if doubts.scattered(code):
        chance = sentences.SCATTERS_OR_SLIP if query.cause else sentences.SCATTERS
        query = replace(query, sentence=f"{told} {gettext(chance)}")
    return replace(query, advice=gettext(sentences.MEASURE_ANOTHER))


def _order(rule: OrderRule, doubts: Doubts) -> tuple[Query, ...]:
    """Judge two girths by an order rule: a query, a remark on the larger, or nothing.

    The one that something is likelier to be wrong with is queried; both, when exchanged fields are
    the likeliest cause.
    """
    known = doubts.known
    smaller, larger = known.taped[rule.smaller], known.taped[rule.larger]
    excess = smaller.value_mm - larger.value_mm
    allowance = rule.allowance_mm + sum(
        _rounding_mm(known.readings[code]) for code in (rule.smaller, rule.larger)
    )
    if excess <= 0 or (excess <= allowance and not rule.remark):
        return ()
    rows = known.readings[rule.smaller], known.readings[rule.larger]
    if excess <= allowance:
        told = sentences.rare_order(*rows, excess)
        return (
            Query(rule.larger, "order", told, gettext(sentences.CHECK_HIGH_BUST),
                  against=rule.smaller, blocks=False),
        )  # fmt: skip
    told = sentences.out_of_order(*rows, excess)
    z = (excess - allowance) / math.hypot(smaller.u_mm, larger.u_mm)
    pair = {rule.smaller: rule.larger, rule.larger: rule.smaller}
    worst = max(pair, key=doubts.chance)
    exchanged = doubts.likeliest(worst).partner == pair[worst]
    return tuple(
        replace(
            _query("order", told, known.readings[code], doubts.wrong(code), z, pair[code]),
            against=pair[code],
        )
        for code in (pair if exchanged else (worst,))
    )


def _rounding_mm(rows: Sequence[Reading]) -> float:
    """How far off rounding may have put the readings of a measurement."""
    steps = (look_at(row.raw).half_step * float(MM_PER[row.unit]) for row in rows)
    return min(steps) + ROUNDING_MM


def _query(
    rule: Rule,
    told: str,
    rows: Sequence[Reading],
    ways: Sequence[Explanation],
    z: float | None,
    partner: str | None = None,
) -> Query:
    """Put a query together with the likeliest slips that have a name."""
    why = ways[0]
    reading = rows[why.reading or 0]
    named = rule == "order" or (len(rows) > 1 and why.reading is not None)
    causes = [way for way in worth_telling(ways, partner) if way.slip]
    cause = sentences.slip_clause(causes, rows, named=named) if causes else ""
    advice = sentences.slip_advice(why, reading)
    return Query(
        code=reading.code,
        rule=rule,
        sentence=told,
        # What no adult measures cannot be kept.
        advice=advice if rule == "range" else f"{advice} {gettext(sentences.OR_KEEP)}",
        cause=cause,
        z=z,
        probability=None if z is None else tail_probability(z),
        slip=why.slip,
        corrected_mm=why.corrected_mm,
        against=why.other,
    )
