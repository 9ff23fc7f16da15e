"""The whole way through the real service: `ellwand serve`, its workers, its mail, its traces."""

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from email import message_from_bytes, policy
from pathlib import Path
from typing import Any

import httpx2
import psutil
import pytest

from ellwand.api.told import findings_told
from ellwand.sitting import FindingsEntry
from tests.conftest import DemoEstimate
from tests.hostile_photos import corpus
from tests.jobs.mail_server import Authority, Mailbox
from tests.jobs.mail_server import serving as serving_mail
from tests.real_service import (
    BASE,
    PASSWORD,
    RealService,
    demo_pair,
    ended,
    serving,
    wait_until,
)

# What an invented customer types, and what her workroom says of her. No other text holds these.
CANARIES = {
    "label": "Quillondra Vesperine",
    "address": "zanzibar.cards@loft.example",
    "stature": "167.83 cm",
    "standoff": "31.7 cm",
    "waist": ("73.91", "74.13"),
    "reason": "my sister Ottoberta measured it",
}
TYPED = {
    "stature": CANARIES["stature"], "reference": "marker-sheets", "paper": "a4",
    "standoff_front": CANARIES["standoff"], "standoff_side": CANARIES["standoff"],
}  # fmt: skip


def typed_for(estimate: DemoEstimate) -> dict[str, str]:
    """What the invented woman of a demo sitting types."""
    return {name: text for name, text in estimate.truth["typed"].items() if text is not None}


def readings(customer: httpx2.Client, rows: dict[str, list[str]]) -> None:
    """Read tape entries in."""
    for code, entries in rows.items():
        sent = {"code": code, "entries": entries}
        answer = customer.post(f"{BASE}/sitting/readings", json=sent)
        assert answer.status_code == 201, answer.text


@pytest.fixture(scope="module")
def temporary(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that the service's processes take for temporary files."""
    return tmp_path_factory.mktemp("temporary")


@pytest.fixture(scope="module")
def mailbox(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Mailbox, dict[str, str]]]:
    """A mail server, and the settings that lead to it."""
    authority, box = Authority(tmp_path_factory.mktemp("mail")), Mailbox()
    with serving_mail(box, starttls=authority.context()) as port:
        yield (
            box,
            {
                "ELLWAND_SMTP_HOST": "127.0.0.1",
                "ELLWAND_SMTP_PORT": str(port),
                "ELLWAND_SMTP_SENDER": "service@ellwand.example",
                "ELLWAND_SMTP_CA_FILE": str(authority.ca_file),
            },
        )


@pytest.fixture(scope="module")
def service(
    tmp_path_factory: pytest.TempPathFactory,
    temporary: Path,
    mailbox: tuple[Mailbox, dict[str, str]],
) -> Iterator[RealService]:
    """A service that stays up for all tests of this module."""
    data = tmp_path_factory.mktemp("service") / "data"
    with serving(data, environment={"TMPDIR": str(temporary), **mailbox[1]}) as running:
        yield running


def test_photos_sent_to_the_service_give_what_the_command_gives(
    service: RealService, estimate_of: Any
) -> None:
    estimate = estimate_of("adela")
    customer = service.customer()
    sent = customer.post(f"{BASE}/sitting/photos", files=demo_pair(), data=typed_for(estimate))
    assert sent.status_code == 202, sent.text
    assert ended(customer, sent.headers["location"])["status"] == "done"
    result = customer.get(f"{sent.headers['location']}/result").json()
    # The file keeps what the service says in plainer words.
    written = FindingsEntry.model_validate(json.loads(estimate.written)["findings"])
    assert result == findings_told(written).model_dump(mode="json")
    assert customer.get(f"{BASE}/sitting/findings").json() == result


def test_exchanged_photos_are_refused_with_advice_for_each(
    service: RealService, estimate_of: Any
) -> None:
    customer, pair = service.customer(), demo_pair()
    exchanged = {"front": pair["side"], "side": pair["front"]}
    typed = typed_for(estimate_of("adela"))
    sent = customer.post(f"{BASE}/sitting/photos", files=exchanged, data=typed)
    assert ended(customer, sent.headers["location"])["status"] == "refused"
    refused = customer.get(f"{sent.headers['location']}/result")
    assert refused.status_code == 422
    problems = refused.json()["problems"]
    assert {view: [one["code"] for one in found] for view, found in problems.items()} == {
        "front": ["views-exchanged"],
        "side": ["views-exchanged"],
    }


def test_the_card_goes_by_mail_to_the_workroom(
    service: RealService, mailbox: tuple[Mailbox, dict[str, str]]
) -> None:
    customer = service.customer("--address", "cards@loft.example")
    readings(customer, {"stature": ["168"], "high_bust": ["88", "88.5"]})
    key = {"Idempotency-Key": "once"}
    shown = {"address": "cards@loft.example"}
    first = customer.post(f"{BASE}/sitting/card/mail", headers=key, json=shown)
    again = customer.post(f"{BASE}/sitting/card/mail", headers=key, json=shown)
    assert first.json() == again.json()
    assert ended(customer, first.headers["location"])["status"] == "done"
    (sent,) = [one for one in mailbox[0].messages if one.rcpt_tos == ["cards@loft.example"]]
    message = message_from_bytes(sent.original_content or b"", policy=policy.default)
    pdf, card = message.iter_attachments()
    assert pdf.get_content() == customer.get(f"{BASE}/sitting/card.pdf").content
    assert card.get_content() == customer.get(f"{BASE}/sitting/card.json").content


@pytest.mark.parametrize("name", corpus())
def test_a_hostile_file_is_answered_with_a_clear_refusal(
    service: RealService, hostile_customer: httpx2.Client, name: str
) -> None:
    files = {**demo_pair(), "front": ("front.jpg", corpus()[name], "image/jpeg")}
    typed = {"stature": "168 cm", "reference": "stature"}
    answer = hostile_customer.post(f"{BASE}/sitting/photos", files=files, data=typed)
    if answer.status_code == 202:
        location = answer.headers["location"]
        assert ended(hostile_customer, location)["status"] == "refused"
        answer = hostile_customer.get(f"{location}/result")
    assert 400 <= answer.status_code < 500
    problem = answer.json()
    assert all(problem[name] for name in ("code", "title", "detail"))
    assert "refused" in [one["severity"] for one in problem["problems"]["front"]]


def test_the_detectors_outlive_all_of_them(
    service: RealService, hostile_customer: httpx2.Client, detectors_before: set[int]
) -> None:
    assert detectors_before
    assert {one.pid for one in service.processes("spawn_main")} == detectors_before


@pytest.fixture(scope="module")
def detectors_before(service: RealService) -> set[int]:
    """Detectors that ran before anything hostile was sent."""
    return {one.pid for one in service.processes("spawn_main")}


@pytest.fixture(scope="module")
def hostile_customer(service: RealService, detectors_before: set[int]) -> httpx2.Client:
    """Who sends nothing that a camera made."""
    return service.customer()


@pytest.fixture(scope="module")
def played(service: RealService) -> httpx2.Client:
    """A customer who has done everything."""
    customer = service.customer(
        "--label", str(CANARIES["label"]), "--address", str(CANARIES["address"])
    )
    service.secrets.append(customer.get(f"{BASE}/sitting").json()["id"])
    sent = customer.post(f"{BASE}/sitting/photos", files=demo_pair(), data=TYPED)
    assert ended(customer, sent.headers["location"])["status"] == "done"
    readings(customer, {"waist": list(CANARIES["waist"])})
    keep = {"code": "stature", "reason": CANARIES["reason"]}
    customer.post(f"{BASE}/sitting/keeps", json=keep)
    mailed = customer.post(f"{BASE}/sitting/card/mail", json={"address": CANARIES["address"]})
    assert ended(customer, mailed.headers["location"])["status"] == "done"
    workroom = service.workroom()
    workroom.get(f"{BASE}/workroom/sittings/{service.secrets[-2]}")
    return customer


class TestTraces:
    """After a whole run with known words and numbers, nobody finds them."""

    def words(self, service: RealService) -> list[bytes]:
        """What nobody may find: words, numbers in any writing, secrets, parts of the photos."""
        words = [CANARIES["label"], "Quillondra", CANARIES["address"], "zanzibar", "Ottoberta",
                 "167.83", "1678.3", "73.91", "739.1", "74.13", "741.3", "31.7 cm",
                 "of-me.jpg", PASSWORD, *service.secrets]  # fmt: skip
        parts = []
        for _, photo, _ in demo_pair().values():
            # From the head, the middle and the end; all three lie in compressed pixels.
            parts += [photo[at : at + 24] for at in (5000, len(photo) // 2, len(photo) - 300)]
        return [str(word).encode() for word in words] + parts

    def test_nothing_is_found_in_logs_folders_or_the_database(
        self, service: RealService, played: httpx2.Client, temporary: Path
    ) -> None:
        ids = service.secrets[-2:-1]
        places = [service.log, *_files(service.data), *_files(temporary)]
        assert service.log.stat().st_size > 0
        found = [
            (path.name, word)
            for path in places
            for word in self.words(service)
            if word in path.read_bytes()
            # By its id a sitting is found again; it says nothing and is in no log.
            and not (word.decode("latin1") in ids and path.name.startswith("ellwand.db"))
        ]
        assert found == []
        assert _files(service.data / "spool") == []

    def test_after_erasing_nothing_of_the_sitting_is_left(
        self, service: RealService, played: httpx2.Client
    ) -> None:
        sitting_id = played.get(f"{BASE}/sitting").json()["id"]
        with closing(sqlite3.connect(service.data / "ellwand.db")) as database:
            rows = [
                value
                for table in ("sittings", "jobs", "answers")
                for row in database.execute(f"SELECT * FROM {table}")  # noqa: S608
                if sitting_id in row
                for value in row
                if isinstance(value, bytes) and len(value) > 16
            ]
        assert len(rows) >= 5
        kept = b"".join(path.read_bytes() for path in _files(service.data))
        # What is long lies on several pages; a part of it is on one.
        traces = [sitting_id.encode(), *(row[:32] for row in rows)]
        assert all(trace in kept for trace in traces)
        assert played.delete(f"{BASE}/sitting").status_code == 204
        kept = b"".join(path.read_bytes() for path in _files(service.data))
        assert [trace for trace in traces if trace in kept] == []


class TestBeingKilled:
    """Whatever is killed, every accepted job ends and no reading is lost."""

    def many(self, service: RealService, count: int) -> list[tuple[httpx2.Client, str]]:
        """Customers whose photos wait, and where to ask for their jobs."""
        waiting = []
        for _ in range(count):
            customer = service.customer()
            readings(customer, {"waist": ["74", "74.2"]})
            typed = {"stature": "168 cm", "reference": "stature"}
            sent = customer.post(f"{BASE}/sitting/photos", files=demo_pair(), data=typed)
            assert sent.status_code == 202
            waiting.append((customer, sent.headers["location"]))
        return waiting

    def running(self, waiting: list[tuple[httpx2.Client, str]]) -> bool:
        """Whether a job is being done, with others behind it."""
        return "running" in [customer.get(place).json()["status"] for customer, place in waiting]

    def check(self, waiting: list[tuple[httpx2.Client, str]]) -> None:
        """All jobs end well, and the readings are there."""
        for customer, location in waiting:
            assert ended(customer, location)["status"] == "done"
            record = customer.get(f"{BASE}/sitting").json()["record"]
            assert [one["raw"] for one in record["readings"]["waist"]] == ["74", "74.2"]
            assert record["findings"]["estimates"]["waist"]["value_mm"] > 0

    @pytest.mark.parametrize("module", ["spawn_main", "ellwand.jobs", "ellwand.serving.web"])
    def test_a_process_that_is_killed_is_replaced(self, service: RealService, module: str) -> None:
        waiting = self.many(service, 4)
        wait_until(lambda: self.running(waiting), "a job in hand")
        victims = service.processes(module)
        assert victims
        for victim in victims:
            victim.kill()
        wait_until(lambda: _answers(service), "the service to answer")
        self.check(waiting)

    def test_a_service_that_is_killed_goes_on_when_it_is_started_again(
        self, tmp_path: Path
    ) -> None:
        with serving(tmp_path / "data") as service:
            waiting = self.many(service, 4)
            cookies = [customer.headers["Cookie"] for customer, _ in waiting]
            wait_until(lambda: self.running(waiting), "a job in hand")
            everything = [service.process, *service.process.children(recursive=True)]
            for process in everything:
                process.kill()
            psutil.wait_procs(everything, timeout=60)
        with closing(sqlite3.connect(tmp_path / "data" / "ellwand.db")) as database:
            assert database.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        with serving(tmp_path / "data") as service:
            again = []
            for cookie, (_, location) in zip(cookies, waiting, strict=True):
                customer = service.visitor()
                customer.headers["Cookie"] = cookie
                again.append((customer, location))
            self.check(again)
            assert _files(tmp_path / "data" / "spool") == []

    def test_a_command_that_is_killed_takes_its_processes_along(self, tmp_path: Path) -> None:
        with serving(tmp_path / "data") as service:
            children = service.process.children(recursive=True)
            service.process.kill()
            gone, alive = psutil.wait_procs(children, timeout=60)
        assert len(gone) >= 2
        assert alive == []


def _files(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file()]


def _answers(service: RealService) -> bool:
    try:
        return service.visitor().get("/health").status_code == 200
    except httpx2.HTTPError:
        return False
