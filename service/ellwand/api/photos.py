"""Photos: taken in sealed, measured or checked by a worker, and gone when that is done."""

from typing import Annotated

from fastapi import APIRouter, Request, Response
from pydantic import JsonValue

from ellwand.api.callers import AsCustomer, AsCustomerOnce, Customer, an_id
from ellwand.api.examples import CHECK_FORM, PHOTOS_FORM, headers
from ellwand.api.models import JobView, SetupChecked, SetupToCheck
from ellwand.api.photo_form import form, typed_setup
from ellwand.api.problems import RefusedEntryDetail, answer, documented
from ellwand.api.taking_in import take_in
from ellwand.api.told import findings_told
from ellwand.api.uploads import Received
from ellwand.errors import ServiceProblem
from ellwand.sitting import (
    EntriesRefused,
    FindingsEntry,
    setup_typed,
    with_typed_setup,
    without_weight,
)
from ellwand.store import jobs
from ellwand.store.sittings import Change

router = APIRouter(tags=["photos"])

JobId = Annotated[str, an_id("job")]
# Measuring takes about a second; who waits for others asks less often.
AGAIN_S = {"queued": "2", "running": "1"}
_ACCEPTED = {
    **documented(404, 408, 409, 413, 415, 422, 503),
    202: headers("Location", "Retry-After"),
}


@router.post(
    "/sitting/photos",
    status_code=202,
    summary="Send both photos",
    response_model=JobView,
    responses=_ACCEPTED,
    openapi_extra=form(["front", "side"], PHOTOS_FORM),
)
async def send_photos(request: Request, customer: AsCustomerOnce) -> Response:
    """Send both photos and how they were taken; a job measures them."""
    return await take_in(request, customer, "estimate", 2, _to_measure)


@router.post(
    "/sitting/photo-checks",
    status_code=202,
    summary="Check one photo",
    response_model=JobView,
    responses=_ACCEPTED,
    openapi_extra=form([], CHECK_FORM),
)
async def check_photo(request: Request, customer: AsCustomerOnce) -> Response:
    """Send one photo, front or side, to hear whether it can be used; nothing of it is kept.

    A job checks it as the estimate does, and says what it found under `advice`. What only both
    photos together show is not among it.
    """
    return await take_in(request, customer, "check", 1, _to_check)


@router.post(
    "/sitting/setup-checks",
    summary="Check what is typed beside photos",
    responses=documented(404),
)
def check_setup(sent: SetupToCheck, customer: AsCustomer) -> SetupChecked:
    """Hear before any photo is sent what of the form cannot be used; nothing of it is kept."""
    try:
        setup_typed(sent.typed(), customer.held().record.unit)
    except EntriesRefused as refused:
        return SetupChecked(refused=[RefusedEntryDetail.of(one) for one in refused.entries])
    return SetupChecked(refused=[])


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
    if job.kind not in ("estimate", "correct") or not job.ended:
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
    told = findings_told(FindingsEntry.model_validate(job.outcome))
    return Response(told.model_dump_json(), media_type="application/json")


@router.get("/sitting/findings", summary="See the findings", responses=documented(404))
def see_findings(customer: AsCustomer) -> FindingsEntry:
    """What the last photos gave."""
    findings = customer.held().record.findings
    if findings is None:
        raise ServiceProblem(
            "no-findings", "No photos have been measured yet.", "Send both photos first.", 404
        )
    return findings_told(findings)


def _to_measure(change: Change, received: Received) -> JsonValue:
    """What was typed stays even when the photos are refused."""
    change.record = with_typed_setup(change.record, typed_setup(received.fields))
    setup = change.record.setup
    return {"setup": setup.model_dump(mode="json") if setup else None}


def _to_check(change: Change, received: Received) -> JsonValue:
    """The sitting stays as it is, and of checks only the last one is known."""
    noted = without_weight(with_typed_setup(change.record, typed_setup(received.fields)))
    jobs.forget(change.session, change.held.id, "check")
    (view,) = received.parts
    return {"view": view, "setup": noted.setup.model_dump(mode="json") if noted.setup else None}


def _job(customer: Customer, job_id: str) -> jobs.Job:
    with customer.desk.store.reading() as session:
        return jobs.job_of(session, customer.seal(session), job_id)
