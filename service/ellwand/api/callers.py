"""Who asks: a customer by her cookie, a workroom by its cookie or a program's key."""

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Annotated, Any

from fastapi import Depends, Header, Path, Request, Response, Security
from fastapi.security import APIKeyCookie, HTTPAuthorizationCredentials, HTTPBearer
from pydantic import BaseModel
from sqlalchemy.orm import Session

from ellwand.api.desk import AtDesk, Desk
from ellwand.errors import ServiceProblem
from ellwand.settings import Settings
from ellwand.store import answers, sittings, workrooms
from ellwand.store.sealing import Seal
from ellwand.store.sittings import Change, Held
from ellwand.store.workrooms import Workroom

SITTING_COOKIE, WORKROOM_COOKIE = "__Host-sitting", "__Host-workroom"

_sitting_cookie = APIKeyCookie(
    name=SITTING_COOKIE, scheme_name="sitting", auto_error=False,
    description="Set by opening a link, POST /api/v1/entrance.",
)  # fmt: skip
_workroom_cookie = APIKeyCookie(
    name=WORKROOM_COOKIE, scheme_name="workroom", auto_error=False,
    description="Set by logging in, POST /api/v1/workroom/login.",
)  # fmt: skip
_program_key = HTTPBearer(
    scheme_name="program", auto_error=False,
    description="A key made by POST /api/v1/workroom/keys.",
)  # fmt: skip

IdempotencyKey = Annotated[
    str | None,
    Header(
        min_length=1, max_length=64, pattern=r"^[!-~]+$", examples=["6f1c0a52"],
        description="The same key with the same request is done once and answered alike.",
    ),
]  # fmt: skip


def an_id(what: str) -> Any:
    """An id in a path.

    Args:
        what: it is of.
    """
    return Path(
        pattern=r"^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$",
        description=f"Id of the {what}.",
        examples=["0e3c1f6a-7d52-4b8e-9a44-5f2d1c7b8e90"],
    )


SittingId = Annotated[str, an_id("sitting")]


@dataclass(frozen=True)
class Customer:
    """A customer who asks.

    Args:
        desk: the service's things.
        sitting_id: her sitting.
        key: idempotency key of the request, where it takes one.
    """

    desk: Desk
    sitting_id: str
    key: str | None = None

    def held(self) -> Held:
        """Her sitting as it is."""
        with self.desk.store.reading() as session:
            return sittings.held(self.desk.store, session, self.sitting_id)

    def seal(self, session: Session) -> Seal:
        """What opens her sitting's things, where the sitting itself is not needed.

        Raises:
            ServiceProblem: it has been erased since.
        """
        seal = sittings.seal_of(self.desk.store, session, self.sitting_id)
        if seal is None:
            raise sittings.gone()
        return seal

    def request(self, asks: str, sent: BaseModel | None) -> answers.Request | None:
        """The request as it may be sent again; None when it has no idempotency key."""
        return _request(self.key, asks, sent)

    def changes(
        self, asks: str, sent: BaseModel | None, act: Callable[[Change], BaseModel], status: int
    ) -> answers.Answer:
        """Change her sitting once, however often the request is sent.

        Args:
            asks: what is asked for.
            sent: the request's body.
            act: changes the sitting and gives the answer.
            status: of the answer.
        """
        store = self.desk.store
        request = self.request(asks, sent)
        with sittings.changing(store, self.sitting_id, self.desk.settings.keep_days) as change:
            return answers.once(
                store, change.session, change.held.seal, request,
                lambda: _answer(status, act(change)),
            )  # fmt: skip


@dataclass(frozen=True)
class WorkroomCaller:
    """A workroom that asks.

    Args:
        desk: the service's things.
        workroom: which.
        key: idempotency key of the request, where it takes one.
    """

    desk: Desk
    workroom: Workroom
    key: str | None = None

    def check_owns(self, sitting_id: str) -> None:
        """See that a sitting is hers.

        Raises:
            ServiceProblem: it is not there, or another workroom's, which is the same to her.
        """
        with self.desk.store.reading() as session:
            owner = sittings.workroom_of_sitting(self.desk.store, session, sitting_id)
        if owner != self.workroom.id:
            raise ServiceProblem(
                "no-such-sitting-here",
                "The workroom has no such sitting.",
                "Look at the list of sittings; it may have been erased.",
                404,
            )

    def held(self, sitting_id: str) -> Held:
        """One of her sittings.

        Raises:
            ServiceProblem: she has none of this id.
        """
        self.check_owns(sitting_id)
        with self.desk.store.reading() as session:
            return sittings.held(self.desk.store, session, sitting_id)

    def once(
        self, asks: str, sent: BaseModel | None, act: Callable[[Session], BaseModel], status: int
    ) -> answers.Answer:
        """Do something once, however often the request is sent; `act` is given the session."""
        store, request = self.desk.store, _request(self.key, asks, sent)
        with store.writing() as session:
            workrooms.lock(session, self.workroom)
            return answers.once(
                store, session, self.workroom.seal, request,
                lambda: _answer(status, act(session)),
            )  # fmt: skip


def _answer(status: int, body: BaseModel) -> answers.Answer:
    return answers.Answer(status, body.model_dump_json().encode())


def respond(answer: answers.Answer) -> Response:
    """An answer that was kept or is new."""
    return Response(answer.body, answer.status, media_type="application/json")


def job_id_of(answer: answers.Answer) -> str:
    """The job that was taken; of an earlier request when the same one was sent before."""
    job_id: str = json.loads(answer.body)["id"]
    return job_id


def job_accepted(answer: answers.Answer) -> Response:
    """The answer that a job was taken: where to ask, and when."""
    response = respond(answer)
    response.headers["Location"] = f"/api/v1/sitting/jobs/{job_id_of(answer)}"
    response.headers["Retry-After"] = "1"
    return response


def cookie_name(name: str, settings: Settings) -> str:
    """The cookie's name; browsers keep __Host- cookies over https and on loopback only."""
    return name.removeprefix("__Host-") + "-trial" if settings.trial_without_https else name


def set_cookie(
    response: Response, name: str, secret: str, settings: Settings, max_age_s: float
) -> None:
    """Give a browser what opens its sitting or workroom."""
    response.set_cookie(
        cookie_name(name, settings), secret, max_age=int(max_age_s), path="/",
        secure=not settings.trial_without_https, httponly=True, samesite="strict",
    )  # fmt: skip


def farewell(name: str, settings: Settings) -> Response:
    """The answer to the last request of a browser: it forgets its cookie and all that it kept."""
    response = Response(status_code=204)
    response.headers["Clear-Site-Data"] = '"cache", "cookies", "storage"'
    response.delete_cookie(
        cookie_name(name, settings), path="/",
        secure=not settings.trial_without_https, httponly=True, samesite="strict",
    )  # fmt: skip
    return response


def _customer(
    request: Request,
    desk: AtDesk,
    _: Annotated[str | None, Security(_sitting_cookie)],
) -> Customer:
    secret = request.cookies.get(cookie_name(SITTING_COOKIE, desk.settings))
    with desk.store.reading() as session:
        sitting_id = sittings.sitting_of_cookie(desk.store, session, secret) if secret else None
    if sitting_id is None and secret:
        raise ServiceProblem(
            "no-sitting-open",
            "Your sitting is not open in this browser any more.",
            "It was erased, its time is over, or its link was ended or opened anew elsewhere. Ask "
            "your seamstress for a new link if you want to go on.",
            401,
        )
    if sitting_id is None:
        raise ServiceProblem(
            "no-sitting-open",
            "This browser has no sitting open.",
            "Open the link that your seamstress sent you; ask for a new one if it has ended.",
            401,
        )
    desk.limiter.caller(sitting_id)
    return Customer(desk, sitting_id)


def _workroom(
    request: Request,
    desk: AtDesk,
    _: Annotated[str | None, Security(_workroom_cookie)],
    program: Annotated[HTTPAuthorizationCredentials | None, Security(_program_key)],
) -> WorkroomCaller:
    secret = request.cookies.get(cookie_name(WORKROOM_COOKIE, desk.settings))
    with desk.store.reading() as session:
        if program is not None:
            found = workrooms.workroom_of_key(desk.store, session, "program", program.credentials)
        elif secret:
            found = workrooms.workroom_of_key(desk.store, session, "browser", secret)
        else:
            found = None
    if found is None:
        raise ServiceProblem(
            "not-logged-in",
            "The workroom is not logged in.",
            "Log in on the workroom's page, or send a program's key.",
            401,
        )
    desk.limiter.caller(found.id)
    return WorkroomCaller(desk, found)


def _request(key: str | None, asks: str, sent: BaseModel | None) -> answers.Request | None:
    if key is None:
        return None
    return answers.Request(key, json.dumps([asks, sent and sent.model_dump(mode="json")]).encode())


AsCustomer = Annotated[Customer, Depends(_customer)]
AsWorkroom = Annotated[WorkroomCaller, Depends(_workroom)]


async def _customer_once(customer: AsCustomer, idempotency_key: IdempotencyKey = None) -> Customer:
    return replace(customer, key=idempotency_key)


async def _workroom_once(
    caller: AsWorkroom, idempotency_key: IdempotencyKey = None
) -> WorkroomCaller:
    return replace(caller, key=idempotency_key)


# For what is not done twice when it is sent twice.
AsCustomerOnce = Annotated[Customer, Depends(_customer_once)]
AsWorkroomOnce = Annotated[WorkroomCaller, Depends(_workroom_once)]
