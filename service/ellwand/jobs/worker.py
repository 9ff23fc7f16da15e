"""The jobs process: threads that do what is announced, and what keeps the table of jobs true."""

import logging
import os
import signal
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from ellwand.errors import ServiceProblem
from ellwand.jobs.detector import Detectors
from ellwand.jobs.mailing import sender
from ellwand.jobs.queue import Queue, queue
from ellwand.jobs.run import Detector, Done, Send, do
from ellwand.settings import Settings
from ellwand.store import jobs
from ellwand.store.engine import Store, open_store
from ellwand.store.erasing import sweep

# Of a lease: a machine that swaps still renews in time (judged).
RENEWED_AFTER = 0.25
# How soon a job is begun again that was put back or whose process was lost (judged).
ANNOUNCE_DUE_S = 2.0
SWEEP_S = 300.0
# Jobs in hand have this time to end when the process is told to; then they are put back (judged).
GRACE_S = 5.0
# Waiting for an announcement takes a second at most.
_WAIT_S = 2.0

log = logging.getLogger(__name__)


class Worker:
    """Does jobs until it is told to stop.

    Args:
        settings: what the operator set.
        store: what is kept; its tables are up to date.
        told: where jobs are announced.
        detector: measures photos.
        send: sends cards.
    """

    def __init__(
        self, settings: Settings, store: Store, told: Queue, detector: Detector, send: Send
    ) -> None:
        self._settings, self._store, self._queue = settings, store, told
        self._detector, self._send = detector, send
        self._lock = threading.Lock()
        self._in_hand: list[str] = []
        self._stop = threading.Event()
        # One more than detectors: a mail that waits for its server does not hold up photos.
        self._threads = told.consumer(self._job, settings.workers + 1)
        self._tending = [
            threading.Thread(target=self._every, args=(seconds, act), daemon=True)
            for seconds, act in (
                (RENEWED_AFTER * store.lease_s, self._renew),
                (ANNOUNCE_DUE_S, self._announce_due),
                (SWEEP_S, self._sweep),
            )
        ]

    def start(self) -> None:
        """Begin."""
        self._threads.start()
        for thread in self._tending:
            thread.start()

    def finish(self, grace_s: float) -> bool:
        """Take no new jobs, and wait for those in hand.

        Args:
            grace_s: for how long.

        Returns:
            Whether none is left.
        """
        self._threads.stop()
        deadline = time.monotonic() + grace_s
        while self._in_hand and time.monotonic() < deadline:
            time.sleep(0.02)
        return not self._in_hand

    def end(self) -> None:
        """Stop tending; leases are not renewed any more."""
        self._threads.join(_WAIT_S)
        self._stop.set()
        for thread in self._tending:
            thread.join()

    def _job(self, job_id: str) -> None:
        with self._holding(job_id):
            try:
                done = do(job_id, self._store, self._settings, self._detector, self._send)
            except Exception as error:  # a thread that ends would take no more jobs
                log.error("a job was left to its lease: %s", type(error).__name__)
                return
        if done is not None:
            log.info("job %s %s %.2f s", done.kind, done.status, done.seconds)
            if _at_once(done):
                self._queue.announce(job_id)

    @contextmanager
    def _holding(self, job_id: str) -> Iterator[None]:
        with self._lock:
            self._in_hand.append(job_id)
        try:
            yield
        finally:
            with self._lock:
                self._in_hand.remove(job_id)

    def _renew(self) -> None:
        with self._lock:
            in_hand = list(self._in_hand)
        jobs.renew(self._store, in_hand)

    def _announce_due(self) -> None:
        for job_id in jobs.due(self._store):
            self._queue.announce(job_id)

    def _sweep(self) -> None:
        sweep(self._store, self._settings.spool_minutes)

    def _every(self, seconds: float, act: Callable[[], None]) -> None:
        while True:
            try:
                act()
            except Exception as error:  # the next time it may be possible
                log.warning("%s: %s", act.__name__.strip("_"), type(error).__name__)
            if self._stop.wait(seconds):
                return


def work(settings: Settings, stop: threading.Event) -> int:
    """Do jobs until told to stop.

    Args:
        settings: what the operator set.
        stop: tells to stop: jobs in hand are ended or put back within seconds.

    Returns:
        0.

    Raises:
        ServiceProblem: the data folder, the key or the queue cannot be used.
    """
    store, told = open_store(settings), queue(settings)
    detectors = Detectors(settings.workers, settings.worker_memory_mb)
    worker = Worker(settings, store, told, detectors, sender(settings))
    worker.start()
    log.info("waiting for jobs, %d at once", settings.workers)
    stop.wait()
    if not worker.finish(GRACE_S):
        # What waits for a detector is told, and puts its job back.
        threading.Thread(target=detectors.close, daemon=True).start()
        worker.finish(GRACE_S)
    else:
        detectors.close()
    worker.end()
    told.close()
    store.engine.dispose()
    log.info("ended")
    return 0


def main() -> int:
    """The process: settings from the environment, SIGTERM and SIGINT end it."""
    from ellwand.jobs.logs import to_stderr
    from ellwand.jobs.tether import settle

    to_stderr()
    stop = threading.Event()
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: stop.set())
    try:
        code = work(settle(), stop)
    except ServiceProblem as problem:
        log.error("%s", problem)
        code = problem.exit_code
    logging.shutdown()
    # Threads of libraries may still wait for something; nothing of it is needed any more.
    os._exit(code)


def _at_once(done: Done) -> bool:
    return done.status == "put-back" and not done.again_after_s
