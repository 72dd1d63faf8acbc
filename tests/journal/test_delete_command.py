"""`coach journal delete`: gone wherever this program kept it, and told so."""

import signal
from contextlib import nullcontext
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from coach.audio.note_files import path_of
from coach.cli import commands, deleting, diagnostics
from coach.errors import ExitCode
from coach.files.paths import paths
from coach.journal import Journal, database, deletion, rolling
from coach.journal.journal_checks import verify
from coach.journal.sealing import copy_of
from coach.runtime.spare import Spare
from tests.record import real


@pytest.fixture
def filled(home: Path) -> Path:
    """Alone, with a partner, and a copy that a session left which could not be saved."""
    path = paths().journal
    with Journal.open(path, write=True) as journal:
        real.put(journal, real.day(20, "rests"), real.FIRST, "alone")
        ran = real.day(21, "rests-pair")
        later = (real.FIRST + timedelta(days=2)).isoformat()
        left = journal.begin(replace(ran.start, wall=later), "left")
        journal.commit(left, *ran.committed[0])
        spare = Spare(journal, left)
        spare.close(None)
        rolling.roll(path, date(2026, 1, 1))
    for file in (
        copy_of(path),
        path.with_name("journal.db.part"),
        rolling.folder_of(path) / "journal-2026-01-02.db.new",
        rolling.folder_of(path) / "journal-2026-01-02.db.new.part",
        paths().cues / "0a1b.pcm",
        paths().names / "0a1b.json",
        paths().takes("en") / "0a1b.npz",
        path_of(paths().notes, "her-own-file"),
    ):
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(b"Runa")
    return path


def delete(*line: str) -> ExitCode:
    return diagnostics.guarded(commands, ["journal", "delete", "-f", "--prove", *line])


def test_a_partner_is_gone_from_every_file_that_the_program_made(
    filled: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path_of(paths().notes, "her-own-file").unlink()
    (paths().takes("en") / "0a1b.npz").unlink()
    assert delete("--person", "runa") is ExitCode.OK
    told = capsys.readouterr().out
    assert "Gone: 0 sessions. Kept for others, without the name: 1." in told
    assert "Backups of before: 1 deleted, one made anew." in told
    assert "Sentences kept ready: 1 deleted" in told
    assert "No file of ours holds any of it." in told
    assert not copy_of(filled).exists()


def test_what_is_left_is_named(filled: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A file that no session names is not ours to delete: the proof says where it is."""
    assert delete("--person", "Runa") is ExitCode.JOURNAL
    assert f"{path_of(paths().notes, 'her-own-file')}: in its bytes" in capsys.readouterr().out


def test_with_whom_the_journal_belongs_to_go_the_takes(
    filled: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert delete("--person", "own") is ExitCode.OK
    assert "Takes of your voice: 1 deleted." in capsys.readouterr().out
    assert list(paths().takes("en").iterdir()) == []


def test_the_same_line_again_clears_what_a_reader_hindered(
    filled: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(deletion.scour, "__defaults__", (0.1, lambda: None))
    for line in (("--session", "1"), ("--person", "Runa")):
        with Journal.open(filled, write=False) as reader:
            reader.db.execute("BEGIN")
            reader.db.execute("SELECT count(*) FROM session").fetchone()
            delete(*line)
            assert "give this command again" in capsys.readouterr().err
            reader.db.execute("ROLLBACK")
        delete(*line)
        told = capsys.readouterr()
        assert "That was deleted before; the file is cleared again." in told.out
        assert "give this command again" not in told.err
    assert delete("--session", "9") is ExitCode.JOURNAL
    assert delete("--person", "Nobody") is ExitCode.USAGE


def test_a_clearing_that_is_stopped_is_said_and_leaves_a_whole_journal(
    filled: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Ctrl-C while the file is rebuilt, as the signal comes: from outside, at any moment."""
    monkeypatch.setattr(database, "STEPS", 50)
    monkeypatch.setattr(
        deleting, "working", lambda label: nullcontext(lambda: signal.raise_signal(signal.SIGINT))
    )
    # who runs the tests in the background has the signal ignored
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        delete("--session", "1")
    finally:
        signal.signal(signal.SIGINT, before)
    assert "give this command again" in capsys.readouterr().err
    assert verify(filled).whole
    monkeypatch.setattr(deleting, "working", lambda label: nullcontext(lambda: None))
    delete("--session", "1")
    assert "give this command again" not in capsys.readouterr().err
