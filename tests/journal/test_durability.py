"""What was acknowledged is on disk: after SIGKILL, and in the order the kernel saw."""

import random
import signal
import sys
from pathlib import Path

import pytest

from coach.journal import Journal
from coach.journal.journal_checks import verify
from coach.session.events import TimePassed
from tests.journal import committer, trace
from tests.killing import killed

COMMITTER = [sys.executable, "-m", "tests.journal.committer"]
KILLS = 25


@pytest.mark.timeout(120)
def test_sigkill_at_random_instants_loses_nothing_acknowledged(disk: Path) -> None:
    path = disk / "journal.db"
    chance = random.Random(5)
    acknowledged: list[int] = []
    for _ in range(KILLS):
        child = killed(committer.main, str(path), "0", after=chance.uniform(0.0, 0.08))
        assert child.code == -signal.SIGKILL, "the committer ended by itself"
        acknowledged += [int(ack.split()[1]) for ack in child.said]
        verdict = verify(path)
        assert verdict.findings == ()
        with Journal.open(path, write=False) as journal:
            (row,) = journal.sessions()
            stored = list(journal.recorded(row.id))
        # At most the one commit in flight at each kill may be stored but not acknowledged.
        numbers = [one.seq for one in stored]
        assert numbers == list(range(1, len(stored) + 1))
        assert set(acknowledged) <= set(numbers)
        assert len(numbers) - len(acknowledged) <= KILLS
        for one in stored:
            assert isinstance(one.event, TimePassed)
            assert len(one.facts) == int(one.event.at) % 4
    assert len(acknowledged) > KILLS


@pytest.mark.skipif(not trace.AVAILABLE, reason="strace is not installed")
def test_each_commit_is_synced_before_it_is_acknowledged(path: Path) -> None:
    calls = trace.run([*COMMITTER, str(path), "20"])
    assert trace.unsynced(calls, path, [f"ack {n};" for n in range(1, 21)]) == []


@pytest.mark.skipif(not trace.AVAILABLE, reason="strace is not installed")
def test_the_trace_sees_a_commit_that_is_not_synced(path: Path) -> None:
    calls = trace.run([*COMMITTER, str(path), "20", "NORMAL"])
    assert trace.unsynced(calls, path, [f"ack {n};" for n in range(1, 21)]) != []


def test_a_call_cut_in_two_counts_at_its_end() -> None:
    calls = trace.parse(
        [
            "7 1.0 fdatasync(3</j.db-wal> <unfinished ...>",
            '8 1.1 write(1<pipe:[5]>, "ack 1;", 6) = 6',
            "7 1.2 <... fdatasync resumed>) = 0",
        ]
    )
    assert [call.name for call in calls] == ["write", "fdatasync"]
    assert trace.unsynced(calls, Path("/j.db"), ["ack 1;"]) == ["ack 1;"]
