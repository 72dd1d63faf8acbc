"""When she goes home, as the session shows and says it: what runs or rests just now counts too.

A time of day is told on a dial of twelve hours, by the wall clock at the start and what has passed.
"""

from coach.model.answers import Meaning
from coach.model.messages import Message, message
from coach.planning import fitting, home
from coach.planning.gates import GO_AHEAD
from coach.planning.situation import GAINED
from coach.session import silence
from coach.session.state import Session


def ends(s: Session) -> float:
    """The second at which she goes home; only with a plan."""
    assert s.day is not None
    open_ = {GAINED} if s.day.go else {GAINED, GO_AHEAD}
    waits = (s.questions.asking, *s.questions.pending)
    undecided = any(one is not None and one.question in open_ for one in waits)
    at = home.ends(s.day, s.course.steps, _since(s), undecided=undecided)
    if s.course.if_silent is not None and _unopened(s):
        return min(at, s.course.if_silent)
    return silence.waited(s.day, s.course.steps, at) if s.course.silent else at


def with_tries(s: Session) -> float | None:
    """When she goes home if she opens the hard tries; None where `ends` holds either way."""
    assert s.day is not None
    if s.course.if_silent is None or not _unopened(s):
        return None
    at = home.ends(s.day, s.course.steps, _since(s), undecided=True)
    return at if at - ends(s) >= 60.0 else None


def if_silent(s: Session) -> float:
    """When it ends if whoever told no end of the last batch says nothing any more."""
    assert s.day is not None
    return silence.ends(s.day, s.course.steps, _since(s), s.library)


def _unopened(s: Session) -> bool:
    """Whether hard tries still wait for somebody's go-ahead."""
    assert s.day is not None
    return silence.unopened(s.day, s.course.steps)


def minutes_left(s: Session) -> int:
    """Whole minutes until she goes home, one at least."""
    return _minutes(s, ends(s))


def what_is_left(s: Session) -> Message | None:
    """Minutes to both ends, where hard tries would bring the later one; None for one end."""
    later = with_tries(s)
    if later is None:
        return None
    minutes, more, several = minutes_left(s), _minutes(s, later), len(s.people) - 1
    tries = fitting.tries(s.course.steps)
    return message("left-or-tries", minutes=minutes, more=more, tries=tries, several=several)


def _minutes(s: Session, at: float) -> int:
    return max(round((at - s.at) / 60.0), 1)


#: Minutes ahead that a time of day may be told for, and the steps of the dial.
_AHEAD, _STEP = (10, 180), 5
_DIAL = 12 * 60


def clock(s: Session) -> float | None:
    """Seconds of the day now, time that the machine slept included; None where it is unknown."""
    if not s.options.wall:
        return None
    hours, minutes, seconds = (int(part) for part in s.options.wall[-8:].split(":"))
    return 3600.0 * hours + 60.0 * minutes + seconds + s.at - s.began + s.slept


def minutes_until(s: Session, dial: int) -> int | None:
    """Whole minutes from now until the dial shows so many minutes after twelve next."""
    now = clock(s)
    return round((60.0 * dial - now) / 60.0) % _DIAL if now is not None else None


def times_ahead(s: Session) -> tuple[str, ...]:
    """The times of day that may be told now, as answer keys, the nearest first."""
    least, most = _AHEAD
    found = {dial: minutes_until(s, dial) for dial in range(0, _DIAL, _STEP)}
    near = [(left, dial) for dial, left in found.items() if left is not None]
    return tuple(
        f"{Meaning.UNTIL.value}:{dial}" for left, dial in sorted(near) if least <= left <= most
    )


def _since(s: Session) -> float:
    """The second from which what is left can be counted, the running step first."""
    running, resting = s.course.running, s.rests.resting
    if resting is not None:
        # with nothing left to rest for, the rest goes as well
        return max(resting.until, s.at) if s.course.steps else s.at
    if running is None or running.since is None or running.step.name not in _first(s):
        return s.at
    step = running.step
    spent = step.lead + running.worked + s.at - running.since
    return s.at - min(max(spent, 0.0), step.lead + step.seconds)


def _first(s: Session) -> tuple[str, ...]:
    return tuple(step.name for step in s.course.steps[:1])
