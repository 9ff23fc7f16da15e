"""Photos: taken in sealed, measured by a worker, and gone when that is done."""

import asyncio
import json
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Annotated, cast

from fastapi import APIRouter, Request, Response
from fastapi.concurrency import run_in_threadpool
from pydantic import JsonValue

from ellwand.api.callers import AsCustomer, AsCustomerOnce, Customer, an_id, job_accepted, job_id_of
from ellwand.api.desk import Desk, is_private
from ellwand.api.examples import PHOTOS_FORM, headers
from ellwand.api.models import JobView
from ellwand.api.problems import answer, documented
from ellwand.api.uploads import Limits, Received, receive
from ellwand.errors import EntryProblem, ServiceProblem
from ellwand.photo.files import MOST_PIXELS
from ellwand.settings import MEGABYTE, Settings
from ellwand.sitting import FindingsEntry, PaperCode, ReferenceKind, TypedSetup, with_typed_setup
from ellwand.store import answers, erasing, jobs, sittings
from ellwand.store.erasing import photo_name
from ellwand.store.sittings import Change, Held

router = APIRouter(tags=["photos"])

JobId = Annotated[str, an_id("job")]
REFERENCES: tuple[ReferenceKind, ...] = ("marker-sheets", "plain-sheets", "id-card", "stature")
PAPERS: tuple[PaperCode, ...] = ("a4", "letter")
# A slow phone line takes two large photos in this time (judged).
SLOWEST_UPLOAD_S = 900.0
# Measuring takes about a second; who waits for others asks less often.
AGAIN_S = {"queued": "2", "running": "1"}

_TEXT = {"type": "string", "maxLength": 200}
_PHOTO = {"type": "string", "format": "binary"}
_LIMITS = (
    f"JPEG or PNG, at most {Settings.model_fields['photo_bytes'].default // MEGABYTE} MB unless "
    f"the operator says otherwise, and {MOST_PIXELS // 1_000_000} megapixels."
)
_FORM = {
    "type": "object",
    "required": ["front", "side", "stature", "reference"],
    "properties": {
        "front": {**_PHOTO, "description": f"From ahead: {_LIMITS}"},
        "side": {**_PHOTO, "description": f"From aside: {_LIMITS}"},
        "stature": {**_TEXT, "description": "Her height as typed", "examples": ["168 cm"]},
        "reference": {"type": "string", "enum": list(REFERENCES)},
        "paper": {"type": "string", "enum": list(PAPERS), "default": "a4"},
        "check_bars": {"type": "array", "items": _TEXT, "maxItems": 2},
        "standoff_front": {**_TEXT, "description": "As typed; left out when it hangs beside her"},
        "standoff_side": _TEXT,
        "focal_35mm": {**_TEXT, "description": "Where the photo has none"},
        "weight": {
            **_TEXT,
            "description": "As typed, with its unit, if she likes to tell it: makes the bounds "
            "tighter; shown to nobody but her",
            "examples": ["70 kg"],
        },
    },
}


@router.post(
    "/sitting/photos",
    status_code=202,
    summary="Send both photos",
    response_model=JobView,
    responses={
        **documented(404, 408, 409, 413, 415, 422, 503),
        202: headers("Location", "Retry-After"),
    },
    openapi_extra={
        "requestBody": {
            "required": True,
            "content": {"multipart/form-data": {"schema": _FORM, "example": PHOTOS_FORM}},
        }
    },
)
async def send_photos(request: Request, customer: AsCustomerOnce) -> Response:
    """Send both photos and how they were taken; a job measures them."""
    _check_way(request, customer.desk)
    held, before = await run_in_threadpool(_begin, customer)
    if before is not None:
        return job_accepted(before)
    job_id = jobs.new_job_id()
    with _one_of_few(customer.desk):
        received = await _receive(request, customer.desk, held, job_id)
    return await run_in_threadpool(_accept, customer, job_id, received)


@router.get(
    "/sitting/jobs/{job_id}",
    summary="See a job",
    responses={**documented(404), 200: headers("Retry-After")},
)
def see_job(job_id: JobId, customer: AsCustomer, response: Response) -> JobView:
    """How far a job is; ask again after Retry-After while it goes on."""
    job = _job(customer, job_id)
    if not job.ended:
        response.headers["Retry-After"] = AGAIN_S[job.status]
    return JobView.of(job)


@router.get(
    "/sitting/jobs/{job_id}/result",
    summary="See what photos gave",
    response_model=FindingsEntry,
    responses=documented(404, 409, 410, 413, 422, 502, 503),
)
def see_result(job_id: JobId, customer: AsCustomer) -> Response:
    """What photos gave, or a correction of their lines, or why that was refused."""
    job = _job(customer, job_id)
    if job.kind == "mail" or not job.ended:
        raise ServiceProblem(
            "no-result-yet",
            "There is no result yet.",
            "Ask for the job until it has ended.",
            409,
            retry_after_s=1,
        )
    problem = JobView.of(job).problem
    if problem is not None:
        return answer(problem)
    return Response(json.dumps(job.outcome), media_type="application/json")


@router.get("/sitting/findings", summary="See the findings", responses=documented(404))
def see_findings(customer: AsCustomer) -> FindingsEntry:
    """What the last photos gave."""
    findings = customer.held().record.findings
    if findings is None:
        raise ServiceProblem(
            "no-findings", "No photos have been measured yet.", "Send both photos first.", 404
        )
    return findings


def _check_way(request: Request, desk: Desk) -> None:
    """Refuse photos that others could see on their way."""
    if not (desk.settings.trial_without_https or is_private(request)):
        raise ServiceProblem(
            "photos-unencrypted",
            "Photos are not taken over an unencrypted connection.",
            "Open the page with https://; the operator of this service has to provide that.",
            403,
        )


def _begin(customer: Customer) -> tuple[Held, answers.Answer | None]:
    """See whether photos can be taken in, before they are read."""
    desk, request = customer.desk, customer.request("photos", None)
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
        jobs.check_none_under_way(session, held.id, "estimate")
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


async def _receive(request: Request, desk: Desk, held: Held, job_id: str) -> Received:
    limits = Limits(photo_bytes=desk.settings.photo_bytes)
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


def _accept(customer: Customer, job_id: str, received: Received) -> Response:
    """Note the set-up and the job; what was typed stays even when the photos are refused."""
    desk, ours = customer.desk, False

    def act(change: Change) -> JobView:
        change.record = with_typed_setup(change.record, _typed(received.fields))
        jobs.check_room(change.session, desk.settings.most_waiting_jobs)
        setup = change.record.setup
        task: JsonValue = {"setup": setup.model_dump(mode="json") if setup else None}
        seal = change.held.seal
        return JobView.of(jobs.add_job(desk.store, change.session, job_id, "estimate", seal, task))

    try:
        answer = customer.changes("photos", None, act, 202)
        # The same request may have come twice at once, and the other one been faster.
        ours = job_id_of(answer) == job_id
    finally:
        if not ours:
            erasing.discard_photos(desk.store, [job_id])
    if ours:
        desk.announce(job_id)
    return job_accepted(answer)


def _typed(fields: dict[str, list[str]]) -> TypedSetup:
    def one(name: str) -> str | None:
        found = fields.get(name, [])
        if len(found) > 1:
            raise EntryProblem(
                "field-twice",
                "Something about the photos was said twice.",
                "Send each field once; only check_bars may stand twice.",
            )
        # A form sends what was left empty, too.
        return (found[0] if found else "").strip() or None

    bars = tuple(text for text in fields.get("check_bars", []) if text.strip())
    return TypedSetup(
        stature=one("stature") or "",
        reference=cast(ReferenceKind, _choice(one("reference"), REFERENCES)),
        paper=cast(PaperCode, _choice(one("paper") or "a4", PAPERS)),
        check_bars=bars,
        standoff_front=one("standoff_front"),
        standoff_side=one("standoff_side"),
        focal_35mm=one("focal_35mm"),
        weight=one("weight"),
    )


def _choice(text: str | None, among: tuple[str, ...]) -> str:
    if text not in among:
        raise EntryProblem(
            "not-a-choice",
            "A choice about the photos is missing or not known.",
            f"It is one of {', '.join(among)}.",
        )
    return text


def _job(customer: Customer, job_id: str) -> jobs.Job:
    with customer.desk.store.reading() as session:
        return jobs.job_of(session, customer.seal(session), job_id)
