"""What is to be done for sittings, and how far it is: the truth about every job.

A job is `queued`, then `running` under a lease that its process renews, and ends as `done`,
`refused` (the customer can put it right) or `failed`. When a process is lost, the lease ends and
the job is begun again by another one.
"""

import json
from dataclasses import dataclass
from typing import Final, Literal
from uuid import uuid4

from pydantic import JsonValue
from sqlalchemy import ColumnElement, delete, func, or_, select, update
from sqlalchemy.orm import Session

from ellwand.errors import ServiceProblem
from ellwand.store.engine import Store
from ellwand.store.sealing import Seal
from ellwand.store.tables import JobRow

JobKind = Literal["estimate", "check", "correct", "mail"]
JobStatus = Literal["queued", "running", "done", "refused", "failed"]
Ending = Literal["done", "refused", "failed"]

UNFINISHED: Final = ("queued", "running")


@dataclass(frozen=True)
class Job:
    """How far a job is.

    Args:
        id: its id.
        kind: what is done.
        status: how far.
        outcome: what came of it, once it has ended.
    """

    id: str
    kind: JobKind
    status: JobStatus
    outcome: JsonValue = None

    @property
    def ended(self) -> bool:
        """Whether nothing more will come."""
        return self.status not in UNFINISHED


@dataclass(frozen=True)
class Sent:
    """A card that went by mail.

    Args:
        at: when she sent it, seconds since 1970.
        address: where it went; empty where that was not noted.
    """

    at: float
    address: str


@dataclass(frozen=True)
class Claimed:
    """A job that this process does now.

    Args:
        id: its id.
        kind: what is to be done.
        sitting_id: for which sitting.
        attempt: 1 for the first.
        created_at: when it was accepted, seconds since 1970.
        task: what is needed for it.
    """

    id: str
    kind: JobKind
    sitting_id: str
    attempt: int
    created_at: float
    task: JsonValue


def new_job_id() -> str:
    """An id for a job that is about to be accepted."""
    return str(uuid4())


def check_room(session: Session, most: int) -> None:
    """See that another job can be taken.

    Args:
        session: of any kind.
        most: how many may wait or run.

    Raises:
        ServiceProblem: there are too many; 503 with the time to come again.
    """
    waiting = session.scalar(
        select(func.count()).select_from(JobRow).where(JobRow.status.in_(UNFINISHED))
    )
    if (waiting or 0) >= most:
        raise ServiceProblem(
            "busy",
            "Many photos are being measured at this moment.",
            "Nothing is lost: try again in half a minute.",
            503,
            retry_after_s=30,
        )


def check_none_under_way(session: Session, sitting_id: str, kind: JobKind) -> None:
    """See that a sitting has no job of a kind that goes on.

    Raises:
        ServiceProblem: it has one; 409.
    """
    under_way = select(JobRow.id).where(
        JobRow.sitting_id == sitting_id, JobRow.kind == kind, JobRow.status.in_(UNFINISHED)
    )
    if session.scalar(under_way) is not None:
        raise ServiceProblem(
            "under-way",
            "The last one that you sent is still being worked on.",
            "Wait until it has ended, then send this again.",
            409,
            retry_after_s=2,
        )


def add_job(
    store: Store, session: Session, job_id: str, kind: JobKind, seal: Seal, task: JsonValue
) -> Job:
    """Note a job in the transaction that accepts it; it is announced to the queue afterwards.

    Args:
        store: where.
        session: a writing one; it holds the sitting's row.
        job_id: from `new_job_id`.
        kind: what is to be done.
        seal: of the sitting.
        task: what is needed for it.

    Raises:
        ServiceProblem: a job of this kind is already under way for the sitting.
    """
    check_none_under_way(session, seal.owner, kind)
    now = store.now()
    session.add(
        JobRow(
            id=job_id,
            sitting_id=seal.owner,
            kind=kind,
            status="queued",
            lease_until=now + store.lease_s,
            created_at=now,
            task=seal.close(json.dumps(task).encode(), f"task {job_id}"),
        )
    )
    return Job(job_id, kind, "queued")


def forget(session: Session, sitting_id: str, kind: JobKind) -> None:
    """Forget the jobs of a kind that have ended, with what came of them."""
    session.execute(
        delete(JobRow).where(
            JobRow.sitting_id == sitting_id,
            JobRow.kind == kind,
            JobRow.status.not_in(UNFINISHED),
        )
    )


def job_of(session: Session, seal: Seal, job_id: str) -> Job:
    """A job of a sitting.

    Raises:
        ServiceProblem: the sitting has no such job.
    """
    row = session.scalar(select(JobRow).where(JobRow.id == job_id, JobRow.sitting_id == seal.owner))
    if row is None:
        raise ServiceProblem(
            "no-such-job", "There is no such job.", "Look at the sitting, or send the photos.", 404
        )
    return _opened(row, seal)


def latest(session: Session, seal: Seal, kind: JobKind) -> Job | None:
    """The last job of a kind that a sitting was given, if any."""
    row = session.scalar(
        select(JobRow)
        .where(JobRow.sitting_id == seal.owner, JobRow.kind == kind)
        .order_by(JobRow.created_at.desc(), JobRow.id)
        .limit(1)
    )
    return None if row is None else _opened(row, seal)


def last_sent(session: Session, seal: Seal) -> Sent | None:
    """The last card of a sitting that a mail server has taken, if any."""
    row = session.scalar(
        select(JobRow)
        .where(JobRow.sitting_id == seal.owner, JobRow.kind == "mail", JobRow.status == "done")
        .order_by(JobRow.created_at.desc(), JobRow.id)
        .limit(1)
    )
    if row is None:
        return None
    task = json.loads(seal.open(row.task, f"task {row.id}"))
    # A task from before it was noted has none.
    address = task.get("address", "") if isinstance(task, dict) else ""
    return Sent(row.created_at, address)


def owner_of(session: Session, job_id: str) -> str | None:
    """The sitting of a job; None when there is no such job any more."""
    return session.scalar(select(JobRow.sitting_id).where(JobRow.id == job_id))


def claim(store: Store, session: Session, job_id: str, seal: Seal) -> Claimed | None:
    """Take a job that nobody does at this moment.

    Args:
        store: where.
        session: a writing one.
        job_id: which.
        seal: of its sitting.

    Returns:
        The job, or None when it has ended or another process does it.
    """
    now = store.now()
    free = or_(JobRow.status == "queued", JobRow.lease_until < now)
    taken = session.execute(
        update(JobRow)
        .where(JobRow.id == job_id, JobRow.status.in_(UNFINISHED), free)
        .values(status="running", attempts=JobRow.attempts + 1, lease_until=now + store.lease_s)
        .returning(JobRow)
    ).scalar_one_or_none()
    if taken is None:
        return None
    task = json.loads(seal.open(taken.task, f"task {job_id}"))
    return Claimed(
        id=job_id,
        kind=_kind(taken),
        sitting_id=taken.sitting_id,
        attempt=taken.attempts,
        created_at=taken.created_at,
        task=task,
    )


def renew(store: Store, job_ids: list[str]) -> None:
    """Say that this process is still at its jobs."""
    if not job_ids:
        return
    with store.writing() as session:
        session.execute(
            update(JobRow)
            .where(JobRow.id.in_(job_ids), JobRow.status == "running")
            .values(lease_until=store.now() + store.lease_s)
        )


def put_back(
    store: Store, session: Session, job: Claimed, after_s: float, counted: bool = True
) -> None:
    """Let a job be begun again after some time, unless another process does it by now.

    Args:
        store: where.
        session: a writing one.
        job: as it was claimed.
        after_s: how long it waits.
        counted: whether this attempt counts as one.
    """
    attempts = job.attempt if counted else job.attempt - 1
    session.execute(
        update(JobRow)
        .where(*_held_as(job))
        .values(status="queued", attempts=attempts, lease_until=store.now() + after_s)
    )


def end(session: Session, job: Claimed, seal: Seal, ending: Ending, outcome: JsonValue) -> bool:
    """Note what came of a job, once.

    Args:
        session: a writing one.
        job: as it was claimed.
        seal: of its sitting.
        ending: how it ended.
        outcome: what came of it.

    Returns:
        False when another process does it by now, or has ended it: nothing is noted then.
    """
    sealed = seal.close(json.dumps(outcome).encode(), f"outcome {job.id}")
    ended = session.execute(
        update(JobRow)
        .where(*_held_as(job))
        .values(status=ending, outcome=sealed)
        .returning(JobRow.id)
    )
    return ended.first() is not None


def due(store: Store) -> list[str]:
    """Jobs whose process is lost or that no process has heard of, to be announced again."""
    with store.writing() as session:
        overdue = session.scalars(
            update(JobRow)
            .where(JobRow.status == "queued", JobRow.lease_until < store.now())
            .values(lease_until=store.now() + store.lease_s)
            .returning(JobRow.id)
        ).all()
        lost = session.scalars(
            select(JobRow.id).where(JobRow.status == "running", JobRow.lease_until < store.now())
        ).all()
    return [*overdue, *lost]


def _held_as(job: Claimed) -> tuple[ColumnElement[bool], ...]:
    """Which row it is, as long as nobody has claimed it since."""
    return JobRow.id == job.id, JobRow.status == "running", JobRow.attempts == job.attempt


def _opened(row: JobRow, seal: Seal) -> Job:
    outcome = None
    if row.outcome is not None:
        outcome = json.loads(seal.open(row.outcome, f"outcome {row.id}"))
    return Job(row.id, _kind(row), _status(row), outcome)


def _kind(row: JobRow) -> JobKind:
    found: JobKind = row.kind  # type: ignore[assignment]
    return found


def _status(row: JobRow) -> JobStatus:
    found: JobStatus = row.status  # type: ignore[assignment]
    return found
