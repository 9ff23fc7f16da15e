"""Many customers at once: `python -m tests.benchmarks.bench_service [--customers N] [--workers N]`.

`ellwand serve` is started for real. First one customer after the other sends two 12-megapixel
photos and waits: that gives the speed of a single job. Then all customers do so at once. Printed
are how many jobs ended and how, the throughput against workers times single-job speed, the longest
hold-up of the event loop, and the peak memory of all processes together.
"""

import argparse
import io
import json
import os
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import httpx2
import numpy as np
import psutil
from PIL import Image

from ellwand.serving import commands, supervisor
from ellwand.settings import Settings
from ellwand.store.sittings import Terms
from tests.benchmarks import watched_web
from tests.benchmarks.bench_estimate import JPEG_QUALITY, SITTING, enlarge

API = "/api/v1"
SINGLE_JOBS = 8
LONGEST_S = 600.0
# Looking is work for the machine, too.
MEMORY_LOOK_S = 1.0
NOISE = 5.0
PASSWORD = "only for a benchmark"  # noqa: S105
MIB = 1 << 20
# All customers come from one address here.
LIMITS = {
    "ELLWAND_TRIES_A_MINUTE": "1000",
    "ELLWAND_ADDRESS_REQUESTS_A_MINUTE": "100000",
}


@dataclass(frozen=True)
class Ended:
    """How a customer's photos ended.

    Args:
        status: of the job.
        seconds: from the first byte sent to the end of the job.
    """

    status: str
    seconds: float


@dataclass
class Running:
    """A service under test.

    Args:
        settings: where its data is.
        url: where it listens.
        process: of the command.
        hold_up: file of the longest hold-up.
    """

    settings: Settings
    url: str
    process: psutil.Process
    hold_up: Path

    def customer(self) -> httpx2.Client:
        """A customer who has opened her link and agreed."""
        link = commands.invite(self.settings, "bench", Terms(), self.url)
        client = httpx2.Client(base_url=self.url, timeout=LONGEST_S)
        opened = client.post(f"{API}/entrance", json={"token": link.partition("#")[2]})
        # A cookie for https only is not sent back by a program over loopback.
        cookie = opened.headers["set-cookie"].partition(";")[0]
        client.headers["Cookie"] = cookie
        client.post(f"{API}/sitting/consent", json={"adult": True, "photos": True})
        return client

    def memory_mib(self) -> float:
        """Memory of all its processes; what they share counts once."""
        total = 0
        for process in [self.process, *self.process.children(recursive=True)]:
            try:
                total += process.memory_full_info().pss
            except psutil.AccessDenied:
                # The processes let nobody but root look at what they share.
                total += process.memory_info().rss
            except psutil.NoSuchProcess:
                continue
        return total / MIB

    def processor_s(self) -> dict[str, float]:
        """Processor time so far, of each kind of process and of the callers."""
        spent = {"callers": sum(psutil.Process().cpu_times()[:2])}
        for process in self.process.children(recursive=True):
            words = " ".join(process.cmdline())
            kind = "web" if "watched_web" in words else "jobs" if "ellwand.jobs" in words else ""
            kind = kind or ("detectors" if "spawn_main" in words else "other")
            spent[kind] = spent.get(kind, 0.0) + sum(process.cpu_times()[:2])
        return spent


def photos(folder: Path) -> tuple[dict[str, Any], dict[str, str]]:
    """Two photos of 12 megapixels as large as a phone's, and what is typed beside them."""
    enlarge(folder)
    files = {view: _noisy(folder / f"{view}.jpg") for view in ("front", "side")}
    typed = json.loads((SITTING / "truth.json").read_text("utf-8"))["typed"]
    return files, {name: text for name, text in typed.items() if text}


def _noisy(path: Path) -> tuple[str, bytes, str]:
    """A photo with the noise of a small sensor; rendered ones take a fifth of the bytes."""
    with Image.open(path) as clean:
        exif, pixels = clean.getexif(), np.asarray(clean, np.float32)
    noise = np.random.default_rng(1).normal(0, NOISE, pixels.shape).astype(np.float32)
    noisy = Image.fromarray((pixels + noise).clip(0, 255).astype(np.uint8))
    out = io.BytesIO()
    noisy.save(out, "JPEG", quality=JPEG_QUALITY, exif=exif)
    return path.name, out.getvalue(), "image/jpeg"


@contextmanager
def running(workers: int, folder: Path) -> Iterator[Running]:
    """The service, started as its operator does."""
    settings = Settings(data=folder / "data", workers=workers)
    commands.take_in(settings, "bench", PASSWORD, "Bench")
    hold_up = folder / "hold_up"
    hold_up.touch()
    environment = {**os.environ, watched_web.RESULT: str(hold_up), **LIMITS}
    command = [sys.executable, "-m", "tests.benchmarks.bench_service", "--serve", str(workers),
               "--data", str(settings.data)]  # fmt: skip
    with (folder / "log").open("wb") as log, subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=log, env=environment, text=True
    ) as process:  # fmt: skip
        if process.stdout is None:
            raise ValueError("no output to read")
        line = process.stdout.readline()
        if not line:
            raise SystemExit((folder / "log").read_text())
        try:
            url = line.split()[-1]
            yield Running(settings, url, psutil.Process(process.pid), hold_up)
        finally:
            process.terminate()


def send(client: httpx2.Client, files: dict[str, Any], typed: dict[str, str]) -> Ended:
    """Send both photos, come again when told to, and wait for the end of the job."""
    began = time.perf_counter()
    answer = client.post(f"{API}/sitting/photos", files=files, data=typed)
    while answer.status_code == 503:
        time.sleep(float(answer.headers["retry-after"]) / 10)
        answer = client.post(f"{API}/sitting/photos", files=files, data=typed)
    if answer.status_code != 202:
        return Ended(f"{answer.status_code} {answer.json()['code']}", time.perf_counter() - began)
    while True:
        asked = client.get(answer.headers["location"])
        status = asked.json()["status"]
        if status not in ("queued", "running"):
            return Ended(status, time.perf_counter() - began)
        time.sleep(float(asked.headers["retry-after"]))


def jobs(log: Path) -> list[tuple[float, float]]:
    """When each job ended (seconds since 1970) and how long it took, as the process logs them."""
    lines = [line.split() for line in log.read_text().splitlines() if " job estimate " in line]
    return [(_moment(" ".join(words[:2])), float(words[-2])) for words in lines]


def _moment(text: str) -> float:
    return datetime.strptime(text, "%Y-%m-%d %H:%M:%S,%f").astimezone().timestamp()


def bench(customers: int, workers: int) -> None:
    """Run and print."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        files, typed = photos(folder)
        size = sum(len(one[1]) for one in files.values()) / 1e6
        with running(workers, folder) as service:
            clients = [service.customer() for _ in range(customers)]
            # The first jobs load the libraries, one in each detector.
            with ThreadPoolExecutor(workers) as pool:
                list(pool.map(lambda one: send(one, files, typed), clients[:workers]))
            before = len(jobs(folder / "log"))
            for client in clients[:SINGLE_JOBS]:
                send(client, files, typed)
            single = statistics.mean(seconds for _, seconds in jobs(folder / "log")[before:])
            service.hold_up.write_text("")
            done = threading.Event()
            peak = [service.memory_mib()]

            def watch() -> None:
                while not done.wait(MEMORY_LOOK_S):
                    peak.append(service.memory_mib())

            watching = threading.Thread(target=watch)
            watching.start()
            before_s, began = service.processor_s(), time.time()
            with ThreadPoolExecutor(customers) as pool:
                ended = list(pool.map(lambda one: send(one, files, typed), clients))
            # From the first byte sent to the end of the last job.
            took = max(end for end, _ in jobs(folder / "log")) - began
            done.set()
            watching.join()
            held_up = service.hold_up.read_text()
            spent = {kind: s - before_s.get(kind, 0) for kind, s in service.processor_s().items()}
        possible = workers / single
        rows = (
            ("customers at once, workers", f"{customers}, {workers}"),
            ("two photos together", f"{size:.1f} MB"),
            ("jobs by ending", ", ".join(f"{n} {s}" for s, n in Counter(
                one.status for one in ended).items())),
            ("a single job", f"{single:.2f} s"),
            ("all of them", f"{took:.1f} s"),
            ("throughput", f"{customers / took:.2f} jobs/s"),
            ("of workers x single-job speed", f"{customers / took / possible * 100:.0f} %"),
            ("waiting time, median and longest",
             f"{statistics.median(one.seconds for one in ended):.1f} s, "
             f"{max(one.seconds for one in ended):.1f} s"),
            ("processor time", ", ".join(f"{kind} {s:.1f} s" for kind, s in spent.items())),
            ("longest hold-up of the event loop", f"{held_up} ms"),
            ("peak memory before, during", f"{peak[0]:.0f} MiB, {max(peak):.0f} MiB"),
        )  # fmt: skip
        for what, value in rows:
            print(f"{what:36} {value}")


def serve(workers: int, data: Path) -> int:
    """Serve with a watch on the event loop."""
    real = supervisor.tether.start

    def start(module: str, *arguments: Any) -> Any:
        watched = "tests.benchmarks.watched_web"
        return real(watched if module == "ellwand.serving.web" else module, *arguments)

    supervisor.tether.start = start
    return supervisor.serve(Settings(data=data, workers=workers), "127.0.0.1", 0)


def main() -> int:
    """Read the arguments."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--customers", type=int, default=20)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--serve", type=int, help=argparse.SUPPRESS)
    parser.add_argument("--data", type=Path, help=argparse.SUPPRESS)
    arguments = parser.parse_args()
    if arguments.serve is not None:
        return serve(arguments.serve, arguments.data)
    bench(arguments.customers, arguments.workers)
    return 0


if __name__ == "__main__":
    sys.exit(main())
