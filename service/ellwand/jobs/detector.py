"""Detector processes, seen from outside: each measures one pair of photos at a time.

They alone decode photos, and they are not trusted: what comes back from one is read as plain data
of limited size, never as an object of its choice.
"""

import io
import logging
import os
import pickle
import queue
import threading
from collections.abc import Callable
from concurrent.futures import CancelledError
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import context, reduction
from multiprocessing.connection import Connection
from typing import Any, Final, Literal

from pebble import ProcessExpired, ProcessFuture, ProcessPool
from pydantic import ValidationError

from ellwand.jobs.detecting import (
    Answer,
    Checked,
    Failed,
    Found,
    Refused,
    begin,
    correct,
    look,
    look_alone,
)

log = logging.getLogger(__name__)

MEGABYTE = 1 << 20
# Findings of two photos take 60 kB (measured), and each correction less than one.
LARGEST_ANSWER_BYTES = 4 * MEGABYTE
# Starting takes 2 s (measured); a machine that swaps is slower (judged).
START_S = 60.0
# What the process library says to its parent: all else is an attack.
_PLAIN: Final = {
    ("pebble.pool.process", "Acknowledgement"),
    ("pebble.pool.process", "TaskResult"),
    ("pebble.common.types", "Result"),
    ("pebble.common.types", "ResultStatus"),
}
# What is done in a detector process, and what can come of it.
Act = Callable[..., bytes]
Said = Found | Checked | Refused


class DetectorLost(Exception):
    """The detector process died, or what it said makes no sense; another attempt may succeed."""


class DetectorStopped(DetectorLost):
    """The detector was stopped with this process; the job is none the worse for it."""


class TookTooLong(Exception):
    """Measuring took longer than it may."""


class DetectorFailed(Exception):
    """Our own code made a mistake; the text is the type of what it raised."""


class Detectors:
    """Some detector processes, started at once; threads take turns with them.

    Args:
        count: how many.
        memory_mb: address space of each, in megabytes of 10**6 bytes.
    """

    def __init__(self, count: int, memory_mb: int) -> None:
        self._all = [_Detector(memory_mb * 1_000_000) for _ in range(count)]
        self._free: queue.SimpleQueue[_Detector] = queue.SimpleQueue()
        for one in self._all:
            self._free.put(one)

    def estimate(self, front: bytes, side: bytes, setup: str, timeout_s: float) -> Found | Refused:
        """Measure two photos in a detector process.

        Args:
            front: the front photo's file.
            side: the side photo's file.
            setup: how they were taken, JSON of `Setup`.
            timeout_s: how long it may take, without the wait for a free detector.

        Raises:
            DetectorLost: its process died, also because it ran out of memory.
            TookTooLong: it did not end in time.
            DetectorFailed: our own code made a mistake.
        """
        return self._found(look, (front, side, setup), timeout_s)

    def correct(self, findings: str, setup: str, asked: str, timeout_s: float) -> Found | Refused:
        """Work findings out anew in a detector process, which has the libraries for it at hand.

        Args:
            findings: as they are, JSON of `FindingsEntry`.
            setup: how their photos were taken, JSON of `Setup`.
            asked: what is to be put right, JSON of `Asked`.
            timeout_s: how long it may take, without the wait for a free detector.

        Raises:
            DetectorLost, TookTooLong, DetectorFailed: as `estimate`.
        """
        return self._found(correct, (findings, setup, asked), timeout_s)

    def check(
        self, view: Literal["front", "side"], photo: bytes, setup: str, timeout_s: float
    ) -> Checked:
        """Check one photo in a detector process.

        Args:
            view: which photo it is meant to be.
            photo: its file.
            setup: how it was taken, JSON of `Setup`.
            timeout_s: how long it may take, without the wait for a free detector.

        Raises:
            DetectorLost, TookTooLong, DetectorFailed: as `estimate`.
        """
        answer = self._ask(look_alone, (view, photo, setup), timeout_s)
        if not isinstance(answer, Checked):
            raise DetectorLost
        return answer

    def _found(self, act: Act, given: tuple[object, ...], timeout_s: float) -> Found | Refused:
        answer = self._ask(act, given, timeout_s)
        if isinstance(answer, Checked):
            raise DetectorLost
        return answer

    def _ask(self, act: Act, given: tuple[object, ...], timeout_s: float) -> Said:
        detector = self._free.get()
        try:
            return detector.ask(act, given, timeout_s)
        finally:
            self._free.put(detector)

    def close(self) -> None:
        """End all of them; who waits for one is told."""
        threads = [threading.Thread(target=one.close) for one in self._all]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()


class _Detector:
    """One detector process, replaced when it is lost."""

    def __init__(self, memory_bytes: int) -> None:
        self._memory_bytes = memory_bytes
        self._under_way: ProcessFuture[Any] | None = None
        self._closed = False
        self._pool = self._started()

    def ask(self, act: Act, given: tuple[object, ...], timeout_s: float) -> Said:
        try:
            answer = self._answer(act, given, timeout_s)
        except CancelledError:
            raise DetectorStopped from None
        except TimeoutError:
            self._replace_unless_sound()
            raise TookTooLong from None
        except (ProcessExpired, BrokenProcessPool) as end:
            if not self._closed:
                # Its exit code tells a signal (below zero) from what it ended itself for.
                log.warning("a detector was lost (%s)", getattr(end, "exitcode", "not started"))
            self._replace_unless_sound()
            raise (DetectorStopped if self._closed else DetectorLost) from None
        finally:
            self._under_way = None
        if isinstance(answer, Failed):
            raise DetectorFailed(answer.error)
        return answer

    def close(self) -> None:
        self._closed = True
        if self._under_way is not None:
            self._under_way.cancel()  # type: ignore[no-untyped-call]
        self._pool.stop()  # type: ignore[no-untyped-call]
        self._pool.join()

    def _answer(self, act: Act, given: tuple[object, ...], timeout_s: float) -> Said | Failed:
        # A process that died while it had nothing to do is replaced, not held against this job.
        if not self._pool.active:
            self._replace_unless_sound()
        if self._closed:
            raise CancelledError
        future = self._pool.schedule(act, args=given, timeout=timeout_s)
        self._under_way = future
        said = future.result(timeout_s + START_S)
        try:
            return Answer.validate_json(said)
        except ValidationError:
            raise BrokenProcessPool from None

    def _replace_unless_sound(self) -> None:
        if self._closed or (self._pool.active and self._under_way_ended()):
            return
        self._pool.stop()  # type: ignore[no-untyped-call]
        self._pool.join()
        self._pool = self._started()

    def _under_way_ended(self) -> bool:
        return self._under_way is None or self._under_way.done()

    def _started(self) -> ProcessPool:
        pool = ProcessPool(
            max_workers=1,
            initializer=begin,
            initargs=(os.getpid(), self._memory_bytes),
            context=_Spawning(),
        )
        # Asking starts it, so that the first job need not wait.
        if not pool.active:
            raise DetectorLost
        return pool


class _Listening(Connection):
    """The end of a pipe at which a detector is listened to."""

    def recv(self) -> Any:
        # An end of file stays what it is; too much is refused by the library itself.
        said = self.recv_bytes(LARGEST_ANSWER_BYTES)
        try:
            return _Unpickler(io.BytesIO(said)).load()
        except Exception:  # whatever the bytes make the library raise
            raise pickle.PicklingError from None


class _Unpickler(pickle.Unpickler):
    """Makes nothing but the few shells in which an answer comes."""

    def find_class(self, module: str, name: str) -> Any:
        if (module, name) not in _PLAIN:
            raise pickle.UnpicklingError
        return super().find_class(module, name)


class _Spawning(context.SpawnContext):
    """New processes that share no memory with this one, and pipes that are read with care."""

    def Pipe(  # noqa: N802, the library's name
        self, duplex: bool = True
    ) -> tuple[Connection, Connection]:
        reader, writer = super().Pipe(duplex)
        return _Listening(os.dup(reader.fileno()), writable=False), writer


def _reduced(connection: Connection) -> Any:
    return reduction.DupFd(connection.fileno()), connection.readable, connection.writable


def _rebuilt(handle: Any, readable: bool, writable: bool) -> Connection:
    return Connection(handle.detach(), readable, writable)


reduction.register(_Listening, lambda one: (_rebuilt, _reduced(one)))
