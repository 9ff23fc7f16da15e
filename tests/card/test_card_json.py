"""The card for programs: complete, unrounded, the same bytes every time."""

import json
import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.card import CardContent, CardQuery, CardRow, card_json, content_of
from ellwand.measurements import KINDS, Estimate
from ellwand.sitting import Sitting, keep, read
from ellwand.sizing import decide, decision_from_json, demo_block
from ellwand.tape import Confirmed

SMALL = CardContent(
    (
        CardRow("wrist", 160.3375, None, None, "read", "tape, 1 reading"),
        CardRow("waist", 925, 850.25, 1000.1 + 0.2, "kept", "tape, 2 readings", "gemessen: 92½"),
    ),
    queries=(CardQuery("wrist", "It is small.", "Measure again."),),
    undecided="Still to be confirmed: height.",
    scale_note="It rests on the height as typed alone.",
    warnings=("Front photo: a little dark.",),
    customer="Canary Example",
    taken_on="25 November 2026",
)
# Version 1 of the format. It may gain keys; what stands here stays.
VERSION_1 = """\
{
  "format": "ellwand-card",
  "version": 1,
  "rows": [
    {
      "code": "waist",
      "name": "waist",
      "value_mm": 925.0,
      "low_mm": 850.25,
      "high_mm": 1000.3,
      "standing": "kept",
      "how": "tape, 2 readings",
      "reason": "gemessen: 92½"
    },
    {
      "code": "wrist",
      "name": "wrist",
      "value_mm": 160.3375,
      "low_mm": null,
      "high_mm": null,
      "standing": "read",
      "how": "tape, 1 reading",
      "reason": null
    }
  ],
  "queries": [
    {
      "code": "wrist",
      "sentence": "It is small.",
      "advice": "Measure again."
    }
  ],
  "decision": null,
  "undecided": "Still to be confirmed: height.",
  "scale_note": "It rests on the height as typed alone.",
  "warnings": [
    "Front photo: a little dark."
  ],
  "outside": [],
  "bust_difference": null
}
"""


def loaded(content: CardContent) -> dict[str, Any]:
    told: dict[str, Any] = json.loads(card_json(content))
    return told


def test_version_1_is_written_as_it_was_published() -> None:
    assert card_json(SMALL).decode() == VERSION_1


def test_the_same_content_gives_the_same_bytes_in_any_order_of_rows() -> None:
    turned = replace(SMALL, rows=SMALL.rows[::-1])
    assert card_json(turned) == card_json(SMALL)


def test_whom_it_is_for_is_left_out() -> None:
    assert b"Canary" not in card_json(SMALL)
    assert b"November" not in card_json(SMALL)


def test_a_decision_comes_back_as_it_was_and_leaves_nothing_undecided() -> None:
    taped = {
        code: Confirmed(code, value, 5.0, None)
        for code, value in (("stature", 1680.0), ("high_bust", 880.0), ("full_bust", 982.0))
    }
    estimates = {
        "waist": Estimate("waist", 850, 45, 760, 940, ()),
        "full_hip": Estimate("full_hip", 1100, 45, 1010, 1190, ()),
    }
    decision = decide(taped, estimates, demo_block())
    told = loaded(replace(SMALL, decision=decision))
    assert told["decision"] == decision.to_json()
    assert decision_from_json(told["decision"]) == decision
    assert told["undecided"] is None


def test_a_sitting_stands_in_it_with_the_values_that_it_holds() -> None:
    record = Sitting(unit="in")
    for code, entries in (("full_bust", ["38 1/8", "38 1/8"]), ("hand", ["7 7/8"])):
        record = read(record, code, entries).record
    record = keep(record, "hand", "the ring does not come off")
    rows = {row["code"]: row for row in loaded(content_of(record))["rows"]}
    assert rows.keys() == record.measurements.keys()
    # 38 1/8 in, to the last digit.
    assert rows["full_bust"]["value_mm"] == 968.375
    assert rows["full_bust"]["standing"] == "confirmed"
    assert rows["hand"]["reason"] == "the ring does not come off"
    for code, row in rows.items():
        assert row["value_mm"] == pytest.approx(record.measurements[code].value_mm, abs=1e-6)
        assert row["low_mm"] < row["value_mm"] < row["high_mm"]
        assert row["name"] == KINDS[code].name


@pytest.mark.parametrize("length_mm", [math.nan, math.inf, -math.inf])
@pytest.mark.parametrize("end", ["value_mm", "low_mm", "high_mm"])
def test_what_is_no_length_is_a_mistake_of_ours(end: str, length_mm: float) -> None:
    row = CardRow("waist", 925, 850, 1000, "read", "tape")
    with pytest.raises(ValueError, match="not JSON compliant"):
        card_json(CardContent((replace(row, **{end: length_mm}),)))  # type: ignore[arg-type]


@given(st.text(), st.floats(0, 3000))
def test_any_words_and_any_length_come_back(words: str, length_mm: float) -> None:
    row = CardRow("waist", length_mm, None, None, "kept", "tape", words)
    (told,) = loaded(CardContent((row,), warnings=(words,)))["rows"]
    assert told["reason"] == words
    assert told["value_mm"] == pytest.approx(length_mm, abs=1e-6)
