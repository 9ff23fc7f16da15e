"""Taking photos in: who may send them and how, sealed as they come, up to the job of them."""

import asyncio
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Final, Literal

from fastapi import Request, Response
from fastapi.concurrency import run_in_threadpool
from pydantic import JsonValue

from ellwand.api.accepting import accept
from ellwand.api.callers import Customer, job_accepted
from ellwand.api.desk import Desk, is_private
from ellwand.api.uploads import Limits, Received, receive
from ellwand.errors import ServiceProblem
from ellwand.store import answers, erasing, jobs, sittings
from ellwand.store.erasing import photo_name
from ellwand.store.sittings import Change, Held

PhotoJob = Literal["estimate", "check"]
# What a request asks for, where it may be sent again.
ASKS: Final[dict[PhotoJob, str]] = {"estimate": "photos", "check": "photo-checks"}
# A slow phone line takes two large photos in this time (judged).
SLOWEST_UPLOAD_S = 900.0


async def take_in(
    request: Request,
    customer: Customer,
    kind: PhotoJob,
    photos: int,
    note: Callable[[Change, Received], JsonValue],
) -> Response:
    """Take photos in, and accept a job of them.

    Args:
        request: with a form.
        customer: who sends it.
        kind: of the job.
        photos: how many.
        note: notes in the sitting what was typed, and gives the task of the job.
    """
    _check_way(request, customer.desk)
    held, before = await run_in_threadpool(_begin, customer, kind)
    if before is not None:
        return job_accepted(before)
    job_id = jobs.new_job_id()
    with _one_of_few(customer.desk):
        received = await _receive(request, customer.desk, held, job_id, photos)
    return await run_in_threadpool(_accept, customer, kind, job_id, received, note)


def _check_way(request: Request, desk: Desk) -> None:
    """Refuse photos that others could see on their way."""
    if not (desk.settings.trial_without_https or is_private(request)):
        raise ServiceProblem(
            "photos-unencrypted",
            "Photos are not taken over an unencrypted connection.",
            "Open the page with https://; the operator of this service has to provide that.",
            403,
        )


def _begin(customer: Customer, kind: PhotoJob) -> tuple[Held, answers.Answer | None]:
    """See whether photos can be taken in, before they are read."""
    desk, request = customer.desk, customer.request(ASKS[kind], None)
    with desk.store.reading() as session:
        jobs.check_room(session, desk.settings.most_waiting_jobs)
        held = sittings.held(desk.store, session, customer.sitting_id)
        if not held.consented:
            raise ServiceProblem(
                "no-consent",
                "Photos are taken in from adults who agree to it.",
                "State both on the page first.",
                403,
            )
        before = answers.answered(session, held.seal, request) if request else None
        if before is not None:
            return held, before
        jobs.check_none_under_way(session, held.id, kind)
    desk.limiter.upload(held.id)
    return held, None


@contextmanager
def _one_of_few(desk: Desk) -> Iterator[None]:
    """Take in so many uploads at once and no more, so that memory and disk stay bounded."""
    if desk.uploads.value >= desk.settings.uploads_at_once:
        raise ServiceProblem(
            "uploads-busy",
            "Many photos are being sent at this moment.",
            "Nothing is lost: try again in a few seconds.",
            503,
            retry_after_s=5,
        )
    desk.uploads.value += 1
    try:
        yield
    finally:
        desk.uploads.value -= 1


async def _receive(request: Request, desk: Desk, held: Held, job_id: str, photos: int) -> Received:
    limits = Limits(desk.settings.photo_bytes, photos)
    try:
        async with asyncio.timeout(SLOWEST_UPLOAD_S):
            return await receive(
                request.stream(),
                request.headers.get("content-type", ""),
                limits,
                lambda view: desk.store.spool.sink(photo_name(job_id, view), held.seal),
            )
    except TimeoutError:
        raise ServiceProblem(
            "upload-too-slow",
            "The photos took too long to arrive.",
            "Go where the connection is better, and send them again.",
            408,
        ) from None


def _accept(
    customer: Customer,
    kind: PhotoJob,
    job_id: str,
    received: Received,
    note: Callable[[Change, Received], JsonValue],
) -> Response:
    """Note what was typed and the job, once."""
    ours = False
    try:
        response, ours = accept(
            customer, job_id, kind, ASKS[kind], None, lambda change: note(change, received)
        )
    finally:
        if not ours:
            erasing.discard_photos(customer.desk.store, [job_id])
    return response
