"""A journal that can't be written for a while, or to the end, loses nothing and is told once.

SQLite itself refuses here: by a limit of pages (its own 'disk is full'), by another connection's
lock, by a file that may only be read.
"""

import sqlite3
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from coach.files.library import load_library
from coach.journal import Journal, SessionId
from coach.model.facts import BoulderNamed, Fact
from coach.model.person import Person
from coach.model.start import Options
from coach.runtime import keeper as keeping
from coach.runtime import spare
from coach.runtime.keeper import JournalKeeper
from coach.session.events import JOURNAL, DeviceLost, DeviceReturned, Event, Started, TimePassed
from tests.beginning import entry

BEGAN = datetime(2026, 3, 3, 18, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of our own for spare copies, and no patience at the end."""
    folder = tmp_path / "elsewhere"
    folder.mkdir()
    monkeypatch.setattr(spare, "folder", lambda: folder)
    monkeypatch.setattr(keeping, "LAST_TRIES", 0.0)
    monkeypatch.setattr(keeping, "RETRY", 0.01)
    return folder


@pytest.fixture
def journal(tmp_path: Path) -> Iterator[Journal]:
    with Journal.open(tmp_path / "journal.db", write=True) as opened:
        yield opened


def begun(journal: Journal) -> SessionId:
    return journal.begin(entry(load_library("full"), Options((Person(1),), 90.0), BEGAN))


def given(n: int) -> tuple[Event, tuple[Fact, ...], datetime]:
    """The nth event of a session, with a fact that is long enough to need pages."""
    event: Event = Started(0.0) if n == 0 else TimePassed(float(n))
    fact = BoulderNamed(float(n), 1, "slate " * 200)
    return event, (fact,), BEGAN + timedelta(seconds=n)


def full(journal: Journal) -> None:
    """Let SQLite find the disk full."""
    (pages,) = journal.db.execute("PRAGMA page_count").fetchone()
    journal.db.execute(f"PRAGMA max_page_count = {pages}")


def free(journal: Journal) -> None:
    journal.db.execute("PRAGMA max_page_count = 1000000")


def kept(journal: Journal, session: SessionId) -> list[tuple[Event, tuple[Fact, ...]]]:
    return [(one.event, one.facts) for one in journal.recorded(session)]


def commit_until_refused(keeper: JournalKeeper, n: int) -> int:
    while not keeper.held:
        keeper.commit(*given(n))
        n += 1
    return n


def test_a_full_disk_is_told_once_and_costs_nothing(journal: Journal, elsewhere: Path) -> None:
    session, told = begun(journal), list[Event]()
    keeper = JournalKeeper(journal, session, told.append)
    keeper.commit(*given(0))
    full(journal)
    n = commit_until_refused(keeper, 1)
    for _ in range(5):
        keeper.commit(*given(n))
        n += 1
    assert [type(event) for event in told] == [DeviceLost]
    assert isinstance(told[0], DeviceLost)
    assert told[0].device == JOURNAL
    assert len(kept(journal, session)) < n, "what is not saved is not called saved"
    assert len(list(elsewhere.glob("*.db"))) == 1

    free(journal)
    time.sleep(0.1)
    keeper.commit(*given(n))
    assert [type(event) for event in told] == [DeviceLost, DeviceReturned]
    assert kept(journal, session) == [given(k)[:2] for k in range(n + 1)]
    assert list(elsewhere.iterdir()) == [], "the copy is not needed any more"
    assert keeper.finish("done")
    assert keeper.refused


def test_what_could_never_be_saved_is_taken_back_by_the_next_session(
    journal: Journal, elsewhere: Path
) -> None:
    session = begun(journal)
    keeper = JournalKeeper(journal, session)
    full(journal)
    n = commit_until_refused(keeper, 0)
    keeper.commit(*given(n))
    assert not keeper.finish("done")
    assert keeper.held
    assert keeper.spare is not None
    assert keeper.spare.path.stat().st_mode & 0o077 == 0

    free(journal)
    assert spare.take_back(journal) == [keeper.spare.path]
    (row,) = journal.sessions()
    assert row.how == "done"
    assert kept(journal, row.id) == [given(k)[:2] for k in range(n + 1)]
    assert list(elsewhere.iterdir()) == []


def test_a_crash_while_the_disk_is_full_loses_nothing_either(journal: Journal) -> None:
    keeper = JournalKeeper(journal, begun(journal))
    full(journal)
    n = commit_until_refused(keeper, 0)
    copy = keeper.spare
    assert copy is not None
    copy.close(None)  # as the system does for a process that is gone
    free(journal)

    spare.take_back(journal)
    (row,) = journal.sessions()
    assert row.how is None
    assert kept(journal, row.id) == [given(k)[:2] for k in range(n)]


def test_where_no_copy_can_be_made_the_memory_holds_it(
    journal: Journal, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(spare, "folder", lambda: tmp_path / "no" / "such" / "folder")
    monkeypatch.setattr(Path, "mkdir", lambda *_, **__: None)
    session = begun(journal)
    keeper = JournalKeeper(journal, session)
    full(journal)
    n = commit_until_refused(keeper, 0)
    assert keeper.spare is None
    free(journal)
    time.sleep(0.1)
    keeper.commit(*given(n))
    assert kept(journal, session) == [given(k)[:2] for k in range(n + 1)]


def test_another_programs_lock_holds_nothing_up(journal: Journal) -> None:
    session, told = begun(journal), list[Event]()
    keeper = JournalKeeper(journal, session, told.append)
    keeper.commit(*given(0))
    with sqlite3.connect(journal.path, isolation_level=None) as other:
        other.execute("BEGIN IMMEDIATE")
        from_ = time.monotonic()
        keeper.commit(*given(1))
        waited = time.monotonic() - from_
        other.execute("ROLLBACK")
    assert keeping.PATIENCE <= waited < keeping.PATIENCE + 1.0
    time.sleep(0.1)
    keeper.commit(*given(2))
    assert [type(event) for event in told] == [DeviceLost, DeviceReturned]
    assert len(kept(journal, session)) == 3


def test_a_disk_that_may_only_be_read(journal: Journal) -> None:
    session = begun(journal)
    keeper = JournalKeeper(journal, session)
    keeper.commit(*given(0))
    journal.db.execute("PRAGMA query_only = ON")
    keeper.commit(*given(1))
    assert keeper.held == 1
    assert not keeper.leave()
    journal.db.execute("PRAGMA query_only = OFF")
    assert keeper.leave()
    assert len(kept(journal, session)) == 2


def test_copies_of_another_journal_and_of_strangers_stay_where_they_are(
    journal: Journal, elsewhere: Path, tmp_path: Path
) -> None:
    with Journal.open(tmp_path / "other.db", write=True) as other:
        keeper = JournalKeeper(other, begun(other))
        full(other)
        commit_until_refused(keeper, 0)
        assert keeper.spare is not None
        keeper.spare.close(None)
    (elsewhere / f"{spare._prefix(journal)}x.db").symlink_to(keeper.spare.path)
    assert spare.take_back(journal) == []
    assert journal.sessions() == []
