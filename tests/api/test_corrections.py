"""Correcting lines over HTTP, up to the job; what a worker does with it is in tests/jobs."""

from collections.abc import Callable
from typing import Any

import pytest
from fastapi.testclient import TestClient

from ellwand.sitting import Sitting, fingerprint, parse, with_entry
from ellwand.store import sittings
from tests.service import BASE, Service, read_all

from ..conftest import DemoEstimate
from .measured import findings
from .test_photos import end_job, send

CORRECTIONS = f"{BASE}/sitting/corrections"
UP = {"view": "front", "level": "waist", "part": "height", "by_mm": 12.0}


@pytest.fixture(scope="module")
def measured(estimate_of: Callable[[str], DemoEstimate]) -> Sitting:
    """A sitting with photos that were measured."""
    return parse(estimate_of("adela").written)


@pytest.fixture
def customer(service: Service, measured: Sitting) -> TestClient:
    """A customer whose photos were measured."""
    made = service.customer(service.workroom())
    with sittings.changing(service.store, made.get(f"{BASE}/sitting").json()["id"], 30) as change:
        assert measured.findings is not None
        change.record = with_entry(change.record, measured.findings)
    return made


def test_a_correction_is_accepted_as_a_job_with_what_a_worker_needs(
    service: Service, customer: TestClient
) -> None:
    answer = customer.post(CORRECTIONS, json={"moves": [{**UP, "u_mm": 2.5}]})
    assert answer.status_code == 202
    job = answer.json()
    assert (job["kind"], job["status"]) == ("correct", "queued")
    assert answer.headers["location"] == f"{BASE}/sitting/jobs/{job['id']}"
    assert service.announced == [job["id"]]
    task = end_job(service, job["id"], "done", findings(waist_mm=777.0))
    assert task["asked"] == {"moves": [{**UP, "u_mm": 2.5}], "undo": False}
    with service.store.reading() as session:
        owner = customer.get(f"{BASE}/sitting").json()["id"]
        record = sittings.held(service.store, session, owner).record
    assert record.findings is not None
    assert task["of"] == fingerprint(record.findings)
    result = customer.get(f"{answer.headers['location']}/result")
    assert result.json()["estimates"]["waist"]["value_mm"] == 777.0


def test_a_page_that_is_loaded_anew_is_told_of_a_correction_that_goes_on(
    service: Service, customer: TestClient
) -> None:
    assert customer.get(f"{BASE}/sitting").json()["correction"] is None
    job = customer.post(CORRECTIONS, json={"moves": [UP]}).json()
    assert customer.get(f"{BASE}/sitting").json()["correction"]["id"] == job["id"]
    end_job(service, job["id"], "done", findings(waist_mm=777.0))
    assert customer.get(f"{BASE}/sitting").json()["correction"] is None


def test_the_same_request_twice_is_one_correction(service: Service, customer: TestClient) -> None:
    headers = {"Idempotency-Key": "one-line"}
    first, second = (
        customer.post(CORRECTIONS, json={"moves": [UP]}, headers=headers) for _ in range(2)
    )
    assert first.json() == second.json()
    assert service.announced == [first.json()["id"]]
    other = customer.post(CORRECTIONS, json={"moves": [{**UP, "by_mm": 3.0}]}, headers=headers)
    assert other.status_code in (409, 422)


@pytest.mark.parametrize(
    ("sent", "code"),
    [
        ({}, "nothing-moved"),
        ({"undo": True}, "nothing-to-undo"),
        ({"undo": True, "moves": [UP]}, "moved-and-undone"),
        ({"moves": [{**UP, "by_mm": 1e6}]}, "moved-too-far"),
        ({"moves": [{**UP, "level": "high_bust"}]}, "level-not-in-view"),
        ({"moves": [{**UP, "u_mm": -1.0}]}, "hand-unsure"),
    ],
)
def test_what_cannot_be_corrected_is_said_at_once_and_makes_no_job(
    service: Service, customer: TestClient, sent: dict[str, Any], code: str
) -> None:
    answer = customer.post(CORRECTIONS, json=sent)
    assert (answer.status_code, answer.json()["code"]) == (422, code)
    assert answer.json()["detail"]
    assert service.announced == []


def test_without_photos_there_is_nothing_to_correct(service: Service) -> None:
    customer = service.customer(service.workroom())
    read_all(customer)
    answer = customer.post(CORRECTIONS, json={"moves": [UP]})
    assert (answer.status_code, answer.json()["code"]) == (422, "nothing-to-correct")


@pytest.mark.parametrize("bad", [{"level": "knee"}, {"part": "middle"}, {"by_mm": "far"}, {"x": 1}])
def test_a_move_of_another_shape_is_malformed(customer: TestClient, bad: dict[str, Any]) -> None:
    answer = customer.post(CORRECTIONS, json={"moves": [{**UP, **bad}]})
    assert (answer.status_code, answer.json()["code"]) == (400, "malformed")


def test_one_thing_at_a_time_is_done_to_the_photos(service: Service, customer: TestClient) -> None:
    assert customer.post(CORRECTIONS, json={"moves": [UP]}).status_code == 202
    again = customer.post(CORRECTIONS, json={"moves": [{**UP, "by_mm": 1.0}]})
    assert (again.status_code, again.json()["code"]) == (409, "under-way")
    end_job(service, service.announced[0], "done", None)
    send(customer)
    waiting = customer.post(CORRECTIONS, json={"moves": [UP]})
    assert (waiting.status_code, waiting.json()["code"]) == (409, "under-way")
