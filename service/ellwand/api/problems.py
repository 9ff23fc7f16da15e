"""One shape for every error: problem details. Nothing private is ever in one.

Source: RFC 9457.
"""

import http
from typing import Any, Literal

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from pydantic import BaseModel, ConfigDict, JsonValue
from starlette.exceptions import HTTPException
from starlette.routing import Match

from ellwand.api.examples import CASES, HEADERS
from ellwand.errors import BlockProblem, EllwandError, ServiceProblem
from ellwand.language import Noun, gettext, gettext_noop
from ellwand.photo.problems import PhotosRefused, refusal, said
from ellwand.quantity import Length
from ellwand.sitting import EntriesRefused, RefusedEntry

MEDIA_TYPE = "application/problem+json"


class PhotoProblemDetail(BaseModel):
    """Something that speaks against a photo."""

    model_config = ConfigDict(use_attribute_docstrings=True)

    code: str
    """Short name of the case."""
    severity: Literal["refused", "warned"]
    """Whether the photo can be used."""
    advice: str
    """What is wrong with it and what to do."""


class Meant(BaseModel):
    """What may have been meant."""

    model_config = ConfigDict(use_attribute_docstrings=True)

    text: str
    """What to send in place of what was typed."""
    mm: float | None
    """Of a length, its value in millimetres."""


class RefusedEntryDetail(BaseModel):
    """An entry of a form that cannot be used."""

    model_config = ConfigDict(use_attribute_docstrings=True)

    where: list[str | int]
    """Its field, and of several in one field its number, counted from 0."""
    code: str
    """Short name of the case."""
    title: str
    """What is wrong with it."""
    detail: str
    """What to do."""
    meant: Meant | None = None
    """What may be meant, where that can be told."""

    @classmethod
    def of(cls, entry: RefusedEntry) -> "RefusedEntryDetail":
        """As it is told, in the language spoken."""
        problem, meant = entry.problem, entry.meant
        return cls(
            where=list(entry.where),
            code=problem.code,
            title=problem.sentence,
            detail=problem.advice,
            meant=Meant(text=meant.raw, mm=meant.mm if isinstance(meant, Length) else None)
            if meant
            else None,
        )


class Misfit(BaseModel):
    """A part of a request that is not as described."""

    model_config = ConfigDict(use_attribute_docstrings=True)

    where: list[str | int]
    """Path to it."""
    why: str
    """What is expected."""


class ProblemDetails(BaseModel):
    """What went wrong and what to do."""

    model_config = ConfigDict(
        use_attribute_docstrings=True,
        json_schema_extra={
            "examples": [
                {
                    "type": "about:blank",
                    "title": "This entry is no length.",
                    "status": 422,
                    "detail": 'Type it with the unit, like "92.5 cm" or "36 3/8 in".',
                    "code": "entry-unreadable",
                }
            ]
        },
    )

    type: str = "about:blank"
    """Always about:blank: the status says what kind it is, the code which case."""
    title: str
    """What is wrong, one sentence."""
    status: int
    """The HTTP status."""
    detail: str
    """What to do next."""
    code: str
    """Short name of the case, stable across versions."""
    problems: dict[Literal["front", "side"], list[PhotoProblemDetail]] | None = None
    """What speaks against the photos, by view."""
    entries: list[RefusedEntryDetail] | None = None
    """Each entry of several that cannot be used."""
    line: int | None = None
    """The line of a block's file that is wrong, counted from 1."""
    misfits: list[Misfit] | None = None
    """Parts of the request that are not as described."""


OUR_MISTAKE = ServiceProblem(
    "our-mistake",
    "Something went wrong on our side.",
    "Nothing that was entered is lost. Try again in a moment.",
    500,
)
_OF_HTTP = {
    400: (gettext_noop("Bad Request."), gettext_noop("Check the request.")),
    404: (gettext_noop("There is nothing at this address."), gettext_noop("Check the address.")),
    405: (
        gettext_noop("This cannot be done here."),
        gettext_noop("See the header Allow for what can."),
    ),
}


class _Kept(ProblemDetails):
    """Problem details as a job keeps them."""

    values: dict[str, str | int] = {}
    """What is put into title and detail."""


def details_of(error: EllwandError) -> ProblemDetails:
    """An error as problem details."""
    problems = entries = None
    if isinstance(error, EntriesRefused):
        entries = [RefusedEntryDetail.of(one) for one in error.entries]
    if isinstance(error, PhotosRefused):
        problems = {
            view: [
                PhotoProblemDetail(code=one.code, severity=one.severity, advice=said(one.advice))
                for one in found
            ]
            for view, found in error.problems.items()
        }
    return ProblemDetails(
        title=error.sentence,
        status=error.http_status,
        detail=error.advice,
        code=error.code,
        problems=problems,
        entries=entries,
        line=error.at_line if isinstance(error, BlockProblem) else None,
    )


def details_kept(outcome: JsonValue) -> ProblemDetails:
    """What a job ended with, as problem details in the language spoken.

    Args:
        outcome: problem details in English; its texts may have names in braces, with `values`.
    """
    kept = _Kept.model_validate(outcome)
    values = {
        name: Noun(value) if isinstance(value, str) else value
        for name, value in kept.values.items()
    }
    refused = [
        (view, one.advice)
        for view, found in (kept.problems or {}).items()
        for one in found
        if one.severity == "refused"
    ]
    problems = kept.problems and {
        view: [one.model_copy(update={"advice": said(one.advice)}) for one in found]
        for view, found in kept.problems.items()
    }
    return ProblemDetails(
        title=refusal(refused) if refused else gettext(kept.title, **values),
        status=kept.status,
        detail=gettext(kept.detail, **values),
        code=kept.code,
        problems=problems,
    )


def answer(details: ProblemDetails, headers: dict[str, str] | None = None) -> JSONResponse:
    """Problem details as an answer."""
    return JSONResponse(
        details.model_dump(mode="json", exclude_none=True),
        details.status,
        headers,
        media_type=MEDIA_TYPE,
    )


def answer_to(error: EllwandError) -> JSONResponse:
    """An error as an answer."""
    headers = {}
    if isinstance(error, ServiceProblem):
        if error.retry_after_s is not None:
            headers["Retry-After"] = str(error.retry_after_s)
        if error.http_status == http.HTTPStatus.UNAUTHORIZED:
            headers["WWW-Authenticate"] = 'Bearer realm="ellwand"'
    return answer(details_of(error), headers)


def documented(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """The errors of a route, for its description; what all routes have in common is added there."""
    return {status: _described(status) for status in statuses}


def _described(status: int) -> dict[str, Any]:
    case = CASES[status]
    return {
        "description": case.when,
        "headers": {name: HEADERS[name] for name in case.headers},
        "content": {
            MEDIA_TYPE: {
                "schema": {"$ref": "#/components/schemas/ProblemDetails"},
                "example": {
                    "type": "about:blank",
                    "title": case.title,
                    "status": status,
                    "detail": case.detail,
                    "code": case.code,
                },
            }
        },
    }


def add_handlers(app: FastAPI) -> None:
    """Let every error of an application be answered in one shape."""
    app.add_exception_handler(EllwandError, _of_ours)
    app.add_exception_handler(RequestValidationError, _malformed)
    app.add_exception_handler(HTTPException, _of_http)


def _of_ours(_: Request, error: Exception) -> JSONResponse:
    if not isinstance(error, EllwandError):
        raise error
    return answer_to(error)


def _malformed(_: Request, error: Exception) -> JSONResponse:
    found = error.errors() if isinstance(error, RequestValidationError) else []
    return answer(
        ProblemDetails(
            title=gettext("This request is not as it should be."),
            status=400,
            detail=gettext(
                "See the misfits, and the description of this service at /api/v1/openapi.json."
            ),
            code="malformed",
            misfits=[_misfit(one) for one in found],
        )
    )


def _misfit(found: dict[str, Any]) -> Misfit:
    """Where and why; the library's own message, or a name that is not known, would quote her."""
    where = [*found["loc"]]
    return Misfit(
        where=where[:-1] if found["type"] == "extra_forbidden" else where, why=found["type"]
    )


def _of_http(request: Request, error: Exception) -> JSONResponse:
    if not isinstance(error, HTTPException):
        raise error
    status, headers = http.HTTPStatus(error.status_code), dict(error.headers or {})
    if status == http.HTTPStatus.METHOD_NOT_ALLOWED:
        headers["Allow"] = ", ".join(_methods_at(request))
    title, detail = _OF_HTTP.get(status, (f"{status.phrase}.", _OF_HTTP[400][1]))
    code = status.phrase.lower().replace(" ", "-").replace("'", "")
    return answer(
        ProblemDetails(title=gettext(title), status=status, detail=gettext(detail), code=code),
        headers,
    )


def _methods_at(request: Request) -> list[str]:
    """All that can be done at an address; the framework names those of one route only."""
    return [
        method
        for method in ("DELETE", "GET", "HEAD", "POST", "PUT")
        if any(
            route.matches({**request.scope, "method": method})[0] == Match.FULL
            for route in request.app.routes
        )
    ]
