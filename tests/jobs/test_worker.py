"""Jobs processes with real detectors: what is accepted is ended, whoever is killed meanwhile."""

import io
import json
import os
import re
import signal
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path

import pytest
from pypdf import PdfReader

from ellwand.jobs.detector import Detectors
from ellwand.jobs.mailing import sender
from ellwand.jobs.post import PostRefused
from ellwand.jobs.queue import queue
from ellwand.jobs.tether import environment, start
from ellwand.jobs.worker import Worker, work
from ellwand.language import Language
from ellwand.settings import Settings
from ellwand.sitting import FindingsEntry, with_entry
from ellwand.store import jobs, sittings
from ellwand.store.engine import Store, open_store
from ellwand.store.erasing import photo_name
from ellwand.store.jobs import new_job_id

from ..card import test_drawing as drawn
from ..servers import postgresql, redis_url, until
from ..store.kept import Clock, claimed, mail_job, seal_of, sitting, state
from .mail_server import HOST, Authority, Mailbox, serving
from .photos import FRONT, SIDE, detector_processes, findings, setup


def photos_job(store: Store, kept: str) -> str:
    """Id of a job to measure the demo pair."""
    job_id, seal = new_job_id(), seal_of(store, kept)
    for view, photo in (("front", FRONT), ("side", SIDE)):
        sink = store.spool.sink(photo_name(job_id, view), seal)
        sink.write(photo)
        sink.close()
    with store.writing() as session:
        task = {"setup": setup().model_dump(mode="json")}
        jobs.add_job(store, session, job_id, "estimate", seal, task)
    return job_id


@contextmanager
def process(settings: Settings) -> Iterator[subprocess.Popen[bytes]]:
    """A jobs process of its own."""
    log = settings.data.parent / "worker.log"
    with log.open("ab") as out:
        kept = os.dup(2)
        os.dup2(out.fileno(), 2)
        try:
            made = start("ellwand.jobs", [], environment(settings))
        finally:
            os.dup2(kept, 2)
            os.close(kept)
    try:
        yield made
    finally:
        made.kill()
        made.wait(10)
        if made.stdin:
            made.stdin.close()


@contextmanager
def worker(settings: Settings, store: Store, detectors: Detectors) -> Iterator[Worker]:
    """A worker in this process."""
    told = queue(settings)
    made = Worker(settings, store, told, detectors, lambda *_: None)
    made.start()
    try:
        yield made
    finally:
        made.finish(30)
        made.end()
        told.close()


def running(store: Store, kept: str, job_id: str) -> Callable[[], bool]:
    """Whether a job has begun."""
    return lambda: state(store, kept, job_id).status == "running"


def ended(store: Store, kept: str, job_id: str) -> Callable[[], bool]:
    """Whether a job has ended."""
    return lambda: state(store, kept, job_id).ended


@pytest.mark.parametrize("kind", ["sqlite", "servers"])
def test_many_jobs_are_done_each_once(kind: str, tmp_path: Path, detectors: Detectors) -> None:
    urls = {"database_url": postgresql(), "queue_url": redis_url()} if kind == "servers" else {}
    settings = Settings(data=tmp_path / "data", workers=2, **urls)  # type: ignore[arg-type]
    store = open_store(settings)
    store.migrate()
    kept = [sitting(store, f"customer {number}") for number in range(4)]
    told = queue(settings)
    with worker(settings, store, detectors):
        accepted = {one: photos_job(store, one) for one in kept}
        for job_id in accepted.values():
            told.announce(job_id)
            told.announce(job_id)
        for one, job_id in accepted.items():
            until(ended(store, one, job_id))
            done = state(store, one, job_id)
            assert done.status == "done"
            assert FindingsEntry.model_validate(done.outcome) == findings()
    assert list(settings.spool.iterdir()) == []
    told.close()
    store.engine.dispose()


def test_a_job_goes_on_when_its_detector_is_killed(
    settings: Settings, store: Store, detectors: Detectors
) -> None:
    kept = sitting(store)
    job_id = photos_job(store, kept)
    with worker(settings, store, detectors):
        queue(settings).announce(job_id)
        until(running(store, kept, job_id))
        for one in detector_processes():
            one.kill()
        until(ended(store, kept, job_id))
    assert state(store, kept, job_id).status == "done"


def test_a_job_goes_on_elsewhere_when_its_process_is_killed(
    settings: Settings, store: Store, clock: Clock, detectors: Detectors
) -> None:
    kept = sitting(store)
    with process(settings.model_copy(update={"smtp_user": "canary"})) as first:
        job_id = photos_job(store, kept)
        queue(settings).announce(job_id)
        until(running(store, kept, job_id))
        theirs = detector_processes(first.pid)
        # Keys and passwords of the service are none of a detector's business.
        inside = Path(f"/proc/{theirs[0].pid}/environ").read_bytes()
        first.send_signal(signal.SIGKILL)
        first.wait(10)
        # Its detectors end with it.
        until(lambda: not any(one.is_running() and one.status() != "zombie" for one in theirs))
    assert b"PATH=" in inside
    assert b"ELLWAND_" not in inside
    assert b"canary" not in inside
    assert state(store, kept, job_id).status == "running"
    clock.now = time.time() + store.lease_s + 1
    with worker(settings, store, detectors):
        until(ended(store, kept, job_id))
    assert state(store, kept, job_id).status == "done"


def test_a_process_that_is_told_to_end_leaves_no_job_in_hand(
    settings: Settings, store: Store
) -> None:
    kept = sitting(store)
    with process(settings) as first:
        job_id = photos_job(store, kept)
        queue(settings).announce(job_id)
        until(running(store, kept, job_id))
        first.terminate()
        assert first.wait(15) == 0
    assert state(store, kept, job_id).status in ("done", "queued")
    assert not running(store, kept, job_id)()
    log = (settings.data.parent / "worker.log").read_text()
    assert kept not in log
    assert re.search(r"INFO ellwand.jobs.worker: job estimate (done|put-back) \d+\.\d\d s\n", log)


def test_a_worker_without_a_data_folder_says_so(
    tmp_path: Path,
) -> None:
    (tmp_path / "data").write_text("a file")
    with process(Settings(data=tmp_path / "data")) as one:
        assert one.wait(30) == 5
    assert "The data folder cannot be made or written." in (tmp_path / "worker.log").read_text()


def test_a_card_is_mailed_while_the_worker_runs_and_it_stops_when_told(
    settings: Settings, store: Store, tmp_path: Path
) -> None:
    authority = Authority(tmp_path)
    kept = sitting(store)
    job_id = mail_job(store, kept)
    mailbox = Mailbox()
    with serving(mailbox, starttls=authority.context()) as port:
        mails = settings.model_copy(
            update={
                "smtp_host": HOST,
                "smtp_port": port,
                "smtp_sender": "ellwand@measure.example",
                "smtp_ca_file": authority.ca_file,
            }
        )
        stop, code = threading.Event(), list[int]()
        thread = threading.Thread(target=lambda: code.append(work(mails, stop)))
        thread.start()
        queue(settings).announce(job_id)
        until(ended(store, kept, job_id))
        stop.set()
        thread.join(30)
        assert code == [0]
        assert state(store, kept, job_id).status == "done"
        (envelope,) = mailbox.messages
    assert envelope.rcpt_tos == ["cards@workroom.example"]
    message = message_from_bytes(envelope.content or b"", policy=policy.default)
    assert isinstance(message, EmailMessage)
    pdf, card = (part.get_content() for part in message.iter_attachments())
    assert pdf.startswith(b"%PDF")
    assert json.loads(card)["format"] == "ellwand-card"
    assert job_id not in str(message["Message-ID"])


@pytest.mark.parametrize("wanted", [False, True])
def test_a_mailed_card_has_her_outline_only_if_she_wants_it(
    settings: Settings, store: Store, monkeypatch: pytest.MonkeyPatch, wanted: bool
) -> None:
    kept, posted = sitting(store), list[EmailMessage]()
    monkeypatch.setattr("ellwand.jobs.mailing.post", lambda message, _: posted.append(message))
    with sittings.changing(store, kept, 30) as change:
        change.record = with_entry(change.record, drawn.entry(drawn.view(), drawn.view(300, 40)))
        sittings.note_outline(store, change.session, kept, wanted)
    with store.reading() as session:
        held = sittings.held(store, session, kept)
    mine = claimed(store, kept, mail_job(store, kept))
    assert mine is not None
    mails = settings.model_copy(update={"smtp_host": HOST, "smtp_sender": "ellwand@m.example"})
    sender(mails)(held, mine)
    pdf, _ = (part.get_content() for part in posted[0].iter_attachments())
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)
    assert ("HER OUTLINE" in text) == wanted


@pytest.mark.parametrize(("language", "subject"), [("en", "Measurement card"), ("de", "Maßkarte")])
def test_a_card_is_mailed_in_the_language_of_its_sitting(
    settings: Settings,
    store: Store,
    monkeypatch: pytest.MonkeyPatch,
    language: Language,
    subject: str,
) -> None:
    kept, posted = sitting(store), list[EmailMessage]()
    monkeypatch.setattr("ellwand.jobs.mailing.post", lambda message, _: posted.append(message))
    with store.reading() as session:
        held = sittings.held(store, session, kept)
    terms = held.terms.model_copy(update={"language": language})
    mine = claimed(store, kept, mail_job(store, kept))
    assert mine is not None
    mails = settings.model_copy(update={"smtp_host": HOST, "smtp_sender": "ellwand@m.example"})
    sender(mails)(replace(held, terms=terms), mine)
    assert posted[0]["Subject"] == subject
    pdf, _ = (part.get_content() for part in posted[0].iter_attachments())
    assert subject in PdfReader(io.BytesIO(pdf)).pages[0].extract_text()
    spoken = {part["Content-Language"] for part in posted[0].walk()}
    assert spoken == {language, None}


def test_without_a_mail_server_a_card_is_refused(settings: Settings, store: Store) -> None:
    kept = sitting(store)
    with store.reading() as session:
        held = sittings.held(store, session, kept)
    mine = claimed(store, kept, mail_job(store, kept))
    assert mine is not None
    with pytest.raises(PostRefused):
        sender(settings)(held, mine)
