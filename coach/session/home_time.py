"""When she goes home, as the session shows and says it: what runs or rests just now counts too."""

from coach.planning import home
from coach.planning.gates import GO_AHEAD
from coach.planning.situation import GAINED
from coach.session.state import Session


def ends(s: Session) -> float:
    """The second at which she goes home; only with a plan."""
    assert s.day is not None
    open_ = {GAINED} if s.day.go else {GAINED, GO_AHEAD}
    waits = (s.questions.asking, *s.questions.pending)
    undecided = any(one is not None and one.question in open_ for one in waits)
    return home.ends(s.day, s.course.steps, _since(s), undecided=undecided)


def minutes_left(s: Session) -> int:
    """Whole minutes until then, one at least."""
    return max(round((ends(s) - s.at) / 60.0), 1)


def _since(s: Session) -> float:
    """The second from which what is left can be counted, the running step first."""
    running, resting = s.course.running, s.rests.resting
    if resting is not None:
        return max(resting.until, s.at)
    if running is None or running.since is None or running.step.name not in _first(s):
        return s.at
    step = running.step
    spent = step.lead + running.worked + s.at - running.since
    return s.at - min(max(spent, 0.0), step.lead + step.seconds)


def _first(s: Session) -> tuple[str, ...]:
    return tuple(step.name for step in s.course.steps[:1])
