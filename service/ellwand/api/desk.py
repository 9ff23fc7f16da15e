"""What every request handler works with."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import Annotated

from fastapi import Depends, Request

from ellwand.api.limiting import Limiter
from ellwand.settings import Settings
from ellwand.store.engine import Store

LOOPBACK_HOSTS = ("localhost", "127.0.0.1", "::1")


@dataclass
class Count:
    """How many of something there are at this moment; only the event loop changes it."""

    value: int = 0


@dataclass(frozen=True)
class Desk:
    """The service's own things.

    Args:
        settings: what the operator set.
        store: what is kept.
        announce: tells the queue of a job, by its id.
        limiter: counts requests.
        uploads: how many are being taken in.
    """

    settings: Settings
    store: Store
    announce: Callable[[str], None]
    limiter: Limiter
    uploads: Count = field(default_factory=Count)

    def today(self) -> date:
        """The day, by the store's clock (UTC)."""
        return datetime.fromtimestamp(self.store.now(), tz=UTC).date()


async def _desk(request: Request) -> Desk:
    found: Desk = request.app.state.desk
    return found


AtDesk = Annotated[Desk, Depends(_desk)]


def is_private(request: Request) -> bool:
    """Whether what is sent cannot be read on its way: https, or this very machine."""
    near = request.client is not None and request.client.host in LOOPBACK_HOSTS
    return request.url.scheme == "https" or (near and request.url.hostname in LOOPBACK_HOSTS)


def own_origin(request: Request) -> str:
    """Scheme, host and port as the browser sees them."""
    return f"{request.url.scheme}://{request.url.netloc}"


def base_url(request: Request, settings: Settings) -> str:
    """What links begin with."""
    return settings.public_url.rstrip("/") or own_origin(request)
