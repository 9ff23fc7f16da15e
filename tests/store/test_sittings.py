"""Who may enter a sitting, and for how long."""

import pytest

from ellwand.errors import ServiceProblem
from ellwand.store import sittings
from ellwand.store.engine import Store
from ellwand.store.sittings import RETRY_S

from .kept import DAYS, Clock, sitting


def link(store: Store, kept: str) -> str:
    """A new link into a sitting."""
    with store.writing() as session:
        token, ends = sittings.new_link(store, session, kept, 14)
    assert ends == store.now() + 14 * 86_400
    return token


def enter(store: Store, token: str, retry_key: str | None = None) -> str:
    """Open a link; what the browser gets."""
    with store.writing() as session:
        entered, cookie = sittings.enter(store, session, token, retry_key)
    with store.reading() as session:
        assert sittings.sitting_of_cookie(store, session, cookie) == entered
    return cookie


def refused(store: Store, token: str, retry_key: str | None = None) -> str:
    """Code of the problem that a link is refused with."""
    with store.writing() as session, pytest.raises(ServiceProblem) as caught:
        sittings.enter(store, session, token, retry_key)
    return caught.value.code


def who(store: Store, cookie: str) -> str | None:
    """The sitting that a browser is in."""
    with store.reading() as session:
        return sittings.sitting_of_cookie(store, session, cookie)


def test_a_link_opens_once(store: Store) -> None:
    kept = sitting(store)
    token = link(store, kept)
    cookie = enter(store, token)
    assert who(store, cookie) == kept
    assert refused(store, token) == "link-spent"
    assert refused(store, "no link") == "link-unknown"


def test_a_lost_answer_is_given_again_for_a_while(store: Store, clock: Clock) -> None:
    kept = sitting(store)
    token = link(store, kept)
    first = enter(store, token, "key")
    assert refused(store, token, "another key") == "link-spent"
    clock.now += RETRY_S - 1
    second = enter(store, token, "key")
    assert who(store, first) is None
    assert who(store, second) == kept
    clock.now += 2
    assert refused(store, token, "key") == "link-spent"


def test_a_link_ends_with_time_or_with_the_next_one(store: Store, clock: Clock) -> None:
    kept = sitting(store)
    first, second = link(store, kept), link(store, kept)
    assert refused(store, first) == "link-unknown"
    clock.now += 14 * 86_400 + 1
    assert refused(store, second) == "link-unknown"


def test_access_can_be_ended(store: Store) -> None:
    kept = sitting(store)
    cookie = enter(store, link(store, kept))
    token = link(store, kept)
    with store.writing() as session:
        sittings.end_access(session, kept)
    assert who(store, cookie) is None
    assert refused(store, token) == "link-unknown"


def test_every_change_moves_the_erasure_on(store: Store, clock: Clock) -> None:
    kept = sitting(store)
    clock.now += 10 * 86_400
    with sittings.changing(store, kept, DAYS):
        pass
    with store.reading() as session:
        held = sittings.held(store, session, kept)
    assert held.erase_at == clock.now + DAYS * 86_400
    assert (held.workroom, held.consented, held.opened) == ("Loft room", False, False)


def test_consent_is_noted(store: Store) -> None:
    kept = sitting(store)
    with store.writing() as session:
        sittings.note_consent(store, session, kept)
    with store.reading() as session:
        assert sittings.held(store, session, kept).consented
