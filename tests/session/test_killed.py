"""A session whose process is killed: nothing acknowledged is lost, and it goes on as designed."""

import random
import sys
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import pytest

from coach.journal import Journal
from coach.journal.journal_checks import verify
from coach.model.plan import StepKind
from coach.runtime.replay import replay
from coach.session.effects import End, Record
from coach.session.events import Reopened
from coach.session.pauses import TOO_LONG
from coach.session.state import Phase, Session
from coach.session.step import step
from tests.journal import trace
from tests.killing import killed
from tests.session import runs

RUNS = [sys.executable, "-m", "tests.session.runs"]
KILLS = 20
GAPS = (5.0, 90.0, 400.0, 1300.0)
IDLE_OFFER = 900.0
TIMED = (StepKind.STAY, StepKind.BREATHE, StepKind.REPEAT)


def _numbers(said: Sequence[str], word: str) -> list[int]:
    return [int(line.split()[1]) for line in said if line.startswith(word)]


@pytest.mark.no_cover
@pytest.mark.timeout(420)
def test_kills_lose_nothing_and_each_is_taken_up_as_designed(disk: Path) -> None:
    chance = random.Random(11)
    phases: Counter[Phase] = Counter()
    path = disk / "journal.db"
    acknowledged: dict[int, int] = {}
    for _ in range(KILLS):
        gap = chance.choice(GAPS)
        said = killed(runs.main, path, gap, 0, after=chance.uniform(0.0, 0.35)).said
        assert verify(path).findings == ()
        with Journal.open(path, write=False) as journal:
            row = journal.sessions()[-1]
            stored = list(journal.recorded(row.id))
            start = journal.start_of(row.id)
        acks = _numbers(said, "ack")
        acknowledged[row.id] = max([acknowledged.get(row.id, 0), *acks])
        assert [one.seq for one in stored] == list(range(1, len(stored) + 1))
        assert acknowledged[row.id] <= len(stored)
        assert max(_numbers(said, "do"), default=0) <= len(stored), "an effect without its event"
        if row.how is None:
            session = replay(start, (one.event for one in stored))
            phases[session.phase] += 1
            for gap in (*GAPS, TOO_LONG + 60.0) if session.phase is not Phase.OVER else ():
                _check_taken_up(session, gap)
    print(f"{KILLS} kills, in phases: {dict(phases)}; events: {sum(acknowledged.values())}")
    assert len(phases) >= 3
    assert sum(acknowledged.values()) > 10 * KILLS


def _check_taken_up(before: Session, gap: float) -> None:
    """What a crash of some seconds leaves of a session."""
    after, effects = step(before, Reopened(before.at + gap, gap))
    assert not after.devices.lost
    if gap > TOO_LONG:
        assert (after.phase, after.how) == (Phase.OVER, "closed")
        assert any(isinstance(effect, End) for effect in effects)
        assert any(type(e.fact).__name__ == "Finished" for e in effects if isinstance(e, Record))
        return
    assert after.recorded_seconds == pytest.approx(before.recorded_seconds)
    running = before.course.running
    if before.phase in (Phase.PAUSED, Phase.STOPPED, Phase.HURT):
        assert after.phase is before.phase
    elif running is not None and running.step.kind in TIMED and after.course.running is not None:
        assert after.course.running.since is None
        assert after.course.running.left is None
        assert after.phase in (Phase.LEAD_IN, Phase.ASK)
    if before.rests.resting is not None and after.rests.resting is not None:
        assert after.rests.resting.until == before.rests.resting.until
    idle = after.at - before.course.idle_since
    if (
        idle > IDLE_OFFER
        and before.course.planned
        and before.course.steps
        and after.phase is not Phase.OVER
    ):
        asked = [after.questions.asking, *after.questions.pending]
        standing = after.standing.paused_since is not None or before.phase is Phase.DEBRIEF
        assert standing or any(one is not None and one.question == "re-warm" for one in asked)


@pytest.mark.skipif(not trace.AVAILABLE, reason="strace is not installed")
def test_the_commit_is_synced_before_the_effect(tmp_path: Path) -> None:
    path = tmp_path / "journal.db"
    calls = trace.run([*RUNS, str(path), "0", "60"])
    written = [call.text.split('"')[1] for call in calls if call.writes('"do ')]
    first_of_each = {text.split()[1]: text for text in reversed(written)}
    effects = [first_of_each[number] for number in sorted(first_of_each, key=int)]
    assert len(effects) >= 10
    assert trace.unsynced(calls, path, effects) == []
