"""Sending photos over HTTP, up to the job; what a worker does with them is in tests/jobs."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from ellwand.sitting import Setup, set_up_of
from ellwand.store import erasing, jobs, sittings
from tests.problem_details import check_problem
from tests.running import DEMO_IMAGES
from tests.service import BASE, Service, begin

from .measured import findings

PHOTOS, CHECKS = f"{BASE}/sitting/photos", f"{BASE}/sitting/photo-checks"
SETUP_CHECKS = f"{BASE}/sitting/setup-checks"
TYPED = {"stature": "168 cm", "reference": "marker-sheets", "paper": "a4"}
DEMO = DEMO_IMAGES / "sittings"


def pair() -> dict[str, tuple[str, bytes, str]]:
    """Both photos of an invented woman, as a browser sends them."""
    folder = sorted(DEMO.iterdir())[0]
    return {
        view: (f"{view}-of-me.jpg", (folder / f"{view}.jpg").read_bytes(), "image/jpeg")
        for view in ("front", "side")
    }


def send(customer: TestClient, typed: dict[str, Any] | None = None, **headers: str) -> Any:
    """Send the pair."""
    return customer.post(PHOTOS, files=pair(), data=typed or TYPED, headers=headers)


def spool(service: Service) -> list[Path]:
    """Photos that wait."""
    return sorted(service.settings.spool.iterdir())


def end_job(service: Service, job_id: str, ending: jobs.Ending, outcome: Any) -> Any:
    """What a worker notes in the end; gives what it was told to do."""
    with service.store.writing() as session:
        owner = jobs.owner_of(session, job_id)
        assert owner is not None
        seal = sittings.seal_of(service.store, session, owner)
        assert seal is not None
        claimed = jobs.claim(service.store, session, job_id, seal)
        assert claimed is not None
        jobs.end(session, claimed, seal, ending, outcome)
    erasing.discard_photos(service.store, [job_id])
    return claimed.task


def test_photos_are_accepted_as_a_job_that_can_be_asked_for(service: Service) -> None:
    customer = service.customer(service.workroom())
    sent = send(customer)
    assert sent.status_code == 202
    job = sent.json()
    assert (job["kind"], job["status"], job["problem"]) == ("estimate", "queued", None)
    assert sent.headers["location"] == f"{BASE}/sitting/jobs/{job['id']}"
    assert service.announced == [job["id"]]
    asked = customer.get(sent.headers["location"])
    assert (asked.json(), asked.headers["retry-after"]) == (job, "2")
    early = customer.get(f"{sent.headers['location']}/result")
    assert (early.status_code, early.json()["code"]) == (409, "no-result-yet")


def test_waiting_photos_are_sealed_and_readable_by_their_owner_only(service: Service) -> None:
    send(service.customer(service.workroom()))
    waiting = spool(service)
    assert len(waiting) == 2
    for path, (_, photo, _) in zip(waiting, pair().values(), strict=True):
        assert path.stat().st_mode & 0o077 == 0
        sealed = path.read_bytes()
        assert photo[1000:1032] not in sealed
        assert b"JFIF" not in sealed


def test_what_was_typed_stays_even_when_the_photos_are_refused(service: Service) -> None:
    customer = service.customer(service.workroom())
    job_id = send(customer, {**TYPED, "standoff_front": "30 cm"}).json()["id"]
    dark = {"code": "dark", "severity": "refused", "advice": "it is too dark."}
    outcome = {"title": "The front photo can't be used.", "status": 422, "detail": "Take it again.",
               "code": "dark", "problems": {"front": [dark]}}  # fmt: skip
    end_job(service, job_id, "refused", outcome)
    refused = customer.get(f"{BASE}/sitting/jobs/{job_id}/result")
    assert refused.status_code == 422
    assert refused.headers["content-type"] == "application/problem+json"
    assert refused.json()["problems"]["front"][0]["code"] == "dark"
    setup = customer.get(f"{BASE}/sitting").json()["record"]["setup"]
    assert setup["standoff_front"]["raw"] == "30 cm"
    assert customer.get(f"{BASE}/sitting/findings").json()["code"] == "no-findings"


def test_a_weight_goes_to_the_estimate_and_back_to_her_alone(
    service: Service, caplog: pytest.LogCaptureFixture
) -> None:
    workroom = service.workroom()
    customer = service.customer(workroom)
    with caplog.at_level("DEBUG"):
        job_id = send(customer, {**TYPED, "weight": "157.25 lb"}).json()["id"]
        task = end_job(service, job_id, "done", findings())
    kg = 71.3274001825
    assert set_up_of(Setup.model_validate_json(json.dumps(task["setup"]))).mass_kg == kg
    setup = customer.get(f"{BASE}/sitting").json()["record"]["setup"]
    assert setup["weight"] == {"raw": "157.25 lb", "kg": kg}
    (line,) = workroom.get(f"{BASE}/workroom/sittings").json()
    whole = workroom.get(f"{BASE}/workroom/sittings/{line['id']}")
    assert whole.json()["record"]["setup"] == {**setup, "weight": None}
    card = workroom.get(f"{BASE}/workroom/sittings/{line['id']}/card.json")
    assert card.status_code == 200
    for told in (whole.text, json.dumps(line), card.text, caplog.text):
        assert "157.25" not in told
        assert "71.32" not in told


def test_photos_under_way_or_refused_are_seen_after_the_page_is_loaded_anew(
    service: Service,
) -> None:
    customer = service.customer(service.workroom())
    assert customer.get(f"{BASE}/sitting").json()["photos"] is None
    job = send(customer).json()
    assert customer.get(f"{BASE}/sitting").json()["photos"] == job
    problem = {"title": "Too dark.", "status": 422, "detail": "Take it again.", "code": "dark"}
    end_job(service, job["id"], "refused", problem)
    seen = customer.get(f"{BASE}/sitting").json()["photos"]
    assert (seen["status"], seen["problem"]["code"]) == ("refused", "dark")
    service.clock.now += 1
    end_job(service, send(customer).json()["id"], "done", {})
    assert customer.get(f"{BASE}/sitting").json()["photos"] is None


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ({"stature": "68"}, "stature-implausible"),
        ({"stature": ""}, "entry-empty"),
        ({"reference": "door"}, "not-a-choice"),
        ({"paper": "a3"}, "not-a-choice"),
        ({"check_bars": ["15", "14.9"]}, "check-bar-twice"),
        ({"standoff_side": "30 m"}, "standoff-implausible"),
        ({"weight": "70"}, "weight-without-unit"),
        ({"weight": "7 kg"}, "weight-implausible"),
        ({"stature": ["168", "169"]}, "field-twice"),
    ],
)
def test_what_cannot_be_read_is_named_and_no_photo_is_left(
    service: Service, typed: dict[str, Any], code: str
) -> None:
    customer = service.customer(service.workroom())
    answer = send(customer, {**TYPED, **typed})
    assert (answer.status_code, answer.json()["code"]) == (422, code)
    assert spool(service) == []
    assert service.announced == []


WRONG = {
    "stature": "1,65", "reference": "marker-sheets", "check_bars": ["149.6 mm", "238.9"],
    "standoff_front": "30 m", "weight": "70",
}  # fmt: skip
WRONG_CODES = [
    (["stature"], "stature-implausible"),
    (["check_bars", 1], "check-bar-without-unit"),
    (["standoff_front"], "standoff-implausible"),
    (["weight"], "weight-without-unit"),
]


def test_all_entries_that_cannot_be_used_are_named_in_one_answer(service: Service) -> None:
    customer = service.customer(service.workroom())
    refused = check_problem(send(customer, WRONG), 422, "stature-implausible")
    assert [(one["where"], one["code"]) for one in refused["entries"]] == WRONG_CODES
    assert refused["title"] == "Several entries cannot be used."
    assert all(one["detail"] in refused["detail"] for one in refused["entries"])
    assert spool(service) == []
    assert customer.get(f"{BASE}/sitting").json()["record"]["setup"] is None


class TestCheckingWhatIsTyped:
    """What cannot be used is told before a photo is sent, and nothing of it is kept."""

    def test_it_names_what_sending_the_photos_would(self, service: Service) -> None:
        customer = service.customer(service.workroom(), consent=False)
        before = customer.get(f"{BASE}/sitting").json()
        told = customer.post(SETUP_CHECKS, json=WRONG).json()["refused"]
        assert [(one["where"], one["code"]) for one in told] == WRONG_CODES
        height, bar, standoff, weight = told
        assert height["meant"] == {"text": "1,65 m", "mm": 1650.0}
        assert bar["meant"] == {"text": "238.9 mm", "mm": 238.9}
        assert standoff["meant"] == {"text": "30 cm", "mm": 300.0}
        assert weight["meant"] == {"text": "70 kg", "mm": None}
        assert customer.get(f"{BASE}/sitting").json() == before

    def test_a_bare_number_is_in_the_unit_of_the_sitting(self, service: Service) -> None:
        customer = service.customer(service.workroom())
        sent = {"stature": "66", "reference": "stature"}
        (told,) = customer.post(SETUP_CHECKS, json=sent).json()["refused"]
        assert told["meant"]["text"] == "66 in"
        customer.put(f"{BASE}/sitting/unit", json={"unit": "in"})
        assert customer.post(SETUP_CHECKS, json=sent).json() == {"refused": []}

    def test_it_is_said_in_the_language_that_is_asked_for(self, service: Service) -> None:
        customer = service.customer(service.workroom())
        sent, german = {"reference": "stature"}, {"Accept-Language": "de"}
        (told,) = customer.post(SETUP_CHECKS, json=sent, headers=german).json()["refused"]
        assert (told["where"], told["code"]) == (["stature"], "entry-empty")
        assert told["title"] == "Diese Eingabe ist leer."


def test_photos_are_not_taken_before_she_agrees(service: Service) -> None:
    customer = service.customer(service.workroom(), consent=False)
    assert send(customer).json()["code"] == "no-consent"
    half = customer.post(f"{BASE}/sitting/consent", json={"adult": False, "photos": True})
    assert half.status_code == 400
    assert send(customer).json()["code"] == "no-consent"
    customer.post(f"{BASE}/sitting/consent", json={"adult": True, "photos": True})
    assert send(customer).status_code == 202


def test_a_second_pair_waits_for_the_first(service: Service) -> None:
    customer = service.customer(service.workroom())
    first = send(customer).json()["id"]
    second = send(customer)
    assert (second.status_code, second.json()["code"]) == (409, "under-way")
    assert len(spool(service)) == 2
    end_job(service, first, "done", {})
    assert send(customer).status_code == 202


def test_the_same_pair_sent_twice_with_one_key_is_one_job(service: Service) -> None:
    customer = service.customer(service.workroom())
    key = {"Idempotency-Key": "same"}
    first, second = send(customer, **key), send(customer, **key)
    assert (first.status_code, first.json()) == (second.status_code, second.json())
    assert second.headers["location"] == first.headers["location"]
    assert len(service.announced) == 1
    assert len(spool(service)) == 2


def test_a_full_queue_turns_photos_away_with_the_time_to_come_again(tmp_path: Path) -> None:
    service = begin(tmp_path / "data", most_waiting_jobs=1)
    workroom = service.workroom()
    send(service.customer(workroom))
    late = send(service.customer(workroom))
    assert (late.status_code, late.json()["code"]) == (503, "busy")
    assert int(late.headers["retry-after"]) > 0
    assert service.client().get("/ready").json() == {
        "ready": False,
        "database": True,
        "room": False,
    }
    service.close()


def test_more_uploads_at_once_than_there_is_room_for_are_turned_away(service: Service) -> None:
    customer = service.customer(service.workroom())
    service.app.state.desk.uploads.value = service.settings.uploads_at_once
    answer = send(customer)
    assert (answer.status_code, answer.json()["code"]) == (503, "uploads-busy")
    assert answer.headers["retry-after"] == "5"


def test_uploads_of_one_customer_are_counted(tmp_path: Path) -> None:
    service = begin(tmp_path / "data", uploads_an_hour=1)
    customer = service.customer(service.workroom())
    end_job(service, send(customer).json()["id"], "done", {})
    assert send(customer).json()["code"] == "too-many-requests"
    service.close()


def test_an_upload_that_takes_forever_is_ended(
    service: Service, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("ellwand.api.taking_in.SLOWEST_UPLOAD_S", 0)
    customer = service.customer(service.workroom())
    answer = send(customer)
    assert (answer.status_code, answer.json()["code"]) == (408, "upload-too-slow")
    assert spool(service) == []


def check(customer: TestClient, view: str = "front", **headers: str) -> Any:
    """Send one of the photos to be checked."""
    return customer.post(CHECKS, files={view: pair()[view]}, data=TYPED, headers=headers)


class TestOnePhotoAlone:
    """A photo is checked before the other one is taken."""

    def test_it_is_accepted_as_a_job_and_nothing_of_it_is_noted(self, service: Service) -> None:
        customer = service.customer(service.workroom())
        before = customer.get(f"{BASE}/sitting").json()
        sent = check(customer, "side")
        assert sent.status_code == 202
        job = sent.json()
        assert (job["kind"], job["status"], job["advice"]) == ("check", "queued", None)
        assert service.announced == [job["id"]]
        assert [path.name for path in spool(service)] == [f"{job['id']}.side"]
        task = end_job(service, job["id"], "done", {"advice": []})
        assert (task["view"], task["setup"]["stature"]["mm"]) == ("side", 1680)
        seen = customer.get(sent.headers["location"]).json()
        assert (seen["status"], seen["advice"], seen["problem"]) == ("done", [], None)
        after = customer.get(f"{BASE}/sitting").json()
        assert after["record"] == before["record"]
        assert after["photos"] is None
        early = customer.get(f"{sent.headers['location']}/result")
        assert early.json()["code"] == "no-result-yet"

    def test_what_speaks_against_it_is_told_in_few_words_too(self, service: Service) -> None:
        customer = service.customer(service.workroom())
        job = check(customer).json()
        dark = {"code": "dark", "severity": "refused", "advice": "it is too dark.", "cue": "Light!"}
        refused = {"title": "The front photo can't be used.", "status": 422, "advice": [dark],
                   "detail": "Take it again.", "code": "photo-refused"}  # fmt: skip
        end_job(service, job["id"], "refused", refused)
        seen = customer.get(f"{BASE}/sitting/jobs/{job['id']}").json()
        assert (seen["status"], seen["advice"]) == ("refused", [dark])
        assert seen["problem"]["code"] == "photo-refused"

    def test_of_checks_only_the_last_one_is_known(self, service: Service) -> None:
        customer = service.customer(service.workroom())
        first = check(customer).json()["id"]
        busy = check(customer)
        assert (busy.status_code, busy.json()["code"]) == (409, "under-way")
        end_job(service, first, "done", {"advice": []})
        second = check(customer).json()["id"]
        assert customer.get(f"{BASE}/sitting/jobs/{first}").json()["code"] == "no-such-job"
        assert customer.get(f"{BASE}/sitting/jobs/{second}").json()["status"] == "queued"

    def test_a_check_does_not_hold_up_the_pair(self, service: Service) -> None:
        customer = service.customer(service.workroom())
        check(customer)
        assert send(customer).status_code == 202

    def test_it_is_sealed_and_kept_to_the_rules_of_photos(self, service: Service) -> None:
        customer = service.customer(service.workroom(), consent=False)
        assert check(customer).json()["code"] == "no-consent"
        customer.post(f"{BASE}/sitting/consent", json={"adult": True, "photos": True})
        check(customer)
        (waiting,) = spool(service)
        assert waiting.stat().st_mode & 0o077 == 0
        assert b"JFIF" not in waiting.read_bytes()

    def test_checks_count_as_uploads(self, tmp_path: Path) -> None:
        service = begin(tmp_path / "data", uploads_an_hour=1)
        customer = service.customer(service.workroom())
        end_job(service, check(customer).json()["id"], "done", {"advice": []})
        assert check(customer).json()["code"] == "too-many-requests"
        service.close()

    def test_the_same_check_sent_twice_with_one_key_is_one_job(self, service: Service) -> None:
        customer = service.customer(service.workroom())
        first, second = (check(customer, **{"Idempotency-Key": "same"}) for _ in range(2))
        assert first.json() == second.json()
        assert len(spool(service)) == 1

    def test_two_photos_or_none_are_no_check(self, service: Service) -> None:
        customer = service.customer(service.workroom())
        both = customer.post(CHECKS, files=pair(), data=TYPED)
        assert (both.status_code, both.json()["code"]) == (422, "one-photo-only")
        none = customer.post(CHECKS, files={"paper": (None, "a4")}, data={})
        assert (none.status_code, none.json()["code"]) == (422, "photo-not-sent")
        assert spool(service) == []

    def test_what_is_typed_is_read_as_for_the_pair_and_a_weight_left_out(
        self, service: Service
    ) -> None:
        customer = service.customer(service.workroom())
        typed = {**TYPED, "stature": "68"}
        answer = customer.post(CHECKS, files={"front": pair()["front"]}, data=typed)
        assert answer.json()["code"] == "stature-implausible"
        typed = {**TYPED, "weight": "70 kg"}
        job = customer.post(CHECKS, files={"front": pair()["front"]}, data=typed).json()
        assert end_job(service, job["id"], "done", {"advice": []})["setup"]["weight"] is None


class TestTheWayThatPhotosTake:
    """Photos do not travel where others could see them."""

    @pytest.fixture
    def remote(self, tmp_path: Path) -> Iterator[tuple[Service, TestClient]]:
        """A customer on another machine of the house, without https."""
        service = begin(tmp_path / "data", public_url="http://workroom.lan")
        customer = service.customer(service.workroom())
        far = TestClient(
            service.app, base_url="http://workroom.lan", client=("192.0.2.7", 50000),
            headers={"Cookie": f"__Host-sitting={customer.cookies['__Host-sitting']}"},
        )  # fmt: skip
        yield service, far
        service.close()

    def test_plain_http_from_elsewhere_is_refused(self, remote: tuple[Service, TestClient]) -> None:
        service, far = remote
        answer = send(far)
        assert (answer.status_code, answer.json()["code"]) == (403, "photos-unencrypted")
        assert spool(service) == []

    def test_this_very_machine_needs_no_https(self, service: Service) -> None:
        customer = service.customer(service.workroom())
        near = TestClient(service.app, base_url="http://localhost", client=("127.0.0.1", 50000))
        near.headers["Cookie"] = f"__Host-sitting={customer.cookies['__Host-sitting']}"
        assert send(near).status_code == 202

    def test_the_trial_flag_allows_it_and_is_told(self, tmp_path: Path) -> None:
        service = begin(tmp_path / "data", trial_without_https=True)
        workroom = service.workroom()
        link = workroom.post(f"{BASE}/workroom/invitations", json={}).json()["link"]
        far = TestClient(service.app, base_url="http://192.0.2.1:8470", client=("192.0.2.7", 50000))
        opened = far.post(f"{BASE}/entrance", json={"token": link.partition("#")[2]})
        assert opened.json()["trial"]
        assert "secure" not in opened.headers["set-cookie"].lower()
        far.post(f"{BASE}/sitting/consent", json={"adult": True, "photos": True})
        assert send(far).status_code == 202
        service.close()


def test_erasing_takes_waiting_photos_away(service: Service) -> None:
    customer = service.customer(service.workroom())
    send(customer)
    customer.delete(f"{BASE}/sitting")
    assert spool(service) == []


def test_nobody_else_can_ask_for_a_job(service: Service) -> None:
    workroom = service.workroom()
    job_id = send(service.customer(workroom)).json()["id"]
    other = service.customer(workroom)
    for path in (job_id, f"{job_id}/result"):
        answer = other.get(f"{BASE}/sitting/jobs/{path}")
        assert (answer.status_code, answer.json()["code"]) == (404, "no-such-job")
