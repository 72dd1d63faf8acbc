"""When she goes home: her minutes, not those of the plan.

A plan is an estimate that every batch of boulders moves; what she has told is not. So until the
go-ahead what is left counts down to the end of her minutes, or to the end that the plan had when it
was made where it could not fill them. An answer that takes minutes out of the plan takes them off;
that the plan is fitted to the clock does not. At the go-ahead it is settled whether gained minutes
are filled; from then on the plan tells.
"""

from collections.abc import Sequence
from dataclasses import replace

from coach.model.day import Day
from coach.model.plan import Step
from coach.planning import timeline
from coach.planning.gates import GO_AHEAD

#: Seconds that a plan may end before her minutes do and still fill them (our choice): before the
#: go-ahead, where a try more or an easy minute is still to come; where a batch has told her pace;
#: and after the go-ahead.
FILLED, PACED, SETTLED = 240.0, 120.0, 60.0
#: Seconds that the last words and the last question take.
CLOSING = 30.0
#: Seconds by which an answer has to change the plan to move the end.
_MOVED = 60.0


def ends(day: Day, steps: Sequence[Step], now: float, *, undecided: bool = False) -> float:
    """The second at which she goes home, as far as it can be told now.

    `undecided` while it is asked what becomes of the minutes that were gained.
    """
    planned = _planned(day, steps, now)
    if not undecided and not _ahead(day, steps):
        return filled(day, planned, SETTLED)
    return min(day.ends_at, max(day.home_at, planned))


def moved(before: Day, was: float, day: Day, steps: Sequence[Step], now: float) -> Day:
    """The day after an answer: the end moves with what it took from the plan or added.

    `was` are the seconds that the plan took before it; 0 where there was none.
    """
    seconds = timeline.seconds_of(steps, now, timeline.of_day(day))
    if not was or not before.home_at:
        at = filled(day, now + seconds)
    elif abs(seconds - was) < _MOVED:
        at = min(before.home_at, day.ends_at)
    else:
        at = min(before.home_at + seconds - was, day.ends_at)
    return day if at == day.home_at else replace(day, home_at=at)


def _planned(day: Day, steps: Sequence[Step], now: float) -> float:
    return now + timeline.seconds_of(steps, now, timeline.of_day(day))


def filled(day: Day, planned: float, within: float = FILLED) -> float:
    """The end of her minutes where a plan fills them, else that of the plan."""
    return day.ends_at if planned >= day.ends_at - within else planned


def _ahead(day: Day, steps: Sequence[Step]) -> bool:
    return not day.go and any(step.question == GO_AHEAD for step in steps)
