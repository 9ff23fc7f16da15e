"""Telling jobs processes that there is something to do.

Only ids go through the queue; what is to be done, and whether, is in the table of jobs. So a lost
or doubled announcement does no harm, and nothing private is ever in the queue.
"""

import logging
import re
import threading
from collections.abc import Callable
from typing import Any
from uuid import UUID

import psycopg
from huey import Huey, PostgresHuey, RedisHuey, SqliteHuey  # type: ignore[import-untyped]
from huey.consumer import Consumer  # type: ignore[import-untyped]
from huey.registry import Message  # type: ignore[import-untyped]
from huey.serializer import Serializer  # type: ignore[import-untyped]

from ellwand.errors import ServiceProblem
from ellwand.settings import Settings

NAME = "ellwand"
# How often an SQLite file is asked for new jobs; the other queues tell by themselves.
POLL_S = 0.05
# Nothing is ever scheduled in the queue itself.
_SCHEDULER_S = 60
# PostgreSQL advisory lock of those who make the queue's tables: any number nobody else takes.
_TABLES_LOCK = 0x656C6D
_TASK = "job"

log = logging.getLogger(__name__)


class Queue:
    """A queue of job ids.

    Args:
        huey: the library's queue.
    """

    def __init__(self, huey: Huey) -> None:
        self._huey = huey
        self._do: Callable[[str], None] = _nothing
        self._closing = threading.Lock()
        # The class of the library's tasks; calling it puts one into the queue.
        self._task = huey.task(name=_TASK)(self._run)
        # Each thread has a connection of its own on which it waits; it ends with the thread.
        huey.on_shutdown(name="connection")(self.close)

    def announce(self, job_id: str) -> None:
        """Tell that there is a job; when the queue is away, it is announced again later.

        Args:
            job_id: of a job that is in the table already.
        """
        try:
            self._task(job_id)
        except Exception as error:  # of three libraries
            log.warning("a job could not be announced: %s", type(error).__name__)

    def waiting(self) -> int:
        """How many announcements wait."""
        return int(self._huey.storage.queue_size())

    def consumer(self, do: Callable[[str], None], threads: int) -> "Threads":
        """Threads that do what is announced.

        Args:
            do: does a job by its id; raises nothing.
            threads: how many.
        """
        self._do = do
        return Threads(self._huey, threads)

    def close(self) -> None:
        """Give connections back; they are opened again when they are needed."""
        # The library's own close fails when two threads come to it at once.
        with self._closing:
            self._huey.storage.close()

    def _run(self, job_id: str) -> None:
        self._do(job_id)


class Threads:
    """Threads that wait for announcements.

    Args:
        huey: the library's queue.
        count: how many.
    """

    def __init__(self, huey: Huey, count: int) -> None:
        self._consumer = _Consumer(
            huey,
            workers=count,
            periodic=False,
            initial_delay=POLL_S,
            max_delay=POLL_S,
            backoff=1,
            scheduler_interval=_SCHEDULER_S,
            check_worker_health=False,
        )

    def start(self) -> None:
        """Begin."""
        self._consumer.start()

    def stop(self) -> None:
        """Take nothing new; what is under way goes on."""
        self._consumer.stop()

    def join(self, wait_s: float) -> None:
        """Wait until they have ended.

        Args:
            wait_s: for how long at most, for each.
        """
        for thread in (
            *(one for _, one in self._consumer.worker_threads),
            self._consumer.scheduler,
        ):
            thread.join(wait_s)


class _Consumer(Consumer):  # type: ignore[misc]
    def _set_signal_handlers(self) -> None:
        """Signals are the business of the process, not of the queue."""


class _Ids(Serializer):  # type: ignore[misc]
    """Writes a job's id, and nothing else; in particular, nothing is unpickled."""

    def _serialize(self, data: Message) -> bytes:
        (job_id,) = data.args
        return str(UUID(job_id)).encode("ascii")

    def _deserialize(self, data: bytes) -> Message:
        job_id = str(UUID(bytes(data).decode("ascii")))
        return Message(job_id, f"{__name__}.{_TASK}", retries=0, args=(job_id,), kwargs={})


def queue(settings: Settings) -> Queue:
    """The queue of the settings; its file or tables are made when they are missing.

    Raises:
        ServiceProblem: the URL is of no kind known here, or the queue cannot be reached.
    """
    options: dict[str, Any] = {"serializer": _Ids(), "results": False}
    url = settings.queue_url
    kind = url.partition("://")[0].partition("+")[0]
    try:
        if not url:
            settings.data.mkdir(mode=0o700, parents=True, exist_ok=True)
            file = settings.data / "queue.db"
            # SQLite gives its other files the rights of the first.
            file.touch(mode=0o600)
            return Queue(SqliteHuey(NAME, filename=str(file), **options))
        if kind in ("redis", "rediss", "unix"):
            return Queue(RedisHuey(NAME, url=url, **options))
        if kind in ("postgresql", "postgres"):
            return Queue(_in_postgresql(re.sub(r"^[^:]*", "postgresql", url), options))
    except Exception as error:  # of three libraries; their texts may hold a password
        raise ServiceProblem(
            "queue-unreachable",
            "The queue of jobs cannot be used ({error}).",
            "See that its server runs and that ELLWAND_QUEUE_URL is right.",
            500,
            error=type(error).__name__,
        ) from None
    raise ServiceProblem(
        "queue-unknown",
        "The queue of jobs is of no kind that is known here.",
        "Take redis:// or postgresql:// as ELLWAND_QUEUE_URL, or leave it empty.",
        500,
    )


def _in_postgresql(url: str, options: dict[str, Any]) -> Huey:
    huey = PostgresHuey(NAME, dsn=url, table_prefix="queue", create_tables=False, **options)
    # "Create if not exists" of two processes at once would fail for one of them.
    with psycopg.connect(url) as connection:
        connection.execute("SELECT pg_advisory_xact_lock(%s)", (_TABLES_LOCK,))
        huey.storage.initialize_schema()
    return huey


def _nothing(_: str) -> None:
    """What is done before anybody says what."""
