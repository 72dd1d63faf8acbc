"""Copies while a session runs, and back."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from coach.errors import JournalError
from coach.journal import Journal
from coach.journal.backup import backup, restore
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
