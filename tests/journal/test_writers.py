"""One writer, any number of readers, across threads and processes."""

import os
import signal
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from coach.journal import Journal, follow
from coach.journal.lock import BusyError
from coach.session.events import Started, TimePassed
from tests.journal.made import start

NOW = datetime(2026, 3, 3, 18, 0, tzinfo=UTC)


def test_a_second_writer_is_told_who_writes(journal: Journal) -> None:
    with pytest.raises(BusyError) as refused:
        Journal.open(journal.path, write=True)
    assert f"process {os.getpid()}, since 20" in refused.value.what
    assert str(journal.path) in refused.value.what
    assert "End that session first" in refused.value.do


def test_a_second_process_is_refused_and_a_killed_one_is_not_in_the_way(path: Path) -> None:
    child = subprocess.Popen(
        [sys.executable, "-m", "tests.journal.committer", str(path), "0"], stdout=subprocess.PIPE
    )
    assert child.stdout is not None
    child.stdout.read(6)
    with pytest.raises(BusyError, match=f"process {child.pid}, "):
        Journal.open(path, write=True)
    child.send_signal(signal.SIGKILL)
    child.wait()
    child.stdout.close()
    Journal.open(path, write=True).close()


def test_the_writer_is_let_in_after_close(path: Path) -> None:
    for _ in range(3):
        with Journal.open(path, write=True) as journal:
            journal.close()


def test_a_child_process_does_not_keep_the_lock(path: Path) -> None:
    code = (
        "import os, subprocess, sys; from pathlib import Path; from coach.journal import Journal\n"
        f"Journal.open(Path({str(path)!r}), write=True)\n"
        "pid = os.fork()\n"
        "if not pid: os.execvp('sleep', ['sleep', '30'])\n"
        "print(pid, flush=True); os._exit(0)"
    )
    parent = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True)
    assert parent.stdout is not None
    child = int(parent.stdout.readline())
    parent.wait()
    parent.stdout.close()
    try:
        Journal.open(path, write=True).close()
    finally:
        os.kill(child, signal.SIGKILL)


def test_readers_are_never_barred(journal: Journal) -> None:
    session = journal.begin(start())
    with (
        journal.transaction("holding the write lock"),
        Journal.open(journal.path, write=False) as reader,
    ):
        assert list(reader.events(session)) == []
    journal.commit(session, Started(0.0), [], NOW)
    with Journal.open(journal.path, write=False) as reader:
        assert list(reader.events(session)) == [Started(0.0)]


def test_a_reader_in_the_middle_does_not_hold_the_writer_up(journal: Journal) -> None:
    session = journal.begin(start())
    journal.commit(session, Started(0.0), [], NOW)
    with Journal.open(journal.path, write=False) as reader:
        reading = reader.events(session)
        assert next(reading) == Started(0.0)
        journal.commit(session, TimePassed(1.0), [], NOW)
        assert list(reading) == []


def test_follower_hands_out_each_commit_once(journal: Journal) -> None:
    with follow(journal.path) as follower:
        assert follower.new() == ()
        assert follower.start() is None
        assert not follower.over()
        session = journal.begin(start())
        journal.commit(session, Started(0.0), [], NOW)
        journal.commit(session, TimePassed(1.0), [], NOW)
        assert [one.event for one in follower.new()] == [Started(0.0), TimePassed(1.0)]
        assert follower.new() == ()
        assert follower.session == session
        assert follower.start() == start()
        journal.commit(session, TimePassed(2.0), [], NOW)
        assert [one.event for one in follower.new()] == [TimePassed(2.0)]
        assert not follower.over()
        journal.close_session(session, "done")
        assert follower.over()
        assert follower.new() == ()


def test_a_follower_goes_on_to_the_next_session(journal: Journal) -> None:
    with follow(journal.path) as follower:
        for _ in range(3):
            session = journal.begin(start())
            journal.commit(session, Started(0.0), [], NOW)
            assert [one.event for one in follower.new()] == [Started(0.0)]
            assert follower.session == session
            journal.close_session(session, "done")
            assert follower.new() == ()
            assert follower.over()


def test_a_follower_does_not_let_the_log_grow(journal: Journal) -> None:
    session = journal.begin(start())
    log = journal.path.with_name(journal.path.name + "-wal")
    with follow(journal.path) as follower:
        for turn in range(3000):
            journal.commit(session, TimePassed(float(turn)), [], NOW)
            if turn % 10 == 0:
                follower.new()
    # SQLite starts over in its log after 1,000 pages (4 KiB each) when no reader is in it.
    assert log.stat().st_size < 3 * 1000 * 4096
