"""Files that are not, or no more, a journal; disks that are full."""

import random
import resource
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from coach.errors import ExitCode, JournalError
from coach.journal import Journal
from coach.journal.backup import backup
from coach.journal.journal_checks import verify
from coach.journal.rescue import rescue
from coach.model.facts import BoulderNamed
from coach.session.events import Started, TimePassed
from tests.journal.content import content
from tests.journal.made import start
from tests.record import real

NOW = datetime(2026, 3, 3, 18, 0, tzinfo=UTC)


@pytest.fixture
def filled(path: Path) -> Path:
    """A closed journal of three sessions."""
    with Journal.open(path, write=True) as journal:
        for day in (3, 5, 7):
            session = journal.begin(start(f"2026-03-0{day}T18:00:00+01:00"))
            journal.commit(session, Started(0.0), [], NOW)
            for turn in range(60):
                fact = BoulderNamed(turn, 1, f"rest number {turn}")
                journal.commit(session, TimePassed(float(turn)), [fact], NOW)
            journal.close_session(session, "done")
    return path


def _refused(path: Path, says: str) -> None:
    """Opening either way fails with a message that says where and what to do; nothing changes."""
    before = path.read_bytes()
    for write in (True, False):
        with pytest.raises(JournalError, match=says) as refused:
            Journal.open(path, write=write).close()
        assert str(path) in refused.value.what
        assert refused.value.do
        assert refused.value.code is ExitCode.JOURNAL
    assert path.read_bytes() == before
    Journal.open(path.with_name("other.db"), write=True).close()  # no lock is left behind


def test_a_text_file(path: Path) -> None:
    path.parent.mkdir()
    path.write_text("Monday: four easy ones, two hard.\n" * 200)
    _refused(path, "file is not a database")


def test_a_database_of_another_program(path: Path) -> None:
    path.parent.mkdir()
    with sqlite3.connect(path) as db:
        db.execute("CREATE TABLE song (title TEXT)")
    db.close()
    _refused(path, "another program's")


def test_a_journal_of_a_newer_version(filled: Path) -> None:
    with sqlite3.connect(filled) as db:
        db.execute("PRAGMA journal_mode = DELETE")
        db.execute("INSERT INTO migration (name) VALUES ('9999-from-tomorrow')")
    db.close()
    _refused(filled, "newer version of this program.*9999-from-tomorrow")


def test_a_folder(path: Path) -> None:
    path.mkdir(parents=True)
    with pytest.raises(JournalError, match=r"journal\.db: opening the journal failed"):
        Journal.open(path, write=True)


def test_a_folder_that_is_a_file(path: Path) -> None:
    path.parent.write_text("")
    with pytest.raises(JournalError, match="opening the journal failed"):
        Journal.open(path, write=True)


def test_no_journal_yet(path: Path) -> None:
    with pytest.raises(JournalError, match="no journal yet") as refused:
        Journal.open(path, write=False)
    assert "coach start" in refused.value.do
    assert not path.parent.exists()


def test_an_empty_file_is_no_whole_journal(path: Path, tmp_path: Path) -> None:
    path.parent.mkdir()
    path.touch()
    with pytest.raises(JournalError, match="empty"):
        verify(path)
    with pytest.raises(JournalError, match="empty"):
        Journal.open_damaged(path)
    assert path.stat().st_size == 0


def test_an_empty_file_becomes_a_journal(path: Path) -> None:
    path.parent.mkdir()
    path.touch()
    with Journal.open(path, write=True) as journal:
        assert journal.sessions() == []


@pytest.mark.parametrize("part", [0.1, 0.5, 0.9])
def test_a_truncated_file_is_found_out_and_left_alone(filled: Path, part: float) -> None:
    whole = filled.read_bytes()
    filled.write_bytes(whole[: int(len(whole) * part)])
    before = filled.read_bytes()
    assert not _whole(filled)
    assert filled.read_bytes() == before


def test_of_a_truncated_file_is_saved_what_is_there(filled: Path, tmp_path: Path) -> None:
    whole = filled.read_bytes()
    filled.write_bytes(whole[: len(whole) * 95 // 100])
    before = filled.read_bytes()
    with (
        Journal.open_damaged(filled) as damaged,
        Journal.open(tmp_path / "saved.db", write=True) as into,
    ):
        rescued = rescue(damaged, into)
        saved = [len(list(into.events(row.id))) for row in into.sessions()]
    assert rescued.whole == len(saved) >= 1
    assert set(saved) == {61}
    assert verify(tmp_path / "saved.db").whole
    assert filled.read_bytes() == before


def test_sessions_that_cannot_be_read_are_named(filled: Path, tmp_path: Path) -> None:
    with Journal.open_damaged(filled) as damaged:
        damaged.db.create_function("unreadable", 0, lambda: 1 / 0)
        damaged.db.execute("CREATE TEMP VIEW session AS SELECT unreadable()")
        with Journal.open(tmp_path / "saved.db", write=True) as into:
            rescued = rescue(damaged, into)
    assert rescued.lost[0].startswith("sessions after none: ")


def test_only_a_journal_is_rescued(path: Path) -> None:
    with pytest.raises(JournalError, match="no such file"):
        Journal.open_damaged(path)
    path.parent.mkdir()
    path.write_text("Monday: four easy ones, two hard.\n" * 200)
    with pytest.raises(JournalError, match="is no journal"):
        Journal.open_damaged(path)


def test_flipped_bits_are_found_out_or_change_nothing(filled: Path) -> None:
    whole = filled.read_bytes()
    held = _held(filled)
    assert verify(filled).whole
    chance = random.Random(11)
    for _ in range(400):
        _flip(filled, whole, chance.randrange(len(whole)), chance.randrange(8))
        # Free space and bookkeeping hold nothing that is read.
        assert not _whole(filled) or _held(filled) == held


def test_a_flipped_bit_in_a_text_is_found_out(filled: Path) -> None:
    whole = filled.read_bytes()
    chance = random.Random(12)
    for text in (b"rest number", b"TimePassed", b"T18:00:00", b"rules-1", b"Old Sluice"):
        places = [at for at in range(len(whole)) if whole.startswith(text, at)]
        for at in chance.sample(places, min(len(places), 6)):
            _flip(filled, whole, at + chance.randrange(len(text)), chance.randrange(8))
            assert not _whole(filled)


def _whole(path: Path) -> bool:
    """What verify says; False too where the file can't even be opened."""
    try:
        return verify(path).whole
    except JournalError:
        return False


def _held(path: Path) -> list[object]:
    with Journal.open(path, write=False) as journal:
        return [
            (row, journal.start_of(row.id), list(journal.recorded(row.id)))
            for row in journal.sessions()
        ]


def _flip(path: Path, whole: bytes, place: int, bit: int) -> None:
    changed = bytearray(whole)
    changed[place] ^= 1 << bit
    path.write_bytes(changed)


def test_a_full_database_loses_only_what_was_refused(journal: Journal) -> None:
    session = journal.begin(start())
    pages = journal.db.execute("PRAGMA page_count").fetchone()[0]
    journal.db.execute(f"PRAGMA max_page_count = {pages + 2}")
    acknowledged = 0

    def fill() -> None:
        nonlocal acknowledged
        while True:
            fact = BoulderNamed(0.0, 1, "x" * 500)
            acknowledged = journal.commit(session, TimePassed(0.0), [fact], NOW)

    with pytest.raises(JournalError, match="full") as refused:
        fill()
    assert "free some space" in refused.value.do
    assert len(list(journal.events(session))) == acknowledged > 0
    journal.db.execute("PRAGMA max_page_count = 100000")
    assert journal.commit(session, TimePassed(99.0), [], NOW) == acknowledged + 1
    assert verify(journal.path).whole


_FILL = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from coach.errors import JournalError
from coach.journal import Journal
from coach.model.facts import BoulderNamed
from coach.session.events import TimePassed
from tests.journal.content import content
from tests.journal.made import start
from tests.record import real
journal = Journal.open(Path(sys.argv[1]), write=True)
session = journal.begin(start())
done = 0
try:
    while True:
        fact = BoulderNamed(0.0, 1, "x" * 5000)
        done = journal.commit(session, TimePassed(0.0), [fact], datetime.now(UTC))
except JournalError as error:
    print(done, error)
"""


def _fill(path: Path, **limits: object) -> tuple[int, str]:
    child = subprocess.run(
        [sys.executable, "-c", _FILL, str(path)],
        check=True,
        capture_output=True,
        text=True,
        **limits,  # type: ignore[call-overload]
    )
    done, _, message = child.stdout.partition(" ")
    return int(done), message


def test_a_file_that_may_not_grow(path: Path) -> None:
    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (400_000, 400_000))

    done, message = _fill(path, preexec_fn=limit)
    assert "disk" in message
    with Journal.open(path, write=False) as journal:
        assert len(list(journal.events(journal.sessions()[0].id))) == done > 0
    assert verify(path).whole


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 300 KiB."""
    place = tmp_path / "disk"
    place.mkdir()
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=300k", "tmpfs", str(place)], capture_output=True
    )
    if made.returncode:
        pytest.skip("no file system can be mounted here")
    yield place
    subprocess.run(["umount", str(place)], check=True)


def test_a_full_disk(small_disk: Path) -> None:
    path = small_disk / "journal.db"
    done, message = _fill(path)
    assert "full" in message
    with Journal.open(path, write=False) as journal:
        assert len(list(journal.events(journal.sessions()[0].id))) == done > 0
    assert verify(path).whole


def test_a_backup_to_a_full_disk_leaves_nothing(filled: Path, small_disk: Path) -> None:
    (small_disk / "ballast").write_bytes(b"x" * 280_000)
    with pytest.raises(JournalError, match="the backup failed"):
        backup(filled, small_disk / "copy.db")
    assert [item.name for item in small_disk.iterdir()] == ["ballast"]


def test_a_crashed_writer_s_log_is_read(filled: Path, tmp_path: Path) -> None:
    """A copy taken with the log, as after a power cut, holds what was committed."""
    with Journal.open(filled, write=True) as journal:
        session = journal.begin(start("2026-03-09T18:00:00+01:00"))
        journal.commit(session, Started(0.0), [], NOW)
        for name in (filled.name, filled.name + "-wal"):
            shutil.copy(filled.with_name(name), tmp_path / name)
    with Journal.open(tmp_path / filled.name, write=True) as journal:
        found = journal.unfinished()
        assert found is not None
        assert found.id == session


def test_sessions_are_found_in_the_pages_where_no_table_leads_to_them(tmp_path: Path) -> None:
    """The first page is lost, and every inner page of a table: leaves still tell."""
    path, harmed, saved = (tmp_path / f"{name}.db" for name in ("journal", "harmed", "saved"))
    with Journal.open(path, write=True) as journal:
        for seed in range(20, 32):
            real.put(journal, real.day(seed, "rests"), real.FIRST, f"uid-{seed}")
        running = journal.begin(real.day(20, "rests").start, "running")
        event, facts, wall = real.day(20, "rests").committed[0]
        journal.commit(running, event, facts, wall)
        held = sorted(content(journal).splitlines())
    spoilt = bytearray(path.read_bytes())
    for at in range(0, len(spoilt), 4096):
        if at == 0 or spoilt[at] == 5:
            spoilt[at : at + 4096] = bytes(4096)
    harmed.write_bytes(spoilt)
    with Journal.open_damaged(harmed) as damaged, Journal.open(saved, write=True) as into:
        assert rescue(damaged, into).whole == 13
        assert sorted(content(into).splitlines()) == held
    assert verify(saved).whole
