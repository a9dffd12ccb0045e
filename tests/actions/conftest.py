"""What the tests of the actions share."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from stationflow.storage import Store, open_store


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """Return a new, empty store."""
    opened = open_store(f"sqlite:///{tmp_path}/store.db")
    yield opened
    opened.close()
