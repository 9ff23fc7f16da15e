"""The card: as PDF, as JSON, as a draft of a mail, and sent by mail."""

from dataclasses import replace
from typing import Any

from fastapi import APIRouter, Response
from pydantic import JsonValue

from ellwand.api.accepting import accept
from ellwand.api.callers import (
    AsCustomer,
    AsCustomerOnce,
    AsWorkroom,
    SittingId,
)
from ellwand.api.customer import see
from ellwand.api.examples import headers
from ellwand.api.models import JobView, MailTo, OutlineChoice, Overview
from ellwand.api.problems import documented
from ellwand.card import (
    CardContent,
    Linked,
    as_eml,
    card_forms,
    card_json,
    card_message,
    card_page,
    card_pdf,
    content_of,
    file_name,
)
from ellwand.errors import ServiceProblem
from ellwand.store import jobs, sittings
from ellwand.store.sittings import Change, Held, addressing

router = APIRouter(tags=["card"])

PDF, JSON, MAIL = "application/pdf", "application/json", "message/rfc822"
HTML, LINKED = "text/html", Linked("/page/card.css", "/page/icon.svg")
# No script at all, because words of hers are in it.
POLICY = (
    "default-src 'none'; style-src 'self'; img-src 'self'; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'"
)


def _answers(media_type: str, *statuses: int) -> dict[int | str, dict[str, Any]]:
    """What a route that gives a card answers; a page is shown, and all else becomes a file."""
    named = {} if media_type == HTML else headers("Content-Disposition")
    schema = {"type": "object"} if media_type == JSON else {"type": "string", "format": "binary"}
    return {
        **documented(404, 409, *statuses),
        200: {
            "description": "The card.",
            "content": {media_type: {"schema": schema}},
            **named,
        },
    }


@router.get(
    "/sitting/card.html",
    summary="The card as a page",
    response_class=Response,
    responses=_answers(HTML),
)
def as_page(customer: AsCustomer) -> Response:
    """To read in a browser, on a screen of any size, or to hear."""
    return _page(customer.held())


@router.get(
    "/sitting/card.pdf",
    summary="The card as PDF",
    response_class=Response,
    responses=_answers(PDF),
)
def as_pdf(customer: AsCustomer) -> Response:
    """To print, fold and read."""
    return _pdf(customer.held())


@router.get(
    "/sitting/card.json",
    summary="The card as JSON",
    response_class=Response,
    responses=_answers(JSON),
)
def as_json(customer: AsCustomer) -> Response:
    """The same for programs."""
    return _json(customer.held())


@router.get(
    "/sitting/card.eml",
    summary="The card as a draft of a mail",
    response_class=Response,
    responses=_answers(MAIL),
)
def as_draft(customer: AsCustomer) -> Response:
    """A draft with both, to be opened in a mail program and sent from there."""
    return _draft(customer.held())


@router.put(
    "/sitting/card/outline",
    summary="Put the outline on the card, or take it off",
    responses=documented(404, 409, 422),
)
def choose_outline(sent: OutlineChoice, customer: AsCustomerOnce) -> Overview:
    """Agree that her outline is on the card and shown to the workroom, or take that back."""

    def act(change: Change) -> OutlineChoice:
        if sent.on_card and _content(replace(change.held, outline=True)).drawing is None:
            raise ServiceProblem(
                "no-outline",
                "There is no outline that could be drawn on the card.",
                "Send both photos first; they give it. The card is complete without it.",
                409,
            )
        store, session = customer.desk.store, change.session
        sittings.note_outline(store, session, customer.sitting_id, sent.on_card)
        return sent

    customer.changes("outline", sent, act, 200)
    return see(customer)


@router.post(
    "/sitting/card/mail",
    status_code=202,
    summary="Send the card by mail",
    response_model=JobView,
    responses={**documented(404, 409, 422, 503), 202: headers("Location", "Retry-After")},
)
def send(sent: MailTo, customer: AsCustomerOnce) -> Response:
    """Send the card to the address that the workroom gave, if it is the one that she was shown."""

    def task(change: Change) -> JsonValue:
        address = _address(change.held)
        sittings.check_address(change.held, sent.address)
        if not customer.desk.settings.smtp_host:
            raise ServiceProblem(
                "no-mail-here",
                "No mail can be sent from here.",
                "Download the card or the draft, and send it from your own mail program.",
                409,
            )
        # The worker looks once more, because the job may wait for hours.
        return {"address": address}

    return accept(customer, jobs.new_job_id(), "mail", "mail", sent, task)[0]


@router.get(
    "/workroom/sittings/{sitting_id}/card.html",
    summary="A sitting's card as a page",
    response_class=Response,
    responses=_answers(HTML),
)
def workrooms_page(sitting_id: SittingId, caller: AsWorkroom) -> Response:
    """To read in a browser, on a screen of any size, or to hear."""
    return _page(caller.held(sitting_id))


@router.get(
    "/workroom/sittings/{sitting_id}/card.pdf",
    summary="A sitting's card as PDF",
    response_class=Response,
    responses=_answers(PDF),
)
def workrooms_pdf(sitting_id: SittingId, caller: AsWorkroom) -> Response:
    """To print, fold and read."""
    return _pdf(caller.held(sitting_id))


@router.get(
    "/workroom/sittings/{sitting_id}/card.json",
    summary="A sitting's card as JSON",
    response_class=Response,
    responses=_answers(JSON),
)
def workrooms_json(sitting_id: SittingId, caller: AsWorkroom) -> Response:
    """The same for programs."""
    return _json(caller.held(sitting_id))


@router.get(
    "/workroom/sittings/{sitting_id}/card.eml",
    summary="A sitting's card as a draft of a mail",
    response_class=Response,
    responses=_answers(MAIL),
)
def workrooms_draft(sitting_id: SittingId, caller: AsWorkroom) -> Response:
    """A draft with both, to be opened in a mail program and sent from there."""
    return _draft(caller.held(sitting_id))


# A card speaks the language of its sitting, and shows its unit first: a plain link brings no other
# from the page that it stands on, and the workroom's browser has its own.


def _content(held: Held) -> CardContent:
    return content_of(held.record, held.outline, held.workroom)


def _page(held: Held) -> Response:
    with addressing(held):
        page = card_page(_content(held), LINKED)
    return Response(page, media_type=HTML, headers={"Content-Security-Policy": POLICY})


def _pdf(held: Held) -> Response:
    with addressing(held):
        return _file(card_pdf(_content(held)), PDF, "pdf")


def _json(held: Held) -> Response:
    # Its content is of no language.
    with addressing(held):
        return _file(card_json(_content(held)), JSON, "json")


def _draft(held: Held) -> Response:
    with addressing(held):
        message = card_message(card_forms(_content(held)), _address(held))
        return _file(as_eml(message), MAIL, "eml")


def _address(held: Held) -> str:
    if not held.terms.address:
        raise ServiceProblem(
            "no-address",
            "The workroom gave no address for cards with this invitation.",
            "Download the card and hand it on as agreed.",
            409,
        )
    return held.terms.address


def _file(content: bytes, media_type: str, ending: str) -> Response:
    # A fixed name: nothing of the sitting is in it (RFC 6266).
    disposition = f'attachment; filename="{file_name(ending)}"'
    return Response(content, media_type=media_type, headers={"Content-Disposition": disposition})
