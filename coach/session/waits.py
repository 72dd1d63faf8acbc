"""What is awaited, and until when: one value derived from the state.

The deadline of a session and what is done when its time has come both read it, so that they can't
disagree. Where several things are awaited, the first to come counts.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from coach.session.state import Phase, Session
from coach.session.timers import Resting

#: Seconds of standing still after which somebody is reminded, and at last the session is saved.
STANDING = (360.0, 900.0, 1800.0)
#: Seconds that a session may take beyond its minutes; before it has any it may take the second.
OVERTIME, UNTOLD = 600.0, 1200.0
#: Seconds after which a session goes on that nothing else would move.
IDLE = 30.0
#: Longest that a question waits for speech to end.
LONGEST_SPEECH = 4.0
#: Seconds after 'down' when the breath is back and the result is asked.
BREATH = 18.0


class Awaited(StrEnum):
    """What a session waits for; each is answered by time if by nothing else."""

    NOTE = "note"
    CUE = "cue"
    ANSWER = "answer"
    STEP = "step"
    REST = "rest"
    STANDING = "standing"
    TIME_UP = "time up"
    NOTHING = "nothing"


#: What each of them comes to by time alone.
COURSES: dict[Awaited, str] = {
    Awaited.NOTE: "25 s after its start it counts as lost",
    Awaited.CUE: "20 s after its start it counts as said, even if no device reports its end",
    Awaited.ANSWER: "the question is asked once more; then silence is taken for its answer",
    Awaited.STEP: "a timed step ends; an untimed one is asked about once, then left as untold",
    Awaited.REST: "its words are said, what waits for the breath is asked, and it ends",
    Awaited.STANDING: "reminded after 6 and 15 minutes; ends after 30, sooner if nobody meant it",
    Awaited.TIME_UP: "10 minutes after its minutes a session ends, whatever is left of it",
    Awaited.NOTHING: "after 30 s the session goes on to what comes next",
}


@dataclass(frozen=True, slots=True)
class Wait:
    """One thing that is awaited."""

    what: Awaited
    until: float
    """Second of the timeline at which time answers it."""


def awaited(s: Session) -> Wait | None:
    """What comes first if nobody does anything; None only before the start and after the end."""
    waits = list(_waits(s))
    if s.phase not in (Phase.NEW, Phase.OVER):
        waits += [_bound(s)] if waits else [Wait(Awaited.NOTHING, s.at + IDLE), _bound(s)]
    return min(waits, key=lambda wait: wait.until, default=None)


def _bound(s: Session) -> Wait:
    """What ends a session that would not end by itself: its minutes, or those of standing still."""
    since = s.standing.paused_since
    if since is not None:
        return Wait(Awaited.STANDING, min(since + STANDING[s.standing.reminded], leaves_at(s)))
    ends = s.day.ends_at + OVERTIME if s.day is not None else s.began + UNTOLD
    # the last words and the last question are over in a minute
    return Wait(Awaited.TIME_UP, ends if s.phase is not Phase.DEBRIEF else max(ends, s.at + UNTOLD))


def leaves_at(s: Session) -> float:
    """When a session that stands still is saved and ends; math.inf while it does not stand.

    One that nobody brought to a stand ends no later than its minutes and the usual bound.
    """
    since = s.standing.paused_since
    if since is None:
        return math.inf
    last = since + STANDING[-1]
    if s.standing.by_itself and s.day is not None:
        last = min(last, max(s.day.ends_at + OVERTIME, since + STANDING[0]))
    return last


def _waits(s: Session) -> Iterator[Wait]:
    recording, saying, asking = s.notes.recording, s.speech.saying, s.questions.asking
    if recording is not None:
        yield Wait(Awaited.NOTE, recording.overdue)
    if saying is not None:
        yield Wait(Awaited.CUE, saying.overdue)
    elif asking is not None and asking.closes is not None:
        yield Wait(Awaited.ANSWER, _closing(asking.closes, s.listening.speech))
    running, resting = s.course.running, s.rests.resting
    if s.phase is Phase.WORK and running is not None:
        times = (running.until, running.opens, running.nudge)
        yield from (Wait(Awaited.STEP, at) for at in times if at is not None)
    if s.phase is Phase.REST and resting is not None:
        yield Wait(Awaited.REST, resting.until)
        yield from (Wait(Awaited.REST, at) for at, _ in resting.marks[:1])
        if s.questions.pending and recording is None:
            yield Wait(Awaited.REST, max(breath_back(resting), s.at))


def breath_back(resting: Resting) -> float:
    """When a question may be asked in the rest."""
    return min(resting.since + BREATH, resting.until)


def _closing(closes: float, speech: float | None) -> float:
    """When the window of a question closes; later while somebody speaks."""
    return closes if speech is None or speech > closes else max(closes, speech + LONGEST_SPEECH)
