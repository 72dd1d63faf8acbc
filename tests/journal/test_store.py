"""Begin, commit, read back: on a real file."""

import sqlite3
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coach.errors import JournalError
from coach.journal import Journal
from coach.journal.store import SessionId
from coach.model.facts import Fact, Felt, Finished, Rested
from coach.model.start import Start
from coach.session.events import Event, SoundEnded, Started, TimePassed
from tests.journal.made import any_event, any_fact, of, start

WALL = datetime(2026, 3, 3, 18, 0, 5, 123456, tzinfo=timezone(timedelta(hours=1)))


def test_folder_and_file_are_made(path: Path) -> None:
    Journal.open(path, write=True).close()
    assert path.exists()


def test_settings_of_the_file(journal: Journal) -> None:
    def pragma(name: str) -> object:
        return journal.db.execute(f"PRAGMA {name}").fetchone()[0]

    assert pragma("journal_mode") == "wal"
    assert pragma("synchronous") == 2  # FULL
    assert pragma("foreign_keys") == 1
    tables = journal.db.execute("SELECT name, strict FROM pragma_table_list WHERE schema='main'")
    assert all(strict for name, strict in tables if not name.startswith("sqlite_"))


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=40)
@given(
    began=of(Start),
    steps=st.lists(st.tuples(any_event, st.lists(any_fact, max_size=3)), max_size=6),
)
def test_what_is_committed_is_read_back_by_another_process_too(
    journal: Journal, began: Start, steps: list[tuple[Event, list[Fact]]]
) -> None:
    began = replace(began, wall=WALL.isoformat(), minutes=90)
    session = journal.begin(began)
    numbers = [journal.commit(session, event, facts, WALL) for event, facts in steps]
    assert numbers == list(range(1, len(steps) + 1))
    with Journal.open(journal.path, write=False) as reader:
        assert reader.start_of(session) == began
        assert list(reader.events(session)) == [event for event, _ in steps]
        assert list(reader.facts(session)) == [fact for _, facts in steps for fact in facts]
        recorded = list(reader.recorded(session))
    assert [(one.seq, one.wall) for one in recorded] == [(n, WALL.isoformat()) for n in numbers]
    assert [(one.event, list(one.facts)) for one in recorded] == steps


def test_facts_can_be_read_by_class(journal: Journal) -> None:
    session = journal.begin(start())
    rest, end = Rested(9.0, 0, 60.0, 90.0, "hard.2.rest"), Finished(9.0, 0, 9.0, 5, "done")
    journal.commit(session, TimePassed(9.0), [rest, end], WALL)
    assert list(journal.facts(session, Finished)) == [end]
    assert list(journal.facts(session, Felt)) == []


def test_equal_libraries_are_kept_once(journal: Journal) -> None:
    journal.begin(start())
    journal.begin(start("2026-03-05T18:00:00+01:00"))
    journal.begin(start("2026-03-07T18:00:00+01:00", place="Kiln Yard"))
    assert journal.db.execute("SELECT count(*) FROM library").fetchone() == (2,)


def test_event_and_facts_are_one(journal: Journal) -> None:
    session = journal.begin(start())
    bad = Rested(float("nan"), 0, 1.0, 1.0, "hard.2.rest")
    with pytest.raises(JournalError, match="can't be written"):
        journal.commit(session, TimePassed(1.0), [replace(bad, at=1.0), bad], WALL)
    assert list(journal.recorded(session)) == []
    assert journal.commit(session, TimePassed(1.0), [], WALL) == 1


def test_a_closed_session_takes_no_more(journal: Journal) -> None:
    session = journal.begin(start())
    journal.commit(session, Started(0.0), [], WALL)
    journal.close_session(session, "done")
    with pytest.raises(JournalError, match="the session is closed"):
        journal.commit(session, TimePassed(1.0), [], WALL)
    assert list(journal.events(session)) == [Started(0.0)]


def test_unfinished_is_the_latest_not_closed(journal: Journal) -> None:
    assert journal.unfinished() is None
    first = journal.begin(start())
    found = journal.unfinished()
    assert found is not None
    assert (found.id, found.wall, found.at) == (first, start().wall, 0.0)
    journal.commit(first, Started(0.0), [], WALL)
    journal.commit(first, SoundEnded(7.5, 1), [], WALL + timedelta(seconds=7))
    found = journal.unfinished()
    assert found is not None
    assert (found.id, found.at) == (first, 7.5)
    assert datetime.fromisoformat(found.wall) == WALL + timedelta(seconds=7)
    journal.close_session(first, "closed")
    assert journal.unfinished() is None


def test_a_session_goes_on_in_another_process(path: Path) -> None:
    with Journal.open(path, write=True) as journal:
        session = journal.begin(start())
        journal.commit(session, Started(0.0), [], WALL)
    with Journal.open(path, write=True) as journal:
        assert journal.commit(session, TimePassed(1.0), [], WALL) == 2


def test_sessions_are_listed_by_the_instant_they_began(journal: Journal) -> None:
    # 01:30 in winter time comes an hour after 02:15 in summer time, the same night.
    journal.begin(start("2026-10-25T02:15:00+01:00", place="winter"))
    journal.begin(start("2026-10-25T02:45:00+02:00", place="summer"))
    assert [row.place for row in journal.sessions()] == ["summer", "winter"]


def test_last_session_at_a_place(journal: Journal) -> None:
    assert journal.last_session() is None
    journal.begin(start(place="Kiln Yard"))
    journal.begin(start("2026-03-05T18:00:00+01:00"))
    last = journal.last_session()
    assert last is not None
    assert last.place == "Old Sluice"
    there = journal.last_session("Kiln Yard")
    assert there is not None
    assert there.place == "Kiln Yard"
    assert journal.last_session("Nowhere") is None


def test_a_start_without_zone_is_refused(journal: Journal) -> None:
    with pytest.raises(JournalError, match="no offset"):
        journal.begin(start("2026-03-05T18:00:00"))
    assert journal.sessions() == []


def test_unknown_session_is_named(journal: Journal) -> None:
    with pytest.raises(JournalError, match="no session 7"):
        journal.start_of(SessionId(7))
    with pytest.raises(JournalError, match="FOREIGN KEY"):
        journal.commit(SessionId(7), Started(0.0), [], WALL)


def test_reading_leaves_the_file_alone(path: Path) -> None:
    with Journal.open(path, write=True) as journal:
        journal.commit(journal.begin(start()), Started(0.0), [], datetime.now(UTC))
    before = path.read_bytes()
    with Journal.open(path, write=False) as reader:
        reader.sessions()
        with pytest.raises(JournalError, match="readonly"):
            reader.begin(start())
    assert path.read_bytes() == before
    assert sqlite3.connect(path).execute("PRAGMA integrity_check").fetchone() == ("ok",)
