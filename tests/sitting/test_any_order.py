"""Whatever is done in whatever order, nothing that was entered is lost."""

import contextlib
import json
from typing import Any

import hypothesis.strategies as st
from hypothesis import settings
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from ellwand.errors import EntryProblem
from ellwand.measurements import KINDS
from ellwand.sitting import (
    Sitting,
    TypedFinding,
    confirmed,
    dump,
    keep,
    open_queries,
    parse,
    read,
    sized,
    tried_on,
    with_findings,
    with_setup,
    with_stature,
)
from ellwand.sizing import demo_block

from .invented import GIRTHS_MM, SETUP, findings

CODES = st.sampled_from(["high_bust", "full_bust", "waist", "full_hip", "stature"])
LATER = {"later": {"kept": [1, None, "x"]}}
SOUND = ["92.5", "36 3/8 in", "95", "76|77", "168", "5 ft 6 in"]
DOUBTFUL = ["36.4", "9.5", "60", "89", "76|101.2", "59", "190", "30 in|31 in", "011"]
BLOCK = demo_block()
SEEN = [
    TypedFinding("rides up at the back"),
    TypedFinding("snug at full hip", "3/4 in"),
    TypedFinding("fits at waist"),
    TypedFinding("snug at waist", "nonsense"),
]
NO_LENGTH = ["nonsense", "", "12 m"]
TEXTS = st.sampled_from([*SOUND, *DOUBTFUL, *NO_LENGTH])


class AnyOrder(RuleBasedStateMachine):
    """Acts on one sitting, with a log of what was entered beside it."""

    def __init__(self) -> None:
        super().__init__()
        self.record = Sitting()
        self.entered: dict[str, list[str]] = {}
        self.reasons: dict[str, list[str]] = {}
        self.seen: list[list[str | None]] = []

    @initialize()
    def from_a_later_version(self) -> None:
        record = with_setup(with_findings(self.record, findings(correlation=0.5)), SETUP)
        record = read(record, "waist", ["76"]).record
        self.entered["waist"] = ["76"]
        content: dict[str, Any] = json.loads(dump(record))
        for part in parts_with_later_keys(content):
            part.update(LATER)
        self.record = parse(json.dumps(content).encode())

    @rule(code=CODES, texts=TEXTS, instead=st.booleans())
    def reads(self, code: str, texts: str, instead: bool) -> None:
        entries = texts.split("|")
        with contextlib.suppress(EntryProblem):
            self.record = read(self.record, code, entries, instead).record
            self.entered.setdefault(code, []).extend(entries)

    @rule(code=CODES, reason=st.sampled_from(["sure", "measured twice", " "]))
    def keeps(self, code: str, reason: str) -> None:
        with contextlib.suppress(EntryProblem):
            self.record = keep(self.record, code, reason)
            self.reasons.setdefault(code, []).append(reason)

    @rule(text=st.sampled_from(["168", "165 cm", "16"]))
    def tells_her_height(self, text: str) -> None:
        before = self.record
        with contextlib.suppress(EntryProblem):
            self.record = with_stature(self.record, text)
        if self.record != before:
            self.entered.setdefault("stature", []).append(text)

    @rule(full_bust=st.floats(700, 1300), waist=st.floats(600, 1200))
    def takes_photos(self, full_bust: float, waist: float) -> None:
        changed = findings(correlation=0.5, full_bust=full_bust, waist=waist)
        self.record = with_findings(with_setup(self.record, SETUP), changed)

    @rule(seen=st.lists(st.sampled_from(SEEN), max_size=3, unique=True))
    def orders_and_tries_on(self, seen: list[TypedFinding]) -> None:
        with contextlib.suppress(EntryProblem):
            self.record = sized(self.record, BLOCK)
            self.record = tried_on(self.record, BLOCK, seen).record
            self.seen.append([one.by for one in seen])

    @rule()
    def saves_and_loads(self) -> None:
        data = dump(self.record)
        self.record = parse(data)
        assert dump(self.record) == data

    @invariant()
    def every_reading_is_there_in_order(self) -> None:
        for code, texts in self.entered.items():
            assert [row.raw for row in self.record.readings[code]] == texts

    @invariant()
    def every_reason_is_there_in_order(self) -> None:
        for code, reasons in self.reasons.items():
            assert [one.reason for one in self.record.keeps[code]] == reasons

    @invariant()
    def every_try_on_is_there_in_order(self) -> None:
        noted = [[one.by and one.by.raw for one in entry.findings] for entry in self.record.tryons]
        assert noted == self.seen

    @invariant()
    def unknown_keys_are_there(self) -> None:
        if self.entered:
            for part in parts_with_later_keys(json.loads(dump(self.record))):
                assert part["later"] == LATER["later"]

    @invariant()
    def no_fact_has_an_open_query(self) -> None:
        facts = confirmed(self.record)
        assert not facts.keys() & {query.code for query in open_queries(self.record)}
        for code, fact in facts.items():
            held = self.record.measurements[code]
            blocked = any(query.blocks for query in held.queries)
            assert (fact.reason is not None) == (held.standing == "kept")
            assert not blocked or held.standing == "kept"

    @invariant()
    def estimates_lean_on_facts_that_nothing_speaks_against(self) -> None:
        facts = confirmed(self.record)
        for code, held in self.record.measurements.items():
            assert not held.tightened_by or held.standing == "estimated"
            for other in held.tightened_by:
                assert other in facts
                assert other != code
                assert not any(query.blocks for query in self.record.measurements[other].queries)

    @invariant()
    def every_reading_makes_a_measurement(self) -> None:
        known = {code for code, rows in self.record.readings.items() if rows}
        assert known <= self.record.measurements.keys() <= KINDS.keys()


def parts_with_later_keys(content: dict[str, Any]) -> list[dict[str, Any]]:
    """Parts of every level that no act takes away."""
    found = content["findings"]
    return [
        content,
        content["setup"],
        content["setup"]["standoff_front"],
        found,
        found["front"],
        found["side"]["problems"][0],
        found["scale"],
        found["scale"]["sources"][1],
        found["joint"],
        found["bust_difference"],
        found["estimates"]["waist"],
        found["estimates"]["waist"]["budget"][0],
        content["readings"]["waist"][0],
        *(content["measurements"][code] for code in GIRTHS_MM),
    ]


TestAnyOrder = AnyOrder.TestCase
TestAnyOrder.settings = settings(max_examples=60, stateful_step_count=20)
