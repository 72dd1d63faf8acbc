"""Copies while a session runs, and back."""

import os
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from coach.errors import JournalError
from coach.journal import Journal, rolling
from coach.journal.backup import backup, put_back, restore
from coach.journal.codec import Recorded
from coach.journal.journal_checks import verify
from coach.model.facts import Rested
from coach.model.start import Start
from coach.session.events import Started, TimePassed
from tests.journal.made import start

NOW = datetime(2026, 3, 3, 18, 0, tzinfo=UTC)


def test_backup_of_a_running_session_and_back(journal: Journal, tmp_path: Path) -> None:
    session = journal.begin(start())
    journal.commit(session, Started(0.0), [], NOW)
    backup(journal.path, tmp_path / "copy.db")
    journal.commit(session, TimePassed(1.0), [], NOW)
    assert sorted(item.name for item in tmp_path.iterdir()) == ["copy.db", "data"]
    back = tmp_path / "elsewhere" / "journal.db"
    restore(tmp_path / "copy.db", back)
    assert {file.stat().st_mode & 0o777 for file in back.parent.iterdir()} == {0o600}
    with Journal.open(back, write=True) as restored:
        assert list(restored.events(session)) == [Started(0.0)]
        assert restored.start_of(session) == start()
        assert restored.commit(session, TimePassed(2.0), [], NOW) == 2


def test_neither_backup_nor_restore_overwrites(journal: Journal, tmp_path: Path) -> None:
    copy = tmp_path / "copy.db"
    backup(journal.path, copy)
    before = copy.read_bytes()
    with pytest.raises(JournalError, match="there is a file already"):
        backup(journal.path, copy)
    with pytest.raises(JournalError, match="there is a journal already"):
        restore(copy, journal.path)
    assert copy.read_bytes() == before


def test_a_journal_that_is_there_is_told_before_the_copy_is_read(
    journal: Journal, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    copy = tmp_path / "copy.db"
    backup(journal.path, copy)
    monkeypatch.setattr("coach.journal.backup.verify", lambda *_, **__: pytest.fail("it is read"))
    with pytest.raises(JournalError, match="there is a journal already"):
        restore(copy, journal.path)


def test_an_empty_file_is_no_journal_and_is_replaced(journal: Journal, tmp_path: Path) -> None:
    """What the message of an empty file says to do has to work."""
    session = journal.begin(start())
    copy, empty = tmp_path / "copy.db", tmp_path / "empty.db"
    backup(journal.path, copy)
    empty.touch()
    restore(copy, empty)
    with Journal.open(empty, write=False) as restored:
        assert restored.start_of(session) == start()


def test_the_log_of_a_journal_that_was_moved_away_is_never_played_into_another(
    journal: Journal, tmp_path: Path
) -> None:
    """SQLite plays whatever log stands beside a file: the latest of one into the other."""
    session = journal.begin(start())
    copy, back = tmp_path / "copy.db", tmp_path / "back.db"
    backup(journal.path, copy)
    for n in range(20):
        journal.commit(session, TimePassed(float(n)), [], NOW)
    log = tmp_path / "back.db-wal"
    log.write_bytes((journal.path.parent / "journal.db-wal").read_bytes())
    assert log.stat().st_size
    with pytest.raises(JournalError, match="log of a journal that was moved away"):
        restore(copy, back)
    assert not back.exists()
    log.unlink()
    restore(copy, back)
    assert verify(back).whole


def test_a_restore_that_is_stopped_leaves_no_journal(journal: Journal, tmp_path: Path) -> None:
    journal.begin(start())
    copy, back = tmp_path / "copy.db", tmp_path / "back.db"
    backup(journal.path, copy)

    def stopped(done: int, whole: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        put_back(copy, back, stopped)
    assert sorted(one.name for one in tmp_path.glob("back.db*")) == ["back.db-writer"]
    put_back(copy, back)
    assert verify(back).whole


def test_a_damaged_copy_is_not_restored(journal: Journal, tmp_path: Path) -> None:
    session = journal.begin(start())
    journal.commit(session, Started(0.125), [], NOW)
    copy = tmp_path / "copy.db"
    backup(journal.path, copy)
    copy.write_bytes(copy.read_bytes().replace(b'{"at":0.125}', b'{"at":0.625}'))
    with pytest.raises(JournalError, match="does not match its checksum"):
        restore(copy, tmp_path / "new.db")
    assert not (tmp_path / "new.db").exists()


def test_verify_replays_only_under_the_same_rules(journal: Journal) -> None:
    journal.commit(journal.begin(start()), Started(0.0), [], NOW)
    ran: list[tuple[Start, list[Recorded]]] = []

    def same(began: Start, recorded: object) -> str:
        ran.append((began, list(recorded)))  # type: ignore[call-overload]
        return ""

    verdict = verify(journal.path, same, "rules-1")
    assert (verdict.sessions, verdict.events, verdict.replayed) == (1, 1, 1)
    assert verdict.whole
    assert ran == [(start(), [Recorded(1, NOW.isoformat(), Started(0.0))])]
    later = verify(journal.path, same, "rules-2")
    assert (later.replayed, later.other_rules, later.whole) == (0, 1, True)
    assert len(ran) == 1


def test_verify_reports_what_differs(journal: Journal) -> None:
    journal.begin(start())
    verdict = verify(journal.path, lambda began, recorded: "a rest is missing", "rules-1")
    assert [finding.what for finding in verdict.findings] == [
        "runs differently now: a rest is missing"
    ]


def test_verify_names_what_is_missing(journal: Journal) -> None:
    session = journal.begin(start())
    for turn in range(3):
        journal.commit(session, TimePassed(float(turn)), [], NOW)
    journal.db.execute("DELETE FROM event WHERE seq = 2")
    (finding,) = verify(journal.path).findings
    assert finding.where == f"session {session} of {start().wall}"
    assert finding.what == "event 2 is missing"


def test_verify_sees_a_changed_library(journal: Journal) -> None:
    journal.begin(start())
    journal.db.execute("UPDATE library SET body = replace(body, 'Evening', 'Morning')")
    (finding,) = verify(journal.path).findings
    assert "its library does not match its digest" in finding.what


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("75.5", "7.5", "the numbers of person 1 are not those of the facts"),
        ("{", "", "digest is damaged"),
    ],
)
def test_verify_sees_numbers_that_are_not_those_of_the_facts(
    journal: Journal, old: str, new: str, says: str
) -> None:
    session = journal.begin(start())
    journal.commit(session, TimePassed(75.5), [Rested(75.5, 0, 60.0, 90.0, "hard.2.rest")], NOW)
    journal.close_session(session, "done")
    assert verify(journal.path).whole
    journal.db.execute("UPDATE digest SET body = replace(body, ?, ?)", (old, new))
    (finding,) = verify(journal.path).findings
    assert says in finding.what


@pytest.mark.parametrize("name", ["*", "journal[1].db", "?.db", "own.db"])
def test_nothing_of_anybody_elses_is_touched_whatever_a_journal_is_called(
    name: str, tmp_path: Path
) -> None:
    folder = tmp_path / "hall"
    (folder / "photos").mkdir(mode=0o755, parents=True)
    others = [folder / other for other in ("a.txt", "journal1.db-notes", f"{name}.txt", "x.db.bak")]
    for file in others:
        file.write_text("hers")
        file.chmod(0o644)
    with Journal.open(folder / "other.db", write=True) as other:
        other.begin(start())
    rolling.roll(folder / "other.db", date(2026, 3, 2))
    with Journal.open(folder / name, write=True) as journal:
        journal.begin(start())
    rolling.roll(folder / name, date(2026, 3, 3))
    rolling.renew(folder / name, date(2026, 3, 4))
    assert [file.read_text() for file in others] == ["hers"] * len(others)
    assert {file.stat().st_mode & 0o777 for file in others} == {0o644}
    assert (folder / "photos").stat().st_mode & 0o777 == 0o755
    assert [day for day, _ in rolling.backups(folder / "other.db")] == [date(2026, 3, 2)]
    assert [day for day, _ in rolling.backups(folder / name)] == [date(2026, 3, 4)]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no such files on this system")
def test_a_copy_takes_the_place_of_nothing_but_a_file(journal: Journal, tmp_path: Path) -> None:
    backup(journal.path, tmp_path / "copy.db")
    os.mkfifo(tmp_path / "pipe")
    for place in (tmp_path, tmp_path / "pipe"):
        with pytest.raises(JournalError, match="this is no file"):
            restore(tmp_path / "copy.db", place)
    assert (tmp_path / "pipe").is_fifo()
