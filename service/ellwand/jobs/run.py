"""Doing one job: claim it, do it, and note what came of it, together with the sitting's change."""

import json
import logging
import time
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from typing import Literal, Protocol, TypeVar

from pydantic import JsonValue
from sqlalchemy.exc import DBAPIError

from ellwand.errors import ServiceProblem
from ellwand.jobs.detecting import Checked, Found, Refused
from ellwand.jobs.detector import DetectorFailed, DetectorLost, DetectorStopped, TookTooLong
from ellwand.jobs.post import PostDelayed, PostRefused, retry_after_s
from ellwand.settings import Settings
from ellwand.sitting import fingerprint, to_correct, with_entry
from ellwand.store import jobs, sittings
from ellwand.store.engine import Store
from ellwand.store.erasing import VIEWS, discard_photos, photo_name
from ellwand.store.jobs import Claimed, Ending, JobKind
from ellwand.store.sealing import Seal
from ellwand.store.sittings import Held

# The waits between them add up to some four and a half hours (judged).
MAIL_ATTEMPTS = 8

View = Literal["front", "side"]
_Said = TypeVar("_Said", Checked, Found | Refused)
# Sends a sitting's card; the job's id and time are those of the message.
Send = Callable[[Held, Claimed], None]

log = logging.getLogger(__name__)


class Detector(Protocol):
    """Measures photos somewhere else."""

    def estimate(self, front: bytes, side: bytes, setup: str, timeout_s: float) -> Found | Refused:
        """Measure two photos; see `ellwand.jobs.detector.Detectors`."""

    def check(self, view: View, photo: bytes, setup: str, timeout_s: float) -> Checked:
        """Check one photo; see there."""

    def correct(self, findings: str, setup: str, asked: str, timeout_s: float) -> Found | Refused:
        """Work findings out anew; see there, too."""


@dataclass(frozen=True)
class Done:
    """What a log may tell of a job.

    Args:
        kind: what was to be done.
        status: how it ended; "put-back" is begun again, "gone" is erased or done elsewhere.
        seconds: how long it took.
        again_after_s: after how many seconds it is begun again, for "put-back".
    """

    kind: JobKind
    status: Ending | Literal["put-back", "gone"]
    seconds: float
    again_after_s: float = 0.0


@dataclass(frozen=True)
class Doing:
    """A job in hand.

    Args:
        store: where.
        settings: what the operator set.
        job: which.
        seal: of its sitting.
    """

    store: Store
    settings: Settings
    job: Claimed
    seal: Seal


@dataclass(frozen=True)
class _Again:
    """That a job is to be begun again.

    Args:
        after_s: when.
        counted: whether this attempt counts.
    """

    after_s: float
    counted: bool = True


class _Overtaken(Exception):
    """Another process does the job by now."""


def do(
    job_id: str, store: Store, settings: Settings, detector: Detector, send: Send
) -> Done | None:
    """Do a job, if it is still to be done.

    Args:
        job_id: which.
        store: where.
        settings: what the operator set.
        detector: measures photos.
        send: sends a card.

    Returns:
        What came of it; None when there was nothing to do.

    Raises:
        DBAPIError: the database is away; the job is begun again when its lease ends.
    """
    began = time.monotonic()
    with store.writing() as session:
        owner = jobs.owner_of(session, job_id)
        seal = None if owner is None else sittings.seal_of(store, session, owner)
        job = None if seal is None else jobs.claim(store, session, job_id, seal)
    if seal is None:
        discard_photos(store, [job_id])
    if seal is None or job is None:
        return None
    doing = Doing(store, settings, job, seal)
    status: Ending | Literal["put-back", "gone"]
    again_after_s = 0.0
    try:
        came = _attempt(doing, detector, send)
        if isinstance(came, _Again):
            with store.writing() as session:
                jobs.put_back(store, session, job, came.after_s, came.counted)
            status, again_after_s = "put-back", came.after_s
        else:
            status = came
            discard_photos(store, [job_id])
    except _Overtaken:
        status = "gone"
    except ServiceProblem as problem:
        if problem.code != "no-such-sitting":
            raise
        # Erased meanwhile, with all that belongs to it.
        discard_photos(store, [job_id])
        status = "gone"
    return Done(job.kind, status, time.monotonic() - began, again_after_s)


def _attempt(doing: Doing, detector: Detector, send: Send) -> Ending | _Again:
    mail = doing.job.kind == "mail"
    most = MAIL_ATTEMPTS if mail else doing.settings.job_attempts
    if doing.job.attempt > most:
        return _failed(doing, _mail_lost() if mail else _not_measured())
    try:
        if mail:
            return _mail(doing, send)
        acts = {"check": _check, "correct": _correct, "estimate": _estimate}
        return acts[doing.job.kind](doing, detector)
    except (DBAPIError, ServiceProblem, _Overtaken):
        raise
    except Exception as error:  # a mistake of ours; its message may hold what is private
        log.error("a job of kind %s failed: %s", doing.job.kind, type(error).__name__)
        return _failed(doing, _mail_lost() if mail else _not_measured())


def _estimate(doing: Doing, detector: Detector) -> Ending | _Again:
    job, limit_s = doing.job, doing.settings.job_time_limit_s

    def ask() -> Found | Refused:
        front, side = (
            doing.store.spool.read(photo_name(job.id, view), doing.seal) for view in VIEWS
        )
        return detector.estimate(front, side, _setup(job.task), limit_s)

    def end(answer: Found | Refused) -> Ending:
        if isinstance(answer, Refused):
            return _ended(doing, "refused", _details(answer, answer.status, _plain(answer)))
        with _changing(doing) as change:
            # What she typed while the photos were measured stays: the record is the latest one.
            _note(doing, change, answer)
        return "done"

    return _asked(doing, ask, end)


def _check(doing: Doing, detector: Detector) -> Ending | _Again:
    """Check one photo; nothing of it goes into the sitting."""
    job, limit_s = doing.job, doing.settings.job_time_limit_s
    view: View = "side" if _part(job.task, "view") == "side" else "front"

    def ask() -> Checked:
        photo = doing.store.spool.read(photo_name(job.id, view), doing.seal)
        return detector.check(view, photo, _setup(job.task), limit_s)

    def end(answer: Checked) -> Ending:
        advice: JsonValue = [one.model_dump(mode="json") for one in answer.problems]
        if not answer.refused:
            return _ended(doing, "done", {"advice": advice})
        return _ended(doing, "refused", {**_details(_cannot_be_used(view), 422), "advice": advice})

    return _asked(doing, ask, end)


def _correct(doing: Doing, detector: Detector) -> Ending | _Again:
    """Put lines right on the photos that she saw when she moved them, and on no others."""
    job, limit_s = doing.job, doing.settings.job_time_limit_s
    with doing.store.reading() as session:
        record = sittings.held(doing.store, session, job.sitting_id).record
    if record.findings is None or fingerprint(record.findings) != _part(job.task, "of"):
        return _failed(doing, _photos_changed())
    findings, setup = to_correct(record)
    asked = json.dumps(_part(job.task, "asked"))
    given = findings.model_dump_json(), setup.model_dump_json(), asked

    def end(answer: Found | Refused) -> Ending:
        if isinstance(answer, Refused):
            return _ended(doing, "refused", _details(answer, answer.status))
        with _changing(doing) as change:
            same = change.record.findings == findings
            if same:
                _note(doing, change, answer)
        return "done" if same else _failed(doing, _photos_changed())

    return _asked(doing, lambda: detector.correct(*given, limit_s), end)


def _changing(doing: Doing) -> AbstractContextManager[sittings.Change]:
    return sittings.changing(doing.store, doing.job.sitting_id, doing.settings.keep_days)


def _note(doing: Doing, change: sittings.Change, answer: Found) -> None:
    """Note findings in the sitting, and with them that the job is done."""
    change.record = with_entry(change.record, answer.findings)
    outcome = answer.findings.model_dump(mode="json")
    if not jobs.end(change.session, doing.job, doing.seal, "done", outcome):
        raise _Overtaken


def _asked(
    doing: Doing, ask: Callable[[], _Said], end: Callable[[_Said], Ending]
) -> Ending | _Again:
    """Ask a detector, and end with what it says."""
    said = _said(doing, ask)
    if isinstance(said, _Again):
        return said
    return _failed(doing, said) if isinstance(said, ServiceProblem) else end(said)


def _said(doing: Doing, ask: Callable[[], _Said]) -> _Said | ServiceProblem | _Again:
    """What a detector says, or how it goes on without it."""
    job, settings = doing.job, doing.settings
    try:
        return ask()
    except ServiceProblem as problem:
        return problem
    except DetectorStopped:
        return _Again(0, counted=False)
    except DetectorLost:
        return _Again(0) if job.attempt < settings.job_attempts else _not_measured()
    except TookTooLong:
        return _too_long()
    except DetectorFailed as mistake:
        log.error("a detector failed: %s", mistake)
        return _not_measured()


def _mail(doing: Doing, send: Send) -> Ending | _Again:
    job = doing.job
    with doing.store.reading() as session:
        held = sittings.held(doing.store, session, job.sitting_id)
    try:
        sittings.check_address(held, _shown_address(job.task))
    except ServiceProblem as problem:
        return _failed(doing, problem)
    try:
        send(held, job)
    except PostDelayed as why:
        log.warning("a card was not sent yet: %s", why)
        if job.attempt < MAIL_ATTEMPTS:
            return _Again(retry_after_s(job.attempt))
        return _failed(doing, _mail_lost())
    except PostRefused as why:
        log.warning("a card was not sent: %s", why)
        return _failed(doing, _mail_refused())
    return _ended(doing, "done", None)


def _shown_address(task: JsonValue) -> str:
    """The address that she agreed to; none in a task from before it was noted."""
    return str(task.get("address", "")) if isinstance(task, dict) else ""


def _setup(task: JsonValue) -> str:
    """The set-up in a task, as JSON."""
    return json.dumps(_part(task, "setup"))


def _part(task: JsonValue, name: str) -> JsonValue:
    if not isinstance(task, dict):
        raise TypeError("a task without parts")
    return task[name]


def _failed(doing: Doing, problem: ServiceProblem) -> Ending:
    return _ended(doing, "failed", _details(problem, problem.http_status))


def _ended(doing: Doing, ending: Ending, outcome: JsonValue) -> Ending:
    with doing.store.writing() as session:
        if not jobs.end(session, doing.job, doing.seal, ending, outcome):
            raise _Overtaken
    return ending


def _details(
    told: ServiceProblem | Refused, status: int, problems: JsonValue = None
) -> dict[str, JsonValue]:
    """An outcome as problem details (RFC 9457), in English, to be said in the language of who asks.

    See `ellwand.api.problems.details_kept`.
    """
    title, detail = told.texts
    details: dict[str, JsonValue] = {
        "type": "about:blank",
        "title": title,
        "status": status,
        "detail": detail,
        "code": told.code,
    }
    if told.values:
        details["values"] = dict(told.values)
    return details if problems is None else {**details, "problems": problems}


def _plain(refused: Refused) -> JsonValue:
    views: Sequence[View] = ("front", "side")
    return {
        view: [one.model_dump(mode="json") for one in refused.problems.get(view, ())]
        for view in views
    }


def _cannot_be_used(view: View) -> ServiceProblem:
    return ServiceProblem(
        "photo-refused",
        "The front photo can't be used." if view == "front" else "The side photo can't be used.",
        "Do what stands beside it, and take it again.",
        422,
    )


def _not_measured() -> ServiceProblem:
    return ServiceProblem(
        "photos-not-measured",
        "The photos could not be measured; this is no fault of yours.",
        "Send both once more. If it happens again, measure with the tape alone.",
        503,
    )


def _photos_changed() -> ServiceProblem:
    return ServiceProblem(
        "photos-changed",
        "The photos were measured anew, or corrected, while this was on its way.",
        "Look at the lines as they are now, and correct what is still wrong.",
        409,
    )


def _too_long() -> ServiceProblem:
    return ServiceProblem(
        "took-too-long",
        "Measuring the photos took too long.",
        "Send both once more, as photos of an ordinary size, 8 to 12 megapixels.",
        503,
    )


def _mail_refused() -> ServiceProblem:
    return ServiceProblem(
        "mail-refused",
        "The mail server does not take the card.",
        "Download the card or the draft, and send it from your own mail program.",
        502,
    )


def _mail_lost() -> ServiceProblem:
    return ServiceProblem(
        "mail-not-sent",
        "The card could not be sent.",
        "Download the card or the draft, and send it from your own mail program.",
        503,
    )
