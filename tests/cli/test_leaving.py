"""However a session is left or cut off from its disk, what it says of the record is so."""

import os
import pty
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from coach.errors import ExitCode
from coach.journal import Journal
from coach.journal.lock import BusyError
from coach.runtime import spare
from coach.runtime.leaving import Leave, leaving
from tests.cli.test_start import COACH, PLAIN, SETTLED, Session, journal_of, start

#: After so many events the disk takes no more.
ENOUGH = 12
READ_ONLY = f"""
from coach.journal.store import Journal
commit, count = Journal.commit, [0]
def refused(self, *given):
    count[0] += 1
    if count[0] == {ENOUGH}:
        self.db.execute("PRAGMA query_only = ON")
    return commit(self, *given)
Journal.commit = refused
"""


@pytest.fixture
def started() -> Iterator[list[Session]]:
    """Sessions to clean up."""
    sessions: list[Session] = []
    yield sessions
    for one in sessions:
        one.close()


@pytest.fixture(autouse=True)
def hung_up_as_in_a_window() -> Iterator[None]:
    """Where `nohup` runs the tests, a session would otherwise be as deaf to it as they are."""
    before = signal.signal(signal.SIGHUP, signal.SIG_DFL)
    yield
    signal.signal(signal.SIGHUP, before)


@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP"])
@pytest.mark.parametrize("full", [False, True])
def test_every_way_to_leave_saves_and_says_how_to_go_on(
    name: str, full: bool, started: list[Session], home: Path
) -> None:
    face = ["start", "mat-and-board", "--no-sound", *(["--screen"] if full else ["--plain"])]
    session = start(started, *face, *SETTLED, terminal=full)
    if full:
        session.wait_for("Age|circuit|Circuits")
        for _ in range(4):
            session.type("\n")
    session.wait_for(r"no ear|\bready ·")
    time.sleep(0.5)
    session.process.send_signal(getattr(signal, name))
    rest = session.rest()

    assert "left; what was announced is saved" in rest
    assert "'coach start --resume' goes on with it" in rest
    assert session.process.returncode == ExitCode.INTERRUPTED
    with Journal.open(journal_of(home), write=False) as journal:
        assert journal.unfinished() is not None


@pytest.mark.parametrize(
    ("face", "before"),
    [("--screen", ()), ("--plain", ()), ("--screen", ("sh", "-c", 'trap "" HUP; exec "$@"', "sh"))],
)
def test_a_terminal_that_closes_ends_the_session_on_the_record(
    face: str, before: tuple[str, ...], home: Path
) -> None:
    ours, theirs = pty.openpty()
    line = [sys.executable, "-c", COACH, "start", "mat-and-board", *SETTLED, "--no-sound", face]
    environment = os.environ | {"TERM": "xterm-256color", "LANG": "C.UTF-8"}
    # a shell that leads the terminal's session, as in a window
    running = subprocess.Popen(
        ["setsid", "--ctty", "--wait", *before, *line], stdin=theirs, stdout=theirs, stderr=theirs,
        env=environment,
    )  # fmt: skip
    os.close(theirs)
    os.write(ours, b"\n\n\n\n\n")
    deadline = time.monotonic() + 30
    while not _events(home) > 3:
        assert time.monotonic() < deadline
        os.read(ours, 65536)
        time.sleep(0.1)
    os.close(ours)
    assert running.wait(15) in (ExitCode.INTERRUPTED, ExitCode.FAILED)
    with Journal.open(journal_of(home), write=True) as journal:
        assert journal.unfinished() is not None


def _events(home: Path) -> int:
    if not journal_of(home).exists():
        return 0
    try:
        with Journal.open(journal_of(home), write=False) as journal:
            left = journal.unfinished()
            return 0 if left is None else journal.last_number(left.id)
    except BusyError:  # it is being made just now
        return 0


def test_ctrl_c_works_where_the_parent_ignores_it(home: Path) -> None:
    line = [sys.executable, "-c", COACH, *PLAIN, *SETTLED]
    session = subprocess.Popen(
        ["sh", "-c", 'trap "" INT; exec "$@"', "sh", *line],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
    )  # fmt: skip
    assert session.stdout is not None
    while "ready ·" not in session.stdout.readline():
        assert session.poll() is None
    session.send_signal(signal.SIGINT)
    rest, _ = session.communicate(timeout=15)
    assert "'coach start --resume' goes on with it" in rest
    assert session.returncode == ExitCode.INTERRUPTED


def test_who_is_impatient_is_told_how_to_go_on_all_the_same(started: list[Session]) -> None:
    session = start(started, *PLAIN, *SETTLED)
    session.wait_for(r"\bready ·")
    for _ in range(5):
        session.process.send_signal(signal.SIGINT)
        time.sleep(0.02)
    assert "'coach start --resume' goes on with it" in session.rest()
    assert session.process.returncode == ExitCode.INTERRUPTED


def test_what_is_asked_for_before_somebody_can_take_it_is_handed_on() -> None:
    taken: list[int] = []
    early, hanging = Leave(), Leave()
    early()
    early.to(lambda: taken.append(1))
    early()
    assert taken == [1, 1]
    hanging()
    with pytest.raises(KeyboardInterrupt):
        hanging()


def test_who_asked_that_a_hang_up_be_ignored_is_believed_away_from_a_terminal(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    before = signal.signal(signal.SIGHUP, signal.SIG_IGN)
    monkeypatch.setattr(os, "isatty", lambda number: False)
    try:
        with leaving(Leave()):
            assert signal.getsignal(signal.SIGHUP) is signal.SIG_IGN
            assert signal.getsignal(signal.SIGTERM) is not signal.SIG_DFL
        assert signal.getsignal(signal.SIGTERM) is signal.SIG_DFL
    finally:
        signal.signal(signal.SIGHUP, before)


def test_a_disk_that_refuses_to_the_end_is_told_and_the_next_session_takes_it_back(
    started: list[Session], home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setattr(spare, "folder", lambda: tmp_path)
    code = READ_ONLY + COACH
    session = subprocess.Popen(
        [sys.executable, "-c", code, *PLAIN, *SETTLED], stdin=subprocess.PIPE,
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, env=dict(os.environ),
    )  # fmt: skip
    assert session.stdout is not None
    while _events(home) < ENOUGH - 1:
        assert session.stdout.readline(), "it goes on without its disk"
    time.sleep(2.0)
    session.send_signal(signal.SIGTERM)
    rest, _ = session.communicate(timeout=30)
    assert "could not be saved in the journal; a copy of all is in" in rest, rest
    assert "what was announced is saved" not in rest
    assert session.returncode == ExitCode.JOURNAL
    had = _events(home)

    again = start(started, *PLAIN, "--resume")
    again.wait_for("What an earlier session could not save is on the record now")
    again.wait_for("Here we are again")
    assert _events(home) > had
    assert not list(tmp_path.glob("coach-unsaved-*"))
