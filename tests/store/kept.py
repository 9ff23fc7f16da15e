"""Invented things that are kept."""

import time
from dataclasses import dataclass, field
from uuid import uuid4

from ellwand.store import jobs, sittings
from ellwand.store.engine import Store
from ellwand.store.erasing import photo_name
from ellwand.store.sealing import Seal
from ellwand.store.sittings import Terms
from ellwand.store.tables import SittingRow, WorkroomRow

from ..sitting.invented import SETUP

DAYS = 30.0
ADDRESS = "cards@workroom.example"


def move_address(store: Store, sitting_id: str, address: str) -> None:
    """Let the workroom's address of a sitting be another one."""
    seal = seal_of(store, sitting_id)
    with store.writing() as session:
        row = session.get_one(SittingRow, sitting_id)
        row.terms = seal.close(Terms(address=address).model_dump_json().encode(), "terms")


@dataclass
class Clock:
    """A time that tests move on; it begins with the real one, by which files are dated."""

    now: float = field(default_factory=time.time)

    def __call__(self) -> float:
        return self.now


def workroom(store: Store, login: str = "mara") -> str:
    """Id of a workroom that nobody can log in to, because a password takes long to be hashed."""
    workroom_id = str(uuid4())
    seal, wrapped = store.key.new(workroom_id)
    with store.writing() as session:
        session.add(
            WorkroomRow(
                id=workroom_id,
                login_hash=store.key.fingerprint(login),
                password_hash="none",  # noqa: S106
                wrapped_key=wrapped,
                name=seal.close(b"Loft room", "name"),
                created_at=store.now(),
            )
        )
    return workroom_id


def sitting(store: Store, label: str = "L. with the red coat") -> str:
    """Id of a sitting in a workroom of its own."""
    owner = workroom(store, label)
    with store.writing() as session:
        terms = Terms(label=label, address=ADDRESS)
        return sittings.invite(store, session, owner, terms, DAYS)


def seal_of(store: Store, sitting_id: str) -> Seal:
    """What opens a sitting."""
    with store.reading() as session:
        seal = sittings.seal_of(store, session, sitting_id)
    assert seal is not None
    return seal


def job(store: Store, sitting_id: str, front: bytes = b"front", side: bytes = b"side") -> str:
    """Id of a job to measure two photos, which lie in the spool."""
    job_id, seal = jobs.new_job_id(), seal_of(store, sitting_id)
    for view, photo in (("front", front), ("side", side)):
        sink = store.spool.sink(photo_name(job_id, view), seal)
        sink.write(photo)
        sink.close()
    task = {"setup": SETUP_WITH_HEIGHT}
    with store.writing() as session:
        jobs.add_job(store, session, job_id, "estimate", seal, task)
    return job_id


def check_job(store: Store, sitting_id: str) -> str:
    """Id of a job to check a side photo, which lies in the spool."""
    job_id, seal = jobs.new_job_id(), seal_of(store, sitting_id)
    sink = store.spool.sink(photo_name(job_id, "side"), seal)
    sink.write(b"side")
    sink.close()
    task = {"view": "side", "setup": SETUP_WITH_HEIGHT}
    with store.writing() as session:
        jobs.add_job(store, session, job_id, "check", seal, task)
    return job_id


def mail_job(store: Store, sitting_id: str, **task: str) -> str:
    """Id of a job to send a card; the address is the workroom's, unless the task has another."""
    job_id, content = jobs.new_job_id(), {"address": ADDRESS, **task}
    with store.writing() as session:
        jobs.add_job(store, session, job_id, "mail", seal_of(store, sitting_id), content)
    return job_id


def state(store: Store, sitting_id: str, job_id: str) -> jobs.Job:
    """How far a job is."""
    with store.reading() as session:
        return jobs.job_of(session, seal_of(store, sitting_id), job_id)


def claimed(store: Store, sitting_id: str, job_id: str) -> jobs.Claimed | None:
    """Claim a job."""
    seal = seal_of(store, sitting_id)
    with store.writing() as session:
        return jobs.claim(store, session, job_id, seal)


SETUP_WITH_HEIGHT = SETUP.model_dump(mode="json") | {
    "stature": {"raw": "165 cm", "mm": 1650.0, "unit": "cm"}
}
