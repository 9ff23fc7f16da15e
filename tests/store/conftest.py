"""A store of either kind, with a clock that tests move on."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from ellwand.settings import Settings
from ellwand.store.engine import Store, open_store

from ..servers import postgresql
from .kept import Clock


@pytest.fixture(params=["sqlite", "postgresql"])
def settings(request: pytest.FixtureRequest, tmp_path: Path) -> Settings:
    """Settings of a data folder and a database of either kind."""
    url = postgresql() if request.param == "postgresql" else ""
    return Settings(data=tmp_path / "data", database_url=url)


@pytest.fixture
def clock() -> Clock:
    """The store's time."""
    return Clock()


@pytest.fixture
def store(settings: Settings, clock: Clock) -> Iterator[Store]:
    """An empty store."""
    made = open_store(settings, clock)
    made.migrate()
    yield made
    made.engine.dispose()
