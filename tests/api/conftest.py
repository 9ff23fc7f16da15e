"""A service in a folder of its own."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.service import Service, begin


@pytest.fixture
def service(tmp_path: Path) -> Iterator[Service]:
    """A service with an empty database."""
    made = begin(tmp_path / "data")
    yield made
    made.close()
