"""`ellwand serve` as its operator starts it, in processes of its own, with callers at hand."""

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import httpx2
import psutil

from tests.running import DEMO_IMAGES

BASE = "/api/v1"
COMMAND = (sys.executable, "-m", "ellwand.cli")
LOGIN, PASSWORD, NAME = "mara-of-the-loft", "two words and a button", "Loft room"
# All callers of a test come from one address; what is lost is soon noticed.
UNHURRIED = {
    "ELLWAND_LEASE_S": "4",
    "ELLWAND_TRIES_A_MINUTE": "1000",
    "ELLWAND_ADDRESS_REQUESTS_A_MINUTE": "100000",
    "ELLWAND_LINK_REQUESTS_A_MINUTE": "100000",
    "ELLWAND_UPLOADS_AN_HOUR": "1000",
}
# Nothing here takes as long on a machine that does something else beside it.
LONGEST_S = 120.0


@dataclass
class RealService:
    """A service that runs.

    Args:
        data: its folder.
        url: where it listens.
        process: of the command.
        log: what it logged.
        environment: it was started with.
        command: how `ellwand` is called.
    """

    data: Path
    url: str
    process: psutil.Process
    log: Path
    environment: Mapping[str, str]
    command: Sequence[str]
    secrets: list[str] = field(default_factory=list)
    clients: list[httpx2.Client] = field(default_factory=list)

    def visitor(self) -> httpx2.Client:
        """A browser or program that nobody knows yet."""
        self.clients.append(httpx2.Client(base_url=self.url, timeout=LONGEST_S))
        return self.clients[-1]

    def invite(self, *options: str) -> str:
        """The token of a new link."""
        made = subprocess.run(
            [*self.command, "invite", LOGIN, "--data", str(self.data), *options],
            env=dict(self.environment), cwd=self.data.parent, capture_output=True, text=True,
            check=True,
        )  # fmt: skip
        token = made.stdout.strip().partition("#")[2]
        self.secrets.append(token)
        return token

    def customer(self, *options: str) -> httpx2.Client:
        """A customer who has opened her link and agreed."""
        client = self.visitor()
        opened = client.post(f"{BASE}/entrance", json={"token": self.invite(*options)})
        assert opened.status_code == 200, opened.text
        # Browsers send it over loopback; this program would over https only.
        cookie = opened.headers["set-cookie"].partition(";")[0]
        self.secrets.append(cookie.partition("=")[2])
        client.headers["Cookie"] = cookie
        client.post(f"{BASE}/sitting/consent", json={"adult": True, "photos": True})
        return client

    def workroom(self) -> httpx2.Client:
        """The workroom, logged in."""
        client = self.visitor()
        login = {"login": LOGIN, "password": PASSWORD}
        answer = client.post(f"{BASE}/workroom/login", json=login)
        assert answer.status_code == 200, answer.text
        cookie = answer.headers["set-cookie"].partition(";")[0]
        self.secrets.append(cookie.partition("=")[2])
        client.headers["Cookie"] = cookie
        return client

    def processes(self, module: str) -> list[psutil.Process]:
        """Its processes that run a module, or that a command line holds a word of."""
        found = []
        for one in self.process.children(recursive=True):
            try:
                if any(module in word for word in one.cmdline()):
                    found.append(one)
            except psutil.NoSuchProcess:
                continue
        return found


@contextmanager
def serving(
    data: Path, options: Sequence[str] = (), environment: Mapping[str, str] | None = None,
    command: Sequence[str] = COMMAND,
) -> Iterator[RealService]:  # fmt: skip
    """Start the service, and end it.

    Args:
        data: its folder; a workroom is taken in when it is new.
        options: of `ellwand serve`.
        environment: what is set besides.
        command: how `ellwand` is called.
    """
    variables = {**os.environ, **UNHURRIED, **(environment or {})}
    data.parent.mkdir(parents=True, exist_ok=True)
    if not data.exists():
        subprocess.run(
            [*command, "workroom", LOGIN, "--name", NAME, "--data", str(data)], env=variables,
            cwd=data.parent, input=f"{PASSWORD}\n", text=True, check=True, capture_output=True,
        )  # fmt: skip
    log = data.parent / f"{data.name}.log"
    with log.open("ab") as told, subprocess.Popen(
        [*command, "serve", "--data", str(data), "--port", "0", *options],
        env=variables, cwd=data.parent, stdout=subprocess.PIPE, stderr=told, text=True,
    ) as process:  # fmt: skip
        assert process.stdout is not None
        try:
            ready = re.fullmatch(r"ellwand is ready: (\S+)\n", process.stdout.readline())
            assert ready, log.read_text()
            service = RealService(
                data, ready[1], psutil.Process(process.pid), log, variables, command
            )
            try:
                yield service
            finally:
                for client in service.clients:
                    client.close()
        finally:
            process.send_signal(signal.SIGTERM)


def wait_until(true: Callable[[], Any], what: str) -> Any:
    """Wait for something to become true, and give it."""
    deadline = time.monotonic() + LONGEST_S
    while not (found := true()):
        assert time.monotonic() < deadline, f"waited in vain for {what}"
        time.sleep(0.05)
    return found


def demo_pair(sitting: str = "adela") -> dict[str, tuple[str, bytes, str]]:
    """Both photos of an invented woman, as a browser sends them."""
    folder = DEMO_IMAGES / "sittings" / sitting
    return {
        view: (f"{view}-of-me.jpg", (folder / f"{view}.jpg").read_bytes(), "image/jpeg")
        for view in ("front", "side")
    }


def ended(customer: httpx2.Client, location: str) -> dict[str, Any]:
    """A job, once it has ended."""

    def look() -> dict[str, Any] | None:
        job: dict[str, Any] = customer.get(location).json()
        return job if job["status"] not in ("queued", "running") else None

    found: dict[str, Any] = wait_until(look, "the end of a job")
    return found
