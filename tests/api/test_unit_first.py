"""A customer who measures in inches reads inches first, wherever her sitting says a length."""

import json
import re
from typing import Any

from fastapi.testclient import TestClient

from ellwand.card import digest_of_json, grouped
from tests.mime_walk import walk
from tests.service import BASE, Service, read_all

SITTING = f"{BASE}/sitting"
INCHES_FIRST = re.compile(r"[\d/]+ in \([\d.]+ cm\)")
CM_FIRST = re.compile(r"[\d.]+ cm \([\d/ ]+ in\)")


def lengths(told: Any) -> tuple[int, int]:
    """How many lengths of an answer have inches first, and how many centimetres."""
    text = told if isinstance(told, str) else json.dumps(told)
    return len(INCHES_FIRST.findall(text)), len(CM_FIRST.findall(text))


def in_inches(service: Service, workroom: TestClient, **terms: Any) -> TestClient:
    """A customer whose unit is inches, with her size decided."""
    customer = service.customer(workroom, unit="in", **terms)
    read_all(customer, ENTRIES)
    assert customer.post(f"{SITTING}/decision", json={}).status_code == 200
    return customer


ENTRIES = {
    "stature": ["66"],
    "high_bust": ["34 5/8", "34 3/4"],
    "full_bust": ["37", "37 1/8"],
    "waist": ["29", "29 1/4"],
    "full_hip": ["39", "39 1/8"],
}


def test_her_readings_are_said_back_in_inches_first(service: Service) -> None:
    customer = service.customer(service.workroom(), unit="in")
    sent = {"code": "waist", "entries": ["29 1/8", "74 cm"]}
    assert customer.post(f"{SITTING}/readings", json=sent).json()["echo"] == [
        "waist, reading 1: 29 1/8 in (74.0 cm)",
        "waist, reading 2: 29 1/8 in (74.0 cm)",
        "Confirmed by 2 readings: 29 1/8 in (74.0 cm).",
    ]
    assert (
        customer.get(f"{SITTING}/checks")
        .json()["repeats"]["words"]
        .startswith("Repeats of one measurement scatter by 0 in (0.0 cm)")
    )


def test_all_that_her_sitting_says_has_inches_first(service: Service) -> None:
    workroom = service.workroom()
    customer = in_inches(service, workroom, address="cards@loft.example")
    seen = customer.get(SITTING).json()
    for part in ("size", "crooked"):
        inches, cm = lengths(seen[part])
        assert inches > 3, part
        assert cm == 0, part
    draft = {part.kind: part for part in walk(customer.get(f"{SITTING}/card.eml").content)}
    inches, cm = lengths(draft["text/plain"].body.decode())
    assert inches > 10
    assert cm == 0
    page = customer.get(f"{SITTING}/card.html").text
    assert CM_FIRST.search(page.replace("\N{NO-BREAK SPACE}", " ")) is None


def test_what_has_changed_is_told_in_inches_to_her_and_to_the_workroom(
    service: Service,
) -> None:
    workroom = service.workroom()
    earlier = in_inches(service, workroom)
    card = earlier.get(f"{SITTING}/card.json").json()
    later = in_inches(service, workroom)
    grown = {"code": "waist", "entries": ["30 1/2", "30 1/2"], "instead": True}
    later.post(f"{SITTING}/readings", json=grown)
    hers = later.post(f"{SITTING}/comparison", json={"card": card}).json()
    new, old = (one.get(SITTING).json()["id"] for one in (later, earlier))
    path = f"{BASE}/workroom/sittings/{new}/comparison/{old}"
    for told in (hers, workroom.get(path).json()):
        (waist,) = [row for row in told["measurements"] if row["code"] == "waist"]
        assert waist["words"].startswith("Waist: 1 3/8 in more")
        assert re.fullmatch(r"Before \d\d.* in, now 30 1/2 in; over 99 % sure", waist["numbers"])


def test_another_unit_says_anew_why_the_size_is_what_it_is(
    service: Service,
) -> None:
    customer = service.customer(service.workroom())
    read_all(customer)
    metric = customer.post(f"{SITTING}/decision", json={"garment": "camisole"}).json()
    assert lengths(metric)[0] == 0
    seen = customer.put(f"{SITTING}/unit", json={"unit": "in"}).json()
    inches = customer.get(f"{SITTING}/decision").json()
    assert lengths(seen["size"])[0] == lengths(inches)[0] > 3
    assert lengths(inches)[1] == 0
    assert inches["garment"] == "camisole"
    assert inches["size"]["name"] == metric["size"]["name"]
    customer.put(f"{SITTING}/unit", json={"unit": "cm"})
    assert customer.get(f"{SITTING}/decision").json() == metric


def test_the_unit_chosen_again_leaves_a_decision_as_old_as_it_is(service: Service) -> None:
    customer = in_inches(service, service.workroom())
    before = customer.get(f"{SITTING}/decision").json()
    # Nine weeks later a new decision would ask for new readings.
    for _ in range(3):
        service.clock.now += 21 * 86_400
        customer.put(f"{SITTING}/unit", json={"unit": "in"})
    assert customer.get(f"{SITTING}/decision").json() == before


def test_a_card_that_shows_inches_first_has_the_figures_of_its_json(service: Service) -> None:
    for language in ("en", "de"):
        room = service.workroom(login=language)
        customer = in_inches(service, room, language=language)
        told = customer.get(f"{SITTING}/card.json").content
        figures = grouped(digest_of_json(told))
        assert figures in customer.get(f"{SITTING}/card.html").text


def test_a_card_in_german_has_no_in_behind_a_number(service: Service) -> None:
    customer = in_inches(service, service.workroom(), language="de", address="cards@loft.example")
    draft = {part.kind: part for part in walk(customer.get(f"{SITTING}/card.eml").content)}
    for kind in ("text/plain", "text/html"):
        said = draft[kind].body.decode().replace("\N{NO-BREAK SPACE}", " ")
        assert re.search(r"[\d/] Zoll \([\d,]+ cm\)", said)
        assert not re.search(r"\d in\b", said)
