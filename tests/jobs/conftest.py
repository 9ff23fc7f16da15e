"""What jobs are tried with: a store, demo photos, and detectors that start once."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from ellwand.jobs.detector import Detectors
from ellwand.settings import Settings
from ellwand.store.engine import Store, open_store

from ..store.kept import Clock

MEMORY_MB = 4_000


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """Settings of a data folder of its own."""
    return Settings(data=tmp_path / "data")


@pytest.fixture
def clock() -> Clock:
    """The store's time."""
    return Clock()


@pytest.fixture
def store(settings: Settings, clock: Clock) -> Iterator[Store]:
    """An empty store on SQLite."""
    made = open_store(settings, clock)
    made.migrate()
    yield made
    made.engine.dispose()


@pytest.fixture(scope="session")
def detectors() -> Iterator[Detectors]:
    """One detector process."""
    made = Detectors(1, MEMORY_MB)
    yield made
    made.close()
