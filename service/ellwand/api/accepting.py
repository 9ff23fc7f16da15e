"""Accepting a job: noted once, however often it is asked for, and announced by who noted it."""

from collections.abc import Callable

from fastapi import Response
from pydantic import BaseModel, JsonValue

from ellwand.api.callers import Customer, job_accepted, job_id_of
from ellwand.api.models import JobView
from ellwand.store import jobs
from ellwand.store.jobs import JobKind
from ellwand.store.sittings import Change


def accept(
    customer: Customer,
    job_id: str,
    kind: JobKind,
    asks: str,
    sent: BaseModel | None,
    task: Callable[[Change], JsonValue],
) -> tuple[Response, bool]:
    """Accept a job of a customer.

    Args:
        customer: who asks for it.
        job_id: a new one.
        kind: of the job.
        asks: what is asked for, where it may be sent again.
        sent: the request's body.
        task: looks whether it can be done, notes in the sitting what is to be, and gives the task.

    Returns:
        The answer, and whether it is of this job. The same request may have come before, or twice
        at once and the other one been faster; then it is of that one, which was announced.
    """
    desk = customer.desk

    def act(change: Change) -> JobView:
        told = task(change)
        jobs.check_room(change.session, desk.settings.most_waiting_jobs)
        seal = change.held.seal
        return JobView.of(jobs.add_job(desk.store, change.session, job_id, kind, seal, told))

    answer = customer.changes(asks, sent, act, 202)
    ours = job_id_of(answer) == job_id
    if ours:
        desk.announce(job_id)
    return job_accepted(answer), ours
