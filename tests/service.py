"""A service for tests: the real application on a database of its own, with callers at hand."""

import shutil
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

from argon2 import PasswordHasher
from fastapi.testclient import TestClient

from ellwand.api.app import create_app
from ellwand.settings import Settings
from ellwand.store import workrooms
from ellwand.store.engine import Store, open_store

BASE = "/api/v1"
ORIGIN = "https://localhost"
PASSWORD = "two words and a button"  # noqa: S105
# What the package itself hashes passwords with; slow on purpose, and tried in test_asvs.py. All
# other tests log in with one that takes no time.
SHIPPED_HASHER = workrooms._HASHER
workrooms._HASHER = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
workrooms._NOBODY = workrooms._HASHER.hash("nobody's")
# Typed by an invented customer; nothing speaks against it.
READINGS = {
    "stature": ["168"],
    "high_bust": ["88", "88.5"],
    "full_bust": ["94", "94.2"],
    "waist": ["74", "74.3"],
    "full_hip": ["99", "99.4"],
}


@dataclass
class Clock:
    """A time that tests move on."""

    now: float = 1_800_000_000.0

    def __call__(self) -> float:
        """The time, seconds since 1970."""
        return self.now


@cache
def _migrated() -> Path:
    """An empty database with its tables, to be copied."""
    folder = Path(mkdtemp(prefix="ellwand-template-"))
    store = open_store(Settings(data=folder))
    store.migrate()
    store.engine.dispose()
    return folder


@dataclass
class Service:
    """A running application.

    Args:
        data: its folder.
        settings: what the operator set.
        store: what is kept.
        clock: its time.
        announced: ids of jobs, as the queue was told.
        app: the application.
    """

    settings: Settings
    store: Store
    clock: Clock
    announced: list[str]
    app: Any
    clients: list[TestClient] = field(default_factory=list)

    def client(self, **options: Any) -> TestClient:
        """A browser or program that nobody knows yet."""
        made = TestClient(self.app, base_url=ORIGIN, client=("127.0.0.1", 50000), **options)
        self.clients.append(made)
        return made

    def workroom(self, login: str = "mara", name: str = "Loft room") -> TestClient:
        """A workroom, logged in."""
        with self.store.writing() as session:
            workrooms.add_workroom(self.store, session, login, PASSWORD, name)
        client = self.client()
        answer = client.post(f"{BASE}/workroom/login", json={"login": login, "password": PASSWORD})
        assert answer.status_code == 200, answer.text
        return client

    def customer(self, workroom: TestClient, consent: bool = True, **terms: Any) -> TestClient:
        """A customer of a workroom who has opened her link."""
        invited = workroom.post(f"{BASE}/workroom/invitations", json=terms)
        assert invited.status_code == 201, invited.text
        client = self.client()
        token = invited.json()["link"].partition("#")[2]
        opened = client.post(f"{BASE}/entrance", json={"token": token})
        assert opened.status_code == 200, opened.text
        if consent:
            client.post(f"{BASE}/sitting/consent", json={"adult": True, "photos": True})
        return client

    def close(self) -> None:
        """Let go of the database."""
        self.store.engine.dispose()


def begin(data: Path, announce: Callable[[str], None] | None = None, **settings: Any) -> Service:
    """Begin a service in an empty folder.

    Args:
        data: the folder.
        announce: what is done with a new job; None only notes its id.
        settings: what differs from the defaults.
    """
    shutil.copytree(_migrated(), data, dirs_exist_ok=True)
    easy = {"tries_a_minute": 100_000, "link_requests_a_minute": 100_000,
            "address_requests_a_minute": 100_000, "uploads_an_hour": 100_000}  # fmt: skip
    made = Settings(data=data, **{**easy, **settings})
    clock, announced = Clock(), list[str]()
    store = open_store(made, clock)
    app = create_app(made, store, announce or announced.append)
    return Service(made, store, clock, announced, app)


def read_all(customer: TestClient, readings: dict[str, list[str]] | None = None) -> None:
    """Read in everything that the size needs."""
    for code, entries in (readings or READINGS).items():
        answer = customer.post(f"{BASE}/sitting/readings", json={"code": code, "entries": entries})
        assert answer.status_code == 201, answer.text
