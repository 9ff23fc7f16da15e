"""`ellwand serve`: one command that starts what is needed, and starts again what dies."""

import contextlib
import logging
import os
import select
import signal
import socket
import subprocess
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from ellwand.errors import ServiceProblem
from ellwand.jobs import tether
from ellwand.jobs.logs import to_stderr
from ellwand.jobs.queue import queue
from ellwand.settings import Settings
from ellwand.store.engine import open_store
from ellwand.store.workrooms import check_key

LOOK_S = 0.1
# Who lived as long as this did not die of how it was started (judged).
SOUND_S = 10.0
FIRST_WAIT_S, LONGEST_WAIT_S = 0.5, 30.0
# Starting takes some seconds; a machine that swaps is slower (judged).
READY_S = 90.0
# Deaths at once before it first answers, after which nobody starts it again.
MOST_FALSE_STARTS = 3
_BACKLOG = 512

log = logging.getLogger(__name__)


@dataclass
class Child:
    """A process that is started again when it dies.

    Args:
        name: for the log.
        begin: starts it.
    """

    name: str
    begin: Callable[[], subprocess.Popen[bytes]]
    process: subprocess.Popen[bytes] | None = None
    deaths: int = 0
    _began: float = 0.0
    _again_at: float = 0.0

    def tend(self) -> None:
        """Start it when it does not run and it is time to."""
        now = time.monotonic()
        if self.process is not None and self.process.poll() is not None:
            self.deaths = 1 if now - self._began > SOUND_S else self.deaths + 1
            wait = min(FIRST_WAIT_S * 2 ** (self.deaths - 1), LONGEST_WAIT_S)
            log.warning("%s ended (%d), again in %.1f s", self.name, self.process.returncode, wait)
            self._close()
            self._again_at = now + wait
        if self.process is None and now >= self._again_at:
            self.process, self._began = self.begin(), now

    def end(self) -> None:
        """Ask it to end."""
        if self.process is not None:
            self.process.terminate()

    def wait(self, deadline: float) -> None:
        """Wait for its end; after the deadline it is ended."""
        if self.process is None:
            return
        try:
            self.process.wait(max(deadline - time.monotonic(), 0))
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        self._close()

    def _close(self) -> None:
        if self.process is not None and self.process.stdin is not None:
            self.process.stdin.close()
        self.process = None


def serve(settings: Settings, host: str, port: int) -> int:
    """Serve, and do jobs, until told to end by SIGTERM or SIGINT.

    Args:
        settings: what the operator set.
        host: address to listen on.
        port: port to listen on; 0 takes a free one.

    Returns:
        0.

    Raises:
        ServiceProblem: folder, key, database, queue or port cannot be used, or the web process
            does not come up.
    """
    to_stderr()
    _prepare(settings)
    with _listening(host, port) as listener, _pipe() as (said, ready), _told_to_end() as stop:
        variables, handles = tether.environment(settings), [listener.fileno(), ready]
        arguments = [str(handle) for handle in handles]
        web = Child(
            "web process",
            lambda: tether.start("ellwand.serving.web", arguments, variables, handles),
        )
        children = [web, *_jobs(settings)]
        with _children(children):
            if _came_up(web, children, said, stop):
                print(f"ellwand is ready: {_url(listener)}", flush=True)  # noqa: T201
                _tend(children, stop)
    return 0


def work(settings: Settings) -> int:
    """Do jobs only, on a machine that shares database, queue and spool with others.

    Args:
        settings: what the operator set.

    Returns:
        0.

    Raises:
        ServiceProblem: folder, key, database or queue cannot be used, or no job may be done.
    """
    to_stderr()
    if not settings.workers:
        raise ServiceProblem(
            "no-workers",
            "No jobs are to be done here.",
            "Set ELLWAND_WORKERS to the number of cores.",
            500,
        )
    _prepare(settings)
    with _told_to_end() as stop:
        children = _jobs(settings)
        with _children(children):
            print("ellwand does jobs", flush=True)  # noqa: T201
            _tend(children, stop)
    return 0


def _prepare(settings: Settings) -> None:
    """See that everything can be used, before anything is started."""
    store = open_store(settings)
    store.migrate()
    with store.reading() as session:
        check_key(store, session)
    store.engine.dispose()
    queue(settings).close()


def _jobs(settings: Settings) -> list[Child]:
    if not settings.workers:
        return []
    variables = tether.environment(settings)
    return [Child("jobs process", lambda: tether.start("ellwand.jobs", [], variables))]


@contextlib.contextmanager
def _listening(host: str, port: int) -> Iterator[socket.socket]:
    """A socket that outlives the web processes: no connection is refused while one starts."""
    try:
        place = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        listener = socket.socket(place[0], place[1])
    except OSError:
        raise _not_listening() from None
    with listener:
        # A port in its last minute of waiting can be taken again (SO_REUSEADDR of POSIX).
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind(place[4])
            listener.listen(_BACKLOG)
        except (OSError, OverflowError):
            raise _not_listening() from None
        yield listener


def _not_listening() -> ServiceProblem:
    return ServiceProblem(
        "port-unusable",
        "The address and port cannot be listened on.",
        "Another program may use them: end it, or name others with --host and --port.",
        500,
    )


@contextlib.contextmanager
def _pipe() -> Iterator[tuple[int, int]]:
    """A pipe's ends to read from and to write to."""
    ends = os.pipe()
    try:
        yield ends
    finally:
        for end in ends:
            os.close(end)


@contextlib.contextmanager
def _told_to_end() -> Iterator[threading.Event]:
    """An event that SIGTERM and SIGINT set."""
    stop = threading.Event()
    before = {
        number: signal.signal(number, lambda *_: stop.set())
        for number in (signal.SIGTERM, signal.SIGINT)
    }
    try:
        yield stop
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


@contextlib.contextmanager
def _children(children: Sequence[Child]) -> Iterator[None]:
    """Processes that end with this block, whatever ends it."""
    try:
        yield
    finally:
        for child in children:
            child.end()
        deadline = time.monotonic() + tether.GRACE_S
        for child in children:
            child.wait(deadline)


def _came_up(web: Child, children: Sequence[Child], said: int, stop: threading.Event) -> bool:
    """Start all, and wait until the web process says so; False when told to end before."""
    deadline = time.monotonic() + READY_S
    while not stop.wait(LOOK_S):
        for child in children:
            child.tend()
        if select.select([said], [], [], 0)[0]:
            return True
        if web.deaths >= MOST_FALSE_STARTS or time.monotonic() > deadline:
            raise ServiceProblem(
                "web-not-started",
                "The web process does not come up.",
                "Look at what it logged above this line.",
                500,
            )
    return False


def _tend(children: Sequence[Child], stop: threading.Event) -> None:
    while not stop.wait(LOOK_S):
        for child in children:
            child.tend()


def _url(listener: socket.socket) -> str:
    host, port = listener.getsockname()[:2]
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"
