"""Steps are applied in order, each with its record or not at all."""

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from coach.errors import JournalError
from coach.journal import Journal, migrations
from coach.journal.schema import STEPS

TWO = {"a": "CREATE TABLE a (x TEXT) STRICT;", "b": "CREATE TABLE b (x TEXT) STRICT;"}


@pytest.fixture
def db() -> Iterator[sqlite3.Connection]:
    """An empty database."""
    opened = sqlite3.connect(":memory:", isolation_level=None)
    yield opened
    opened.close()


def test_steps_are_applied_once_and_in_order(db: sqlite3.Connection) -> None:
    migrations.migrate(db, {"a": TWO["a"]})
    assert migrations.applied(db) == ("a",)
    assert migrations.missing(db, TWO) == ("b",)
    migrations.migrate(db, TWO)
    migrations.migrate(db, TWO)
    assert migrations.applied(db) == ("a", "b")


def test_a_step_that_fails_leaves_nothing(db: sqlite3.Connection) -> None:
    broken = TWO | {"b": "CREATE TABLE b (x TEXT) STRICT; CREATE TABLE a (x TEXT) STRICT;"}
    with pytest.raises(sqlite3.OperationalError):
        migrations.migrate(db, broken)
    db.execute("ROLLBACK")
    assert migrations.applied(db) == ("a",)
    assert migrations.missing(db, TWO) == ("b",)
    migrations.migrate(db, TWO)
    assert migrations.applied(db) == ("a", "b")


def test_an_unknown_step_is_a_newer_journal(db: sqlite3.Connection) -> None:
    migrations.migrate(db, TWO)
    with pytest.raises(JournalError, match="'b'"):
        migrations.missing(db, {"a": ""})


def test_a_reader_brings_an_older_journal_up_to_date(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    Journal.open(path, write=True).close()
    monkeypatch.setitem(STEPS, "9000-next", "CREATE TABLE next (x TEXT) STRICT;")
    with Journal.open(path, write=False) as journal:
        assert journal.rows("SELECT count(*) FROM next") == [(0,)]
    Journal.open(path, write=True).close()
