"""A walk through the kinds of state that a small session can come to, each then left in silence.

Two states are of one kind where they await alike: phase, question, step, rest, what sounds. From
each kind every answer of a small vocabulary is given, and time passes; no device reports a sound,
so each cue ends by its own bound. From wherever that comes, time alone ends the session. It goes
on to `most` kinds, the nearest first.
"""

from collections import deque
from collections.abc import Hashable

import pytest

from coach.model.answers import parse
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.session.events import Answered, Source, Started, TimePassed
from coach.session.state import Phase, Session
from coach.session.step import new_session, step
from tests.session.stage import library_of

#: What is said in each kind of state; between them they end, stop, skip, hurt, open and ask.
WORDS = (
    "stop", "pause", "hurt", "resume", "finish", "leaving", "done", "down", "skip", "ready", "go",
    "yes", "no", "feel:sore", "feel:fine", "part:back", "sign:yes", "topped", "minutes:30",
    "count:2", "not-today", "again",
)  # fmt: skip
#: The phases that each walk comes to, at least.
STATES = {"check-in", "lead-in", "ask", "paused", "stopped", "hurt"}
#: Seconds beyond its minutes, and beyond those where somebody brought it to a stand.
OVER, STANDING = 13 * 60.0, 31 * 60.0
#: Events of silence from any state to the end: more would be a clock that stands.
MOST = 600


def kind(s: Session) -> Hashable:
    """What tells states apart that await alike."""
    asking, running, resting = s.questions.asking, s.course.running, s.rests.resting
    return (
        s.phase,
        (asking.question, asking.times, asking.closes is None) if asking is not None else None,
        (running.step.kind, running.step.block, running.since is None, running.nudged)
        if running is not None
        else None,
        resting is not None,
        s.speech.saying is not None,
        s.standing.paused_since is not None,
        tuple(one.question for one in s.questions.pending),
        s.window is not None,
    )


def silence(s: Session) -> Session:
    """Only time passes, to the end."""
    began, ends = s.at, s.day.ends_at if s.day is not None else s.at + 120 * 60.0
    stood = False
    for _ in range(MOST):
        if s.phase is Phase.OVER:
            break
        assert s.wake is not None, kind(s)
        stood = stood or s.standing.paused_since is not None
        s, _ = step(s, TimePassed(max(s.wake, s.at)))
    assert s.phase is Phase.OVER, kind(s)
    assert s.at <= max(began, ends) + OVER + (STANDING if stood else 0.0), kind(s)
    return s


@pytest.mark.no_cover
@pytest.mark.parametrize(
    ("routine", "people", "most"), [("rests", 1, 700), ("quick", 1, 250), ("rests", 2, 250)]
)
def test_from_every_kind_of_state_silence_ends_it(routine: str, people: int, most: int) -> None:
    library = library_of(routine)
    who = tuple(Person(n, age=AgeBand.ADULT, edge="medium") for n in range(1, people + 1))
    first, _ = step(new_session(library, Options(who, None)), Started(0.0))
    seen: set[Hashable] = {kind(first)}
    waiting = deque([first])
    while waiting and len(seen) < most:
        now = waiting.popleft()
        silence(now)
        for event in _events(now):
            after, _ = step(now, event)
            stands = after.standing.paused_since is not None
            assert not (stands and after.phase in (Phase.WORK, Phase.LEAD_IN)), kind(after)
            if after.phase is not Phase.OVER and kind(after) not in seen:
                seen.add(kind(after))
                waiting.append(after)
    assert {str(one[0]) for one in seen} >= STATES  # type: ignore[index]


def _events(s: Session) -> list[Answered | TimePassed]:
    at = s.at + 1.0
    said = [Answered(at, parse(word), 1, at, None, Source.KEY) for word in WORDS]
    return [*said, TimePassed(s.wake or at)]
