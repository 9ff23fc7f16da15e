"""A card of last time beside the sitting, and two sittings of a workroom beside each other."""

import json
from typing import Any

import pytest
from fastapi.testclient import TestClient

from ellwand.api.comparing import EXAMPLE
from ellwand.card import digest_of_json, grouped
from ellwand.compare_screen import comparison_json, decision_words
from ellwand.sitting import sittings_compared
from ellwand.store import sittings
from tests.problem_details import check_problem
from tests.service import BASE, PASSWORD, Service, read_all

COMPARE = f"{BASE}/sitting/comparison"
SPRING = {
    "stature": ["168"],
    "high_bust": ["92", "92"],
    "full_bust": ["99", "99"],
    "waist": ["80", "80"],
    "full_hip": ["107", "107"],
}
AUTUMN = SPRING | {"waist": ["83", "83"], "wrist": ["16", "16"]}
DAY_S = 86_400


class Twice:
    """One customer who was measured twice, in two sittings."""

    def __init__(self, service: Service) -> None:
        self.service = service
        self.room = service.workroom()
        self.earlier = self.measured(SPRING)
        self.card = self.earlier.get(f"{BASE}/sitting/card.json").json()
        # Nine weeks, in which a change now and then moves the day of erasing on.
        for _ in range(3):
            service.clock.now += 21 * DAY_S
            self.earlier.put(f"{BASE}/sitting/unit", json={"unit": "cm"})
        login = {"login": "mara", "password": PASSWORD}
        assert self.room.post(f"{BASE}/workroom/login", json=login).status_code == 200
        self.later = self.measured(AUTUMN)

    def measured(self, readings: dict[str, list[str]]) -> TestClient:
        """A customer whose size is decided."""
        customer = self.service.customer(self.room)
        read_all(customer, readings)
        assert customer.post(f"{BASE}/sitting/decision", json={}).status_code == 200
        return customer

    def id_of(self, customer: TestClient) -> str:
        """Id of a sitting."""
        return str(customer.get(f"{BASE}/sitting").json()["id"])

    def compared(self, **sent: Any) -> Any:
        """What the later sitting says to an earlier card."""
        return self.later.post(COMPARE, json={"card": self.card, **sent})


@pytest.fixture
def twice(service: Service) -> Twice:
    """One customer, two sittings."""
    return Twice(service)


def test_an_earlier_card_says_what_the_earlier_sitting_would(twice: Twice) -> None:
    told = twice.compared().json()
    with twice.service.store.reading() as session:
        old, new = (
            sittings.held(twice.service.store, session, twice.id_of(one)).record
            for one in (twice.earlier, twice.later)
        )
    found = sittings_compared(old, new)
    plain = json.loads(comparison_json(found))
    assert len(told["measurements"]) == 5
    for shown, expected in zip(told["measurements"], plain["measurements"], strict=True):
        for key in ("code", "verdict", "estimated", "days_apart"):
            assert shown[key] == expected[key]
        for key in ("difference_mm", "u_mm", "probability", "p_two_sided"):
            assert shown[key] == pytest.approx(expected[key], abs=1e-4)
        for side in ("old", "new"):
            assert shown[side] == pytest.approx(expected[side], abs=1e-5)
    assert (told["old_only"], told["new_only"]) == ([], ["wrist"])
    assert told["decision"] == decision_words(found)
    assert told["cautions"] == []


def test_a_waist_that_grew_is_a_change_and_told_in_words(twice: Twice) -> None:
    told = {row["code"]: row for row in twice.compared().json()["measurements"]}
    # 3 cm are 2.86 u of two equal readings each; see tests/test_compare.py.
    assert told["waist"]["verdict"] == "changed"
    assert told["waist"]["words"] == (
        "Waist: 3.0 cm more than 9 weeks before; that is more than the doubt of the tape"
    )
    assert told["waist"]["numbers"] == "Before 80.0 cm, now 83.0 cm; over 99 % sure"
    assert told["full_hip"]["verdict"] == "within doubt"
    assert twice.compared().json()["summary"] == "1 measurement has clearly changed."
    assert twice.compared().json()["unchanged"] == [
        "No difference that the tape could show: height, high bust, full bust and full hip."
    ]


def test_nothing_of_it_is_kept_and_the_day_of_erasing_stays(twice: Twice) -> None:
    before = twice.later.get(f"{BASE}/sitting").content
    twice.service.clock.now += 1000
    headers = {"Idempotency-Key": "k1"}
    for _ in range(2):
        sent = {"card": twice.card}
        assert twice.later.post(COMPARE, json=sent, headers=headers).status_code == 200
    # The key is free, so no answer is kept under it.
    other = {"code": "hand", "entries": ["20"]}
    path = f"{BASE}/sitting/readings"
    assert twice.later.get(f"{BASE}/sitting").content == before
    assert twice.later.post(path, json=other, headers=headers).status_code == 201


def test_figures_tell_whether_the_card_was_changed(twice: Twice) -> None:
    figures = grouped(digest_of_json(json.dumps(twice.card).encode()))
    page = twice.earlier.get(f"{BASE}/sitting/card.html").text
    assert figures in page
    assert twice.compared().json()["figures"] == figures
    assert twice.compared(figures=figures.upper()).json()["figures"] == figures
    (waist,) = [row for row in twice.card["rows"] if row["code"] == "waist"]
    waist["value_mm"] += 1
    assert twice.compared().json()["figures"] != figures
    check_problem(twice.compared(figures=figures), 422, "card-differs")
    check_problem(twice.compared(figures="12 34"), 422, "digest-unreadable")


def deep(levels: int) -> Any:
    """A value in many lists."""
    made: Any = 1
    for _ in range(levels):
        made = [made]
    return made


@pytest.mark.parametrize(
    "card",
    [{}, {"format": "ellwand-card"}, {"format": "ellwand-sitting", "version": 3},
     {**EXAMPLE, "version": 99}, {**EXAMPLE, "rows": "canary"}, {**EXAMPLE, "more": deep(300)}],
)  # fmt: skip
def test_what_is_no_card_is_refused_with_what_to_do(twice: Twice, card: dict[str, Any]) -> None:
    answer = twice.later.post(COMPARE, json={"card": card})
    # How deep a request may be is the libraries' own matter.
    code = "card-unreadable" if answer.status_code == 422 else "malformed"
    check_problem(answer, answer.status_code, code, ("canary",))
    assert answer.status_code in (400, 422)


def test_a_card_without_a_measurement_in_common_says_so(service: Service) -> None:
    customer = service.customer(service.workroom())
    told = customer.post(COMPARE, json={"card": EXAMPLE}).json()
    assert (told["measurements"], told["old_only"]) == ([], ["waist"])
    assert told["decision"] == ["Neither sitting has a size decision."]


def test_a_workroom_compares_two_sittings_of_its_own(twice: Twice) -> None:
    path = f"{BASE}/workroom/sittings/{twice.id_of(twice.later)}/comparison"
    told = twice.room.get(f"{path}/{twice.id_of(twice.earlier)}").json()
    by_card = twice.compared().json()
    assert told["figures"] is None
    assert [row["words"] for row in told["measurements"]] == [
        row["words"] for row in by_card["measurements"]
    ]
    assert told["decision"] == by_card["decision"]


def test_another_workroom_compares_nothing_of_hers(twice: Twice) -> None:
    other = twice.service.workroom("yard", "Yard room")
    own = twice.id_of(twice.service.customer(other))
    hers = twice.id_of(twice.later)
    for later, earlier in ((own, hers), (hers, own), (hers, hers)):
        answer = other.get(f"{BASE}/workroom/sittings/{later}/comparison/{earlier}")
        check_problem(answer, 404, "no-such-sitting-here")
