"""Sittings from invitation to erasure: who may enter, what is kept, and changing it safely."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from uuid import uuid4

from pydantic import BaseModel, ConfigDict, Field
from sqlalchemy import select
from sqlalchemy.orm import Session

from ellwand.errors import ServiceProblem
from ellwand.language import Language, speaking
from ellwand.measurements import KINDS
from ellwand.shown import showing_first
from ellwand.sitting import Sitting, SittingUnit, dump, parse
from ellwand.store.engine import Store
from ellwand.store.sealing import Seal, new_token, token_hash
from ellwand.store.tables import SittingRow, WorkroomRow

DAY_S = 86_400.0
# A customer whose phone lost the answer to her opening the link may open it again (judged).
RETRY_S = 600.0
# Wording of the consent that is recorded; a change of its meaning is a new one.
CONSENT = "2026-11"


class Terms(BaseModel):
    """What the workroom asks of a customer."""

    model_config = ConfigDict(frozen=True, use_attribute_docstrings=True)

    label: str = Field(default="", max_length=80)
    """By which the workroom knows this customer; shown to the workroom only."""
    block: str | None = Field(default=None, max_length=80)
    """Name of the workroom's block; null takes the demo block."""
    garment: str | None = Field(default=None, max_length=80)
    """One of the block's garments; null takes its first."""
    asked: tuple[str, ...] = Field(
        default=("stature", "high_bust", "full_bust", "waist", "full_hip"),
        max_length=len(KINDS),
        json_schema_extra={"items": {"type": "string", "enum": list(KINDS)}},
    )
    """Codes of the measurements to be taped."""
    address: str = Field(default="", max_length=254)
    """E-mail address that the card goes to."""
    language: Language = "en"
    """Language of the customer's page, of what is said of her numbers, and of the card."""
    unit: SittingUnit = "cm"
    """Unit of bare numbers."""


@dataclass(frozen=True)
class Held:
    """A sitting as it is kept, opened.

    Args:
        id: its id.
        workroom_id: whose it is.
        workroom: name of the workroom.
        terms: what is asked.
        record: what there is.
        consented: whether consent and age were stated.
        outline: whether she wants her outline on the card, and the workroom to see it.
        opened: whether its link was opened.
        link_open: whether its link can still be opened.
        created_at: when it was invited, seconds since 1970.
        erase_at: when it will be erased.
        seal: opens what belongs to it.
    """

    id: str
    workroom_id: str
    workroom: str
    terms: Terms
    record: Sitting
    consented: bool
    outline: bool
    opened: bool
    link_open: bool
    created_at: float
    erase_at: float
    seal: Seal


class Change:
    """A sitting under change: what `record` and `terms` hold at the end is kept.

    Args:
        session: the transaction.
        held: the sitting as it was.
    """

    def __init__(self, session: Session, held: Held) -> None:
        self.session = session
        self.held = held
        self.record = held.record
        self.terms = held.terms


def invite(store: Store, session: Session, workroom_id: str, terms: Terms, days: float) -> str:
    """Begin a sitting.

    Args:
        store: where.
        session: a writing one.
        workroom_id: whose it is.
        terms: what is asked.
        days: how long it is kept without a change.

    Returns:
        Its id.
    """
    sitting_id, now = str(uuid4()), store.now()
    seal, wrapped = store.key.new(sitting_id)
    session.add(
        SittingRow(
            id=sitting_id,
            workroom_id=workroom_id,
            wrapped_key=wrapped,
            terms=_closed(seal, terms),
            record=seal.close(dump(Sitting(unit=terms.unit)), "record"),
            created_at=now,
            erase_at=now + days * DAY_S,
        )
    )
    return sitting_id


def new_link(store: Store, session: Session, sitting_id: str, days: float) -> tuple[str, float]:
    """Give a sitting a new link; the one before ends, the customer's browser stays in.

    Returns:
        The token, shown this once, and when it ends.
    """
    row = _locked(session, sitting_id, store.now())
    token = new_token()
    row.link_hash, row.link_expires_at = token_hash(token), store.now() + days * DAY_S
    row.link_spent_at = row.link_spent_with = None
    return token, row.link_expires_at


def end_access(session: Session, sitting_id: str) -> None:
    """End a sitting's link and the customer's browser."""
    row = _locked(session, sitting_id, None)
    row.link_hash = row.link_expires_at = row.cookie_hash = None
    row.link_spent_at = row.link_spent_with = None


def enter(store: Store, session: Session, token: str, retry_key: str | None) -> tuple[str, str]:
    """Open a link, once.

    Args:
        store: where.
        session: a writing one.
        token: of the link.
        retry_key: idempotency key of the request; with the same one, a lost answer is given again.

    Returns:
        Id of the sitting, and the secret for the cookie. A browser that was in before is out.

    Raises:
        ServiceProblem: there is no such link, or it has ended or was opened before.
    """
    row = session.scalar(
        select(SittingRow).where(SittingRow.link_hash == token_hash(token)).with_for_update()
    )
    now, spent_with = store.now(), token_hash(retry_key) if retry_key else None
    if (
        row is None
        or row.erase_at < now
        or row.link_expires_at is None
        or row.link_expires_at < now
    ):
        raise ServiceProblem(
            "link-unknown",
            "This link does not open a sitting, or not any more.",
            "Check that it is whole, or ask your seamstress for a new one.",
            404,
        )
    if row.link_spent_at is not None and not (
        spent_with and spent_with == row.link_spent_with and now < row.link_spent_at + RETRY_S
    ):
        raise ServiceProblem(
            "link-spent",
            "This link has been opened already.",
            "Go on in the browser that it was opened in; that may be the window of a mail app. "
            "Or ask your seamstress for a new link: what you have saved is still there.",
            410,
        )
    cookie = new_token()
    row.cookie_hash = token_hash(cookie)
    row.link_spent_at, row.link_spent_with = row.link_spent_at or now, spent_with
    return row.id, cookie


def sitting_of_cookie(store: Store, session: Session, cookie: str) -> str | None:
    """Id of the sitting that a cookie opens."""
    ours = SittingRow.cookie_hash == token_hash(cookie)
    return session.scalar(select(SittingRow.id).where(ours, SittingRow.erase_at >= store.now()))


def workroom_of_sitting(store: Store, session: Session, sitting_id: str) -> str | None:
    """Id of the workroom that a sitting belongs to."""
    ours = SittingRow.id == sitting_id
    return session.scalar(
        select(SittingRow.workroom_id).where(ours, SittingRow.erase_at >= store.now())
    )


def sittings_of(store: Store, session: Session, workroom_id: str) -> list[Held]:
    """All sittings of a workroom whose time is not over, the newest first."""
    rows = session.scalars(
        select(SittingRow)
        .where(SittingRow.workroom_id == workroom_id, SittingRow.erase_at >= store.now())
        .order_by(SittingRow.created_at.desc(), SittingRow.id)
    )
    return [_opened(store, session, row) for row in rows]


def held(store: Store, session: Session, sitting_id: str) -> Held:
    """A sitting, opened.

    Raises:
        ServiceProblem: it is not there (any more).
    """
    row = session.get(SittingRow, sitting_id)
    if row is None or row.erase_at < store.now():
        raise gone()
    return _opened(store, session, row)


def seal_of(store: Store, session: Session, sitting_id: str) -> Seal | None:
    """What opens a sitting's things; None when it is erased."""
    wrapped = session.scalar(select(SittingRow.wrapped_key).where(SittingRow.id == sitting_id))
    return None if wrapped is None else store.key.seal(wrapped, sitting_id)


@contextmanager
def addressing(sitting: Held | Change) -> Iterator[None]:
    """Say all inside as its customer reads it: in her language, and her unit first."""
    with speaking(sitting.terms.language), showing_first(sitting.record.unit):
        yield


@contextmanager
def changing(store: Store, sitting_id: str, days: float) -> Iterator[Change]:
    """Change a sitting while nobody else does; nothing is kept when the body raises.

    What is said meanwhile is said as its customer is spoken to, because it is kept with it.

    Args:
        store: where.
        sitting_id: which.
        days: how long it is kept from now on.

    Raises:
        ServiceProblem: it is not there (any more).
    """
    with store.writing() as session:
        row = _locked(session, sitting_id, store.now())
        change = Change(session, _opened(store, session, row))
        with addressing(change):
            yield change
        if change.terms != change.held.terms:
            row.terms = _closed(change.held.seal, change.terms)
        if change.record is not change.held.record:
            row.record = change.held.seal.close(dump(change.record), "record")
        row.erase_at = store.now() + days * DAY_S


def _closed(seal: Seal, terms: Terms) -> bytes:
    return seal.close(terms.model_dump_json().encode(), "terms")


def note_consent(store: Store, session: Session, sitting_id: str) -> None:
    """Note that she is an adult and agrees to her photos being measured."""
    row = _locked(session, sitting_id, store.now())
    row.consent_at, row.consent_to = store.now(), CONSENT


def note_outline(store: Store, session: Session, sitting_id: str, wanted: bool) -> None:
    """Note whether she wants her outline on the card; off, nothing of it is remembered."""
    row = _locked(session, sitting_id, store.now())
    row.outline_at = store.now() if wanted else None


def _locked(session: Session, sitting_id: str, now: float | None) -> SittingRow:
    row = session.get(SittingRow, sitting_id, with_for_update=True)
    # When its time is over it is gone, even if nobody has swept yet: else a change could still be
    # accepted that is about to be erased.
    if row is None or (now is not None and row.erase_at < now):
        raise gone()
    return row


def _opened(store: Store, session: Session, row: SittingRow) -> Held:
    seal = store.key.seal(row.wrapped_key, row.id)
    workroom = session.get_one(WorkroomRow, row.workroom_id)
    name = store.key.seal(workroom.wrapped_key, workroom.id).open(workroom.name, "name")
    ends = row.link_expires_at
    return Held(
        id=row.id,
        workroom_id=row.workroom_id,
        workroom=name.decode(),
        terms=Terms.model_validate_json(seal.open(row.terms, "terms")),
        record=parse(seal.open(row.record, "record")),
        consented=row.consent_at is not None,
        outline=row.outline_at is not None,
        opened=row.cookie_hash is not None,
        link_open=ends is not None and ends >= store.now() and row.link_spent_at is None,
        created_at=row.created_at,
        erase_at=row.erase_at,
        seal=seal,
    )


def check_address(held: Held, shown: str) -> None:
    """See that a card goes where its customer was told that it goes.

    Args:
        held: the sitting as it is now.
        shown: the address that she was shown before she agreed.

    Raises:
        ServiceProblem: the workroom's address is another one by now; 409.
    """
    if shown != held.terms.address:
        raise ServiceProblem(
            "address-changed",
            "The workroom's address is not the one that you were shown; nothing was sent.",
            "Look at the address once more, and send the card again if it is right.",
            409,
        )


def gone() -> ServiceProblem:
    """That a sitting is not there, or not any more."""
    return ServiceProblem(
        "no-such-sitting",
        "There is no such sitting, or it has been erased.",
        "Ask your seamstress for a new link if you want to begin again.",
        404,
    )
