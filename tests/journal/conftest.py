"""A real journal in a real folder for every test."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from coach.journal import Journal


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where a journal goes; nothing is there yet, not even the folder."""
    return tmp_path / "data" / "journal.db"


@pytest.fixture
def journal(path: Path) -> Iterator[Journal]:
    """A new journal, open for writing."""
    with Journal.open(path, write=True) as opened:
        yield opened
