"""The card for programs: complete, unrounded, the same bytes every time."""

import json
import math
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.card import (
    CardContent,
    CardFinding,
    CardQuery,
    CardRow,
    CardTryOn,
    card_json,
    content_from_json,
    content_of,
)
from ellwand.card.document import CARD_VERSION
from ellwand.card.schema import SCHEMA_FILE, schema_text
from ellwand.errors import EntryProblem
from ellwand.measurements import KINDS, Estimate
from ellwand.sitting import Sitting, keep, read
from ellwand.sizing import decide, decision_from_json, demo_block
from ellwand.tape import Confirmed, Taken, TechnicalError

from .test_measurement_card import nothing, overfull, plain

SMALL = CardContent(
    (
        CardRow("wrist", 160.3375, None, None, "read", "tape, 1 reading"),
        CardRow("waist", 925, 850.25, 1000.1 + 0.2, "kept", "tape, 2 readings", "gemessen: 92½",
                date(2026, 11, 3), date(2026, 11, 5),
                (Taken("herself", "bra"), Taken("somebody", "untold"))),
    ),
    queries=(CardQuery("wrist", "It is small.", "Measure again."),),
    undecided="Still to be confirmed: height.",
    scale_note="It rests on the height as typed alone.",
    warnings=("Front photo: a little dark.",),
    customer="Canary Example",
    taken_on="25 November 2026",
)  # fmt: skip
TAKEN = Taken("herself", "close-top")
FILES = Path(__file__).parent / "files"
# One of each past version, never written anew; a version may gain keys, what stands here stays.
VERSIONS = sorted(FILES.glob("v*.json"))
SCHEMA: dict[str, Any] = json.loads(SCHEMA_FILE.read_text("utf-8"))


def full() -> CardContent:
    """Something at every place."""
    return replace(
        plain(),
        outside=("height",),
        repeats=TechnicalError(3.25, 0.004, 2),
        bust_difference=Estimate("bust_difference", 50, 20, 10.8, 89.2, ()),
        rows=tuple(
            replace(row, on=date(2026, 11, 3), until=date(2026, 11, 4), taken=(TAKEN,))
            for row in plain().rows
        ),
        tryons=(
            CardTryOn(
                "blouse", "4", "planned", "a thin shirt",
                (CardFinding("snug at the full hip", 19.05), CardFinding("gapes at the armhole")),
            ),
        ),
    )  # fmt: skip


def loaded(content: CardContent) -> dict[str, Any]:
    told: dict[str, Any] = json.loads(card_json(content))
    return told


def test_version_3_is_written_as_it_was_published() -> None:
    assert card_json(SMALL) == (FILES / "v3.json").read_bytes()


def test_a_card_of_an_earlier_version_says_nothing_of_how_the_tape_was_held() -> None:
    for name in ("v1.json", "v2.json"):
        for row in content_from_json((FILES / name).read_bytes()).rows:
            assert (row.taken, row.until) == ((), None)


def test_how_entries_were_taken_comes_back_as_it_was() -> None:
    (waist,) = [row for row in content_from_json(card_json(SMALL)).rows if row.code == "waist"]
    assert waist.taken == (Taken("herself", "bra"), Taken("somebody", "untold"))
    assert (waist.on, waist.until) == (date(2026, 11, 3), date(2026, 11, 5))


@pytest.mark.parametrize("file", VERSIONS, ids=lambda file: file.name)
def test_files_of_every_version_keep_to_the_schema_and_can_be_read(file: Path) -> None:
    told = json.loads(file.read_text("utf-8"))
    jsonschema.validate(told, SCHEMA)
    content = content_from_json(file.read_bytes())
    assert [row.code for row in content.rows] == ["waist", "wrist"]
    assert content.rows[0].reason == "gemessen: 92½"
    assert json.loads(card_json(content))["version"] == CARD_VERSION


def test_the_published_schema_is_what_the_record_gives() -> None:
    assert SCHEMA_FILE.read_text("utf-8") == schema_text()
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize(
    "change",
    [
        {"format": "other"},
        {"version": 4},
        {"rows": None},
        {"rows": [{"code": "waist", "name": "waist", "value_mm": "925"}]},
        {"decision": {"size": "4"}},
        {"warnings": "none"},
    ],
)
def test_what_is_no_card_breaks_the_schema_and_is_not_read(change: dict[str, Any]) -> None:
    broken = loaded(SMALL) | change
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(broken, SCHEMA)
    with pytest.raises(EntryProblem, match="no saved measurement card"):
        content_from_json(json.dumps(broken).encode())


@pytest.mark.parametrize("data", [b"", b"[]", b"{}", b"\xff", b"%PDF-1.7", b"{" * 9999])
def test_what_is_no_json_is_not_read(data: bytes) -> None:
    with pytest.raises(EntryProblem, match="no saved measurement card"):
        content_from_json(data)


@pytest.mark.parametrize("make", [plain, overfull, nothing, full])
def test_there_and_back_gives_the_same_bytes(make: Callable[[], CardContent]) -> None:
    first = card_json(make())
    jsonschema.validate(json.loads(first), SCHEMA)
    assert card_json(content_from_json(first)) == first


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
    with pytest.raises(ValueError, match="finite"):
        card_json(CardContent((replace(row, **{end: length_mm}),)))  # type: ignore[arg-type]


@given(st.text(), st.floats(0, 3000))
def test_any_words_and_any_length_come_back(words: str, length_mm: float) -> None:
    row = CardRow("waist", length_mm, None, None, "kept", "tape", words)
    made = card_json(CardContent((row,), warnings=(words,)))
    assert card_json(content_from_json(made)) == made
    (told,) = json.loads(made)["rows"]
    assert told["reason"] == words
    assert told["value_mm"] == pytest.approx(length_mm, abs=1e-6)
