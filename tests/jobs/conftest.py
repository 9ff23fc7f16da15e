"""What jobs are tried with: a store, demo photos, and detectors that start once."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from ellwand.jobs.detector import Detectors
from ellwand.settings import Settings

from ..store.conftest import clock, store

__all__ = ["clock", "store"]

MEMORY_MB = 4_000


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """Settings of a data folder of its own."""
    return Settings(data=tmp_path / "data")


@pytest.fixture(scope="session")
def detectors() -> Iterator[Detectors]:
    """One detector process."""
    made = Detectors(1, MEMORY_MB)
    yield made
    made.close()
