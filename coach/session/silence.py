"""The course of silence: when it ends where nobody says a word any more.

What silence makes of the plan is asked of planning as the session itself will: a batch whose end
nobody tells is given up, comes again before the hard tries and is given up with them; a go-ahead
that nobody answers leaves them out.
"""

from collections.abc import Sequence

from coach import planning
from coach.model.answers import Answer, Meaning
from coach.model.day import Day, Library
from coach.model.plan import Step, StepKind
from coach.planning import timeline
from coach.planning.gates import GO_AHEAD
from coach.session import patience

_GIVEN_UP = Answer(Meaning.SKIP)


def ends(day: Day, steps: tuple[Step, ...], now: float, library: Library) -> float:
    """The second at which it ends, `now` that at which what is left begins."""
    while unopened(day, steps):
        at = next((n for n, one in enumerate(steps) if _decides(one)), len(steps))
        day, now = _past(day, steps[:at], now)
        steps = steps[at:]
        if not steps or steps[0].kind is not StepKind.CLIMB:
            day, steps = planning.unopened(day, steps, now, library)
            break
        batch, who = steps[:1], steps[0].forms[0].who
        _, now = _past(day, batch, now)
        change = planning.adapt(day, steps, now, who, _GIVEN_UP, "", library)
        day, steps = timeline.loaded(change.day, batch[0], now), change.steps
    return _past(day, steps, now)[1]


def unopened(day: Day, steps: Sequence[Step]) -> bool:
    """Whether hard tries wait for somebody's go-ahead."""
    return any(step.kind is StepKind.TRY and step.turn not in day.go for step in steps)


def waited(day: Day, steps: Sequence[Step], at: float) -> float:
    """The end of these steps where nobody tells that of a batch: each is waited for.

    What does not fit into her minutes then is left out.
    """
    waits = sum(patience.in_silence(step) for step in steps)
    return max(at, min(at + waits, day.ends_at))


def _decides(step: Step) -> bool:
    """Whether silence at this step changes the plan."""
    batch = step.kind is StepKind.CLIMB and (step.warms or bool(step.makes_up))
    return batch or step.question == GO_AHEAD


def _past(day: Day, steps: Sequence[Step], now: float) -> tuple[Day, float]:
    """The day and the second after these steps."""
    now = waited(day, steps, now + timeline.seconds_of(steps, now, timeline.of_day(day)))
    return timeline.loaded(day, steps[-1], now) if steps else day, now
