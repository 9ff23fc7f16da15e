"""The customer's sitting: entering, reading, keeping, sizing, erasing."""

from contextlib import suppress

from fastapi import APIRouter, Request, Response
from pydantic import RootModel

from ellwand.api.callers import (
    SITTING_COOKIE,
    AsCustomer,
    AsCustomerOnce,
    IdempotencyKey,
    farewell,
    respond,
    set_cookie,
)
from ellwand.api.desk import AtDesk, Desk
from ellwand.api.examples import headers
from ellwand.api.models import (
    CardSent,
    Checks,
    Consent,
    DecisionRequest,
    JobView,
    LanguageChoice,
    LinkToken,
    NewKeep,
    NewReadings,
    Overview,
    Query,
    ReadingsRead,
    TakingChoice,
    UnitChoice,
    queries_of,
)
from ellwand.api.problems import documented
from ellwand.api.size_models import SizeView
from ellwand.api.sizing import BlocksNow, decide_now, garment_decided
from ellwand.api.tape_models import CrookedView, Scatter
from ellwand.api.told import record_told
from ellwand.errors import EllwandError, ServiceProblem
from ellwand.measurements import LEVELS
from ellwand.shown import showing_first
from ellwand.sitting import (
    Measurement,
    Sitting,
    confirmed,
    keep,
    read,
    rejudged,
    with_taking,
    with_unit,
)
from ellwand.sizing import BETTER_TAPED, REQUIRED, Decision, decision_from_json
from ellwand.store import erasing, jobs, sittings, workrooms
from ellwand.store.sittings import DAY_S, Change, Held, Terms
from ellwand.tape import section_of

# As long as browsers keep one at most (RFC 6265bis); the service ends it with the sitting, whose
# day of erasing moves on with every change.
COOKIE_DAYS = 400

router = APIRouter(tags=["sitting"])


@router.post(
    "/entrance",
    summary="Open a link",
    responses={**documented(404, 410), 200: headers("Set-Cookie")},
)
def open_link(
    sent: LinkToken,
    request: Request,
    response: Response,
    desk: AtDesk,
    idempotency_key: IdempotencyKey = None,
) -> Overview:
    """Open a link, once: the browser gets a cookie, and the link is spent."""
    desk.limiter.attempt(request.client.host if request.client else "")
    with desk.store.writing() as session:
        token = sent.token.get_secret_value()
        sitting_id, secret = sittings.enter(desk.store, session, token, idempotency_key)
        held = sittings.held(desk.store, session, sitting_id)
    set_cookie(response, SITTING_COOKIE, secret, desk.settings, COOKIE_DAYS * DAY_S)
    return _overview(held, desk)


@router.get("/sitting", summary="See the sitting", responses=documented(404))
def see(customer: AsCustomer) -> Overview:
    """The sitting with everything in it."""
    return _overview(customer.held(), customer.desk)


@router.delete(
    "/sitting",
    status_code=204,
    summary="Erase the sitting",
    responses={204: headers("Set-Cookie", "Clear-Site-Data")},
)
def erase(customer: AsCustomer) -> Response:
    """Erase the sitting for good, with all that belongs to it; the workroom sees it no more."""
    erasing.erase(customer.desk.store, [customer.sitting_id])
    return farewell(SITTING_COOKIE, customer.desk.settings)


@router.post("/sitting/consent", summary="Consent", responses=documented(404, 409, 422))
def consent(sent: Consent, customer: AsCustomerOnce) -> Overview:
    """State that she is an adult and agrees to her photos being measured."""

    def act(change: Change) -> Consent:
        sittings.note_consent(customer.desk.store, change.session, customer.sitting_id)
        return sent

    customer.changes("consent", sent, act, 200)
    return see(customer)


@router.put("/sitting/unit", summary="Choose the unit", responses=documented(404, 409, 422))
def choose_unit(sent: UnitChoice, customer: AsCustomerOnce) -> Overview:
    """Choose the unit of numbers without one, shown first of both; what is kept is said anew."""

    def act(change: Change) -> UnitChoice:
        # Chosen again, it leaves a decision as old as it is.
        if sent.unit != change.record.unit:
            change.record = with_unit(change.record, sent.unit)
            _say_anew(customer.desk, change)
        return sent

    customer.changes("unit", sent, act, 200)
    return see(customer)


@router.put("/sitting/language", summary="Choose the language", responses=documented(404, 409, 422))
def choose_language(sent: LanguageChoice, customer: AsCustomerOnce) -> Overview:
    """Choose the language; what is in doubt, and why the size is what it is, are said anew."""

    def act(change: Change) -> LanguageChoice:
        change.terms = change.terms.model_copy(update={"language": sent.language})
        _say_anew(customer.desk, change)
        return sent

    customer.changes("language", sent, act, 200)
    return see(customer)


@router.put("/sitting/taking", summary="Say how it is taken", responses=documented(404, 409, 422))
def choose_taking(sent: TakingChoice, customer: AsCustomerOnce) -> Overview:
    """Say who holds the tape and what is worn under it, for tape entries from now on."""

    def act(change: Change) -> Sitting:
        change.record = with_taking(change.record, sent.measured_by, sent.worn)
        return change.record

    customer.changes("taking", sent, act, 200)
    return see(customer)


@router.post(
    "/sitting/readings",
    status_code=201,
    summary="Read tape entries in",
    response_model=ReadingsRead,
    responses=documented(404, 409, 422),
)
def add_readings(sent: NewReadings, customer: AsCustomerOnce) -> Response:
    """Read tape entries in: all of them, or none when one is no length."""

    def act(change: Change) -> ReadingsRead:
        told = with_taking(change.record, sent.measured_by, sent.worn)
        result = read(told, sent.code, sent.entries, sent.instead, customer.desk.today())
        # What is told with readings is of these alone.
        change.record = result.record.model_copy(update={"taking": change.record.taking})
        held = result.record.measurements[sent.code]
        return ReadingsRead(
            echo=result.echo,
            queries=[Query(code=sent.code, **one.model_dump()) for one in held.queries],
            measurement=held,
        )

    return respond(customer.changes("readings", sent, act, 201))


@router.post(
    "/sitting/keeps",
    status_code=201,
    summary="Keep a value",
    response_model=Measurement,
    responses=documented(404, 409, 422),
)
def add_keep(sent: NewKeep, customer: AsCustomerOnce) -> Response:
    """Keep a value that was queried, for a reason."""

    def act(change: Change) -> Measurement:
        change.record = keep(change.record, sent.code, sent.reason)
        return change.record.measurements[sent.code]

    return respond(customer.changes("keeps", sent, act, 201))


@router.get("/sitting/checks", summary="See what is to be done", responses=documented(404))
def see_checks(customer: AsCustomer) -> Checks:
    """What is doubted, and what is still to be done."""
    held = customer.held()
    done = confirmed(held.record)
    with showing_first(held.record.unit):
        repeats = Scatter.of(held.record)
    return Checks(
        queries=queries_of(held),
        needed=needed(held.record, held.terms),
        better_taped=[code for code in BETTER_TAPED if code not in done],
        repeats=repeats,
    )


@router.post(
    "/sitting/decision",
    summary="Decide the size",
    response_model=Decision,
    responses=documented(404, 409, 422),
)
def decide_size(sent: DecisionRequest, customer: AsCustomerOnce) -> Response:
    """Decide the size from confirmed measurements and the workroom's block."""

    def act(change: Change) -> RootModel[Decision]:
        return decide_now(customer.desk, change, sent.garment)

    return respond(customer.changes("decision", sent, act, 200))


@router.get("/sitting/decision", summary="See the decision", responses=documented(404, 409))
def see_decision(customer: AsCustomer) -> Decision:
    """The size decision on the present measurements."""
    decision = customer.held().record.decision
    if decision is None:
        raise ServiceProblem(
            "not-decided",
            "The size is not decided on the present measurements.",
            "Ask for a decision once everything that it needs is confirmed.",
            404,
        )
    return decision_from_json(decision)


def _say_anew(desk: Desk, change: Change) -> None:
    """Say again what is kept in words, as the sitting's customer is spoken to by now."""
    with sittings.addressing(change):
        change.record = rejudged(change.record)
        if change.record.decision is not None:
            garment = garment_decided(change.record)
            # Where it can't be decided any more, what was decided stays as it was said.
            with suppress(EllwandError):
                decide_now(desk, change, garment)


def needed(record: Sitting, terms: Terms) -> list[str]:
    """What is not confirmed yet, of what the size needs and what is asked."""
    done = confirmed(record)
    return [code for code in dict.fromkeys((*REQUIRED, *terms.asked)) if code not in done]


def _overview(held: Held, desk: Desk) -> Overview:
    with desk.store.reading() as session:
        photos = jobs.latest(session, held.seal, "estimate")
        correction = jobs.latest(session, held.seal, "correct")
        sent = jobs.last_sent(session, held.seal)
        owner = workrooms.workroom(desk.store, session, held.workroom_id)
        changed = BlocksNow(desk.store, session, owner).changed_since(held)
    estimates = held.record.estimates()
    with showing_first(held.record.unit):
        return Overview(
            id=held.id,
            workroom=held.workroom,
            garment=held.terms.garment,
            asked=list(held.terms.asked),
            needed=needed(held.record, held.terms),
            language=held.terms.language,
            unit=held.record.unit,
            consent=held.consented,
            outline_on_card=held.outline,
            address=held.terms.address,
            photos=JobView.of(photos) if photos and photos.status != "done" else None,
            correction=JobView.of(correction)
            if correction and correction.status in jobs.UNFINISHED
            else None,
            mails=bool(desk.settings.smtp_host and held.terms.address),
            card_sent=CardSent(at=sent.at, address=sent.address) if sent else None,
            trial=desk.settings.trial_without_https,
            erase_at=held.erase_at,
            queries=queries_of(held),
            crooked={
                code: CrookedView.of(section)
                for code in LEVELS
                if (section := section_of(code, estimates)) is not None
            },
            repeats=Scatter.of(held.record),
            size=SizeView.of(held.record),
            block_changed=changed,
            record=record_told(held.record),
        )
