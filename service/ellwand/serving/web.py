"""`python -m ellwand.serving.web`: the web process, on a socket that the supervisor listens on."""

import asyncio
import gc
import logging
import os
import socket
import sys

import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from ellwand.api.app import create_app
from ellwand.errors import ServiceProblem
from ellwand.jobs.logs import to_stderr
from ellwand.jobs.tether import settle
from ellwand.quantity import units
from ellwand.settings import Settings

# A phone on a slow network sends its request line and headers within this time (judged).
HEADERS_S = 20.0
# Between two requests of one connection.
IDLE_S = 15
# Answers under way have this time when the process is told to end.
GRACE_S = 10
READY = b"1"
LONGEST_HEADERS_BYTES = 16_384

log = logging.getLogger(__name__)


class Protocol(H11Protocol):
    """HTTP/1.1 for clients of whom some never say what they want: those are hung up on."""

    _waits: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for the first request."""
        super().connection_made(transport)
        self._waits = self.loop.call_later(HEADERS_S, self._hang_up)

    def connection_lost(self, exc: Exception | None) -> None:
        """Stop waiting."""
        if self._waits is not None:
            self._waits.cancel()
        super().connection_lost(exc)

    def _hang_up(self) -> None:
        # Once there is a request, the application and the wait between requests see to the rest.
        if self.cycle is None and not self.transport.is_closing():
            self.transport.close()


class Server(uvicorn.Server):
    """Says through a pipe that it answers from now on.

    Args:
        config: how it serves.
        ready: the pipe's end to write to.
    """

    def __init__(self, config: uvicorn.Config, ready: int) -> None:
        super().__init__(config)
        self._ready = ready

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Start, then say so."""
        await super().startup(sockets)
        if self.started:
            os.write(self._ready, READY)


def config(settings: Settings) -> uvicorn.Config:
    """How the web process serves.

    Args:
        settings: what the operator set.
    """
    return uvicorn.Config(
        create_app(settings),
        http=Protocol,
        ws="none",
        # A path may hold the id of a sitting, an address is nobody's business.
        access_log=False,
        log_config=None,
        server_header=False,
        proxy_headers=True,
        forwarded_allow_ips=settings.trusted_proxies,
        timeout_keep_alive=IDLE_S,
        timeout_graceful_shutdown=GRACE_S,
        h11_max_incomplete_event_size=LONGEST_HEADERS_BYTES,
    )


def main(arguments: list[str]) -> int:
    """Serve until told to end.

    Args:
        arguments: numbers of the open socket and of a pipe to say that it is ready.
    """
    to_stderr()
    listener, ready = (int(one) for one in arguments)
    try:
        server = Server(config(settle()), ready)
    except ServiceProblem as problem:
        log.error("%s", problem)
        return problem.exit_code
    # Made on first use; the first customer would wait for it, and the event loop, too.
    units()
    # What is there now stays: looking through all of it for garbage again and again would hold the
    # event loop up for 0.1 s each time (measured).
    gc.collect()
    gc.freeze()
    server.run(sockets=[socket.socket(fileno=listener)])
    return 0


if __name__ == "__main__":
    code = main(sys.argv[1:])
    logging.shutdown()
    # Threads that still answer would hold up the end; their time is over.
    os._exit(code)
