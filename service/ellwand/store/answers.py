"""Answers given before, so that a request that is sent twice is done once.

Source: the HTTP header field Idempotency-Key (IETF draft, HTTPAPI working group).
"""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass

from sqlalchemy import delete
from sqlalchemy.orm import Session

from ellwand.errors import ServiceProblem
from ellwand.store.engine import Store
from ellwand.store.sealing import Seal
from ellwand.store.tables import AnswerRow

# A phone that was away for a day does not repeat requests any more (judged).
KEPT_S = 86_400.0


@dataclass(frozen=True)
class Answer:
    """What was answered.

    Args:
        status: of the answer.
        body: its JSON.
    """

    status: int
    body: bytes


@dataclass(frozen=True)
class Request:
    """A request that may be sent again.

    Args:
        key: its idempotency key.
        asks: what it asks for; the same key may not ask for something else.
    """

    key: str
    asks: bytes

    @property
    def key_hash(self) -> bytes:
        """What is kept of the key."""
        return hashlib.sha256(self.key.encode()).digest()

    @property
    def asks_hash(self) -> bytes:
        """What is kept of the rest."""
        return hashlib.sha256(self.asks).digest()


def once(
    store: Store,
    session: Session,
    seal: Seal,
    request: Request | None,
    make: Callable[[], Answer],
) -> Answer:
    """Answer a request once: what was answered before is answered again, and nothing is done.

    Args:
        store: where.
        session: a writing one that holds the owner's row, so that two at once are one after the
            other.
        seal: of the sitting or workroom that asks.
        request: as it may be sent again; None when it has no idempotency key.
        make: does what is asked.

    Raises:
        ServiceProblem: the key was used for another request.
    """
    before = answered(session, seal, request) if request else None
    if before is not None:
        return before
    answer = make()
    if request:
        note_answer(store, session, seal, request, answer)
    return answer


def answered(session: Session, seal: Seal, request: Request) -> Answer | None:
    """The answer given before to the same request.

    Args:
        session: of any kind.
        seal: of the sitting or workroom that asks.
        request: what it asks.

    Raises:
        ServiceProblem: the key was used for another request.
    """
    row = session.get(AnswerRow, (seal.owner, request.key_hash))
    if row is None:
        return None
    if row.request_hash != request.asks_hash:
        raise ServiceProblem(
            "key-used-otherwise",
            "This idempotency key was used for another request.",
            "Take a new key for every new request.",
            422,
        )
    return Answer(row.status, seal.open(row.body, "answer"))


def note_answer(
    store: Store, session: Session, seal: Seal, request: Request, answer: Answer
) -> None:
    """Keep an answer, in the transaction that it tells of."""
    session.add(
        AnswerRow(
            owner_id=seal.owner,
            key_hash=request.key_hash,
            request_hash=request.asks_hash,
            status=answer.status,
            body=seal.close(answer.body, "answer"),
            created_at=store.now(),
        )
    )


def forget_old_answers(store: Store, session: Session) -> None:
    """Drop answers that nobody asks for again."""
    session.execute(delete(AnswerRow).where(AnswerRow.created_at < store.now() - KEPT_S))
