"""Two occasions of one customer beside each other: nothing of it is kept."""

import json
from typing import Annotated

from fastapi import APIRouter
from pydantic import ConfigDict, Field, JsonValue

from ellwand.api.base import Code, Model, Sent
from ellwand.api.callers import AsCustomer, AsWorkroom, SittingId, an_id
from ellwand.api.problems import documented
from ellwand.card import check_same, content_from_json, digest_of_json, grouped, side_of_card
from ellwand.compare_screen import (
    cautions,
    decision_words,
    difference_words,
    note_words,
    numbers_words,
    summary_words,
    unchanged_words,
)
from ellwand.shown import showing_first, shown_first
from ellwand.sitting import (
    Decided,
    Difference,
    Measurement,
    SittingsCompared,
    Standing,
    Verdict,
    side_of,
    sides_compared,
)

router = APIRouter(tags=["card"])

EarlierId = Annotated[str, an_id("earlier sitting")]
# The least that a card can be.
EXAMPLE: dict[str, JsonValue] = {
    "format": "ellwand-card", "version": 2, "queries": [], "decision": None, "undecided": "",
    "scale_note": "", "warnings": [], "outside": [], "bust_difference": None,
    "rows": [{
        "code": "waist", "name": "waist", "value_mm": 741.5, "low_mm": 726.9, "high_mm": 756.1,
        "standing": "confirmed", "how": "tape, 2 readings", "reason": None,
        "taken_on": "2026-03-02",
    }],
}  # fmt: skip


class EarlierCard(Sent):
    """The card of last time, as she was given it."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"card": EXAMPLE, "figures": None}]})

    card: dict[str, JsonValue]
    """The card's JSON, of any version, as it is."""
    figures: str | None = Field(default=None, max_length=80)
    """The figures beside the code of that card on paper; a card that has others is refused."""


class ComparedValue(Model):
    """A measurement on one of the two occasions."""

    value_mm: float
    """Its value in millimetres."""
    u_mm: float
    """Its standard uncertainty in millimetres."""
    standing: Standing
    """How far it can be relied on."""

    @classmethod
    def of(cls, held: Measurement) -> "ComparedValue":
        """A measurement as it is set beside another."""
        return cls(value_mm=held.value_mm, u_mm=held.u_mm, standing=held.standing)


class DifferenceView(Model):
    """A measurement that both have."""

    code: Code
    """What was measured."""
    old: ComparedValue
    """The earlier one."""
    new: ComparedValue
    """The later one."""
    difference_mm: float
    """Later less earlier, in millimetres."""
    u_mm: float
    """Standard uncertainty of it."""
    probability: float | None
    """That the true values differ in this direction; null where a value is not settled."""
    p_two_sided: float | None
    """How often doubt alone would put them at least as far apart; null where not settled."""
    verdict: Verdict
    """What that comes to."""
    estimated: bool
    """Whether one of the two comes from photos."""
    days_apart: int | None
    """From the earlier reading to the later one; null where a day is not known."""
    words: str
    """What has become of it, in words: how much more or less, and whether that is doubt alone."""
    numbers: str
    """Both values and how sure the difference is, in words."""

    @classmethod
    def of(cls, row: Difference) -> "DifferenceView":
        """A difference as it is shown, in her unit."""
        return cls(
            code=row.code,
            old=ComparedValue.of(row.old),
            new=ComparedValue.of(row.new),
            difference_mm=row.difference_mm,
            u_mm=row.u_mm,
            probability=row.probability,
            p_two_sided=row.p_two_sided,
            verdict=row.verdict,
            estimated=row.estimated,
            days_apart=row.days_apart,
            words=difference_words(row, shown_first()),
            numbers=numbers_words(row, shown_first()),
        )


class ComparisonView(Model):
    """Two occasions beside each other."""

    figures: str | None
    """Figures of the earlier card as it was sent, which stand on its paper if it is unchanged."""
    summary: str
    """What matters most, in a sentence: how many measurements have changed."""
    measurements: list[DifferenceView]
    """What both have, changed or not."""
    unchanged: list[str]
    """What shows no difference, together: a sentence for the tape, and one for photos."""
    old_only: list[Code]
    """What only the earlier one has."""
    new_only: list[Code]
    """What only the later one has."""
    decided: Decided
    """Which of them has a size decision."""
    decision: list[str]
    """What is different in the size decision, a sentence each, or why nothing is."""
    cautions: list[str]
    """What makes it doubtful that the two are what they are taken for."""
    note: str
    """What the percentages mean; empty where there is none."""

    @classmethod
    def of(cls, found: SittingsCompared, figures: str | None = None) -> "ComparisonView":
        """A comparison as it is shown, in her unit."""
        return cls(
            figures=figures,
            summary=summary_words(found),
            measurements=[DifferenceView.of(row) for row in found.differences],
            unchanged=unchanged_words(found),
            old_only=list(found.old_only),
            new_only=list(found.new_only),
            decided=found.decided,
            decision=decision_words(found),
            cautions=cautions(found),
            note=note_words(found),
        )


@router.post(
    "/sitting/comparison",
    summary="Compare with an earlier card",
    responses=documented(404, 409, 422),
)
def compare_card(sent: EarlierCard, customer: AsCustomer) -> ComparisonView:
    """What has changed since her last card. The card is read in memory, and nothing is kept."""
    data = json.dumps(sent.card).encode()
    earlier = content_from_json(data)
    if sent.figures:
        check_same(data, sent.figures)
    record = customer.held().record
    found = sides_compared(side_of_card(earlier), side_of(record))
    with showing_first(record.unit):
        return ComparisonView.of(found, grouped(digest_of_json(data)))


@router.get(
    "/workroom/sittings/{sitting_id}/comparison/{earlier_id}",
    summary="Compare two sittings",
    responses=documented(404, 409),
)
def compare_sittings(
    sitting_id: SittingId, earlier_id: EarlierId, caller: AsWorkroom
) -> ComparisonView:
    """What has changed from an earlier sitting of the workroom to a later one."""
    later, earlier = caller.held(sitting_id), caller.held(earlier_id)
    found = sides_compared(side_of(earlier.record), side_of(later.record))
    with showing_first(later.record.unit):
        return ComparisonView.of(found)
