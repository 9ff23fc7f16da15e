"""How often one address, customer or workroom may ask."""

import ipaddress
import math
import time

from limits import RateLimitItem, RateLimitItemPerHour, RateLimitItemPerMinute
from limits.storage import storage_from_string
from limits.strategies import MovingWindowRateLimiter

from ellwand.errors import ServiceProblem
from ellwand.settings import Settings

# What one household or provider gives to one customer (RFC 6177: a /64 at least).
IPV6_PREFIX = 64


class Limiter:
    """Counts in memory, or in the Redis of the queue where several processes serve.

    Args:
        settings: how often is how much.
    """

    def __init__(self, settings: Settings) -> None:
        url = settings.queue_url if settings.queue_url.startswith("redis") else "memory://"
        self._counting = MovingWindowRateLimiter(storage_from_string(url))
        self._address = RateLimitItemPerMinute(settings.address_requests_a_minute)
        self._caller = RateLimitItemPerMinute(settings.link_requests_a_minute)
        self._tries = RateLimitItemPerMinute(settings.tries_a_minute)
        self._uploads = RateLimitItemPerHour(settings.uploads_an_hour)

    def address(self, address: str) -> None:
        """Count a request of an address.

        Raises:
            ServiceProblem: too many; 429.
        """
        self._count(self._address, "address", _network(address))

    def caller(self, owner: str) -> None:
        """Count a request of a customer or workroom.

        Raises:
            ServiceProblem: too many; 429.
        """
        self._count(self._caller, "caller", owner)

    def attempt(self, address: str) -> None:
        """Count a try to open a link or to log in.

        Raises:
            ServiceProblem: too many; 429.
        """
        self._count(self._tries, "try", _network(address))

    def upload(self, owner: str) -> None:
        """Count an upload of a customer.

        Raises:
            ServiceProblem: too many; 429.
        """
        self._count(self._uploads, "upload", owner)

    def _count(self, limit: RateLimitItem, what: str, who: str) -> None:
        if self._counting.hit(limit, what, who):
            return
        reset = self._counting.get_window_stats(limit, what, who).reset_time
        wait = max(1, math.ceil(reset - time.time()))
        raise ServiceProblem(
            "too-many-requests",
            "This was asked for too often in a short time.",
            "Wait a second, then try again; nothing is lost."
            if wait == 1
            else "Wait {seconds} seconds, then try again; nothing is lost.",
            429,
            retry_after_s=wait,
            seconds=wait,
        )


def _network(address: str) -> str:
    """An address as it is counted: one IPv4 address, or one IPv6 network."""
    try:
        parsed = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return "unknown"
    if parsed.version == 6:
        return str(ipaddress.ip_network((parsed, IPV6_PREFIX), strict=False))
    return str(parsed)
