"""The timeline of what is left: when each step begins, and the rest that it waits for.

Owns that no part is loaded again before it has rested for as long as what loaded it asks: while
it rests, a step that does not load it may run. A cue counts as rest, for nobody moves in it. And
that strength work waits after a hard try; what is gentle may come at once.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from coach.model.body import Part
from coach.model.day import Day
from coach.model.plan import Step, StepKind

#: Seconds that a plan may run over before it is fitted again (our choice).
SLACK = 30.0
#: Seconds between a hard try and strength work: 3 min between like parts in a circuit (Willardson
#: JM 2006, J Strength Cond Res 20(4):978-984, read second-hand); that a try loads all is ours.
AFTER_A_TRY = 180.0
#: Who and part -> the second from which it may be loaded again; None for strength after a try.
Rested = Mapping[tuple[int, Part | None], float]
_NOTHING: Rested = {}
#: Looked up once, as in `coach.planning.offers`.
_TRY = StepKind.TRY


def of_day(day: Day) -> Rested:
    """When the parts of everybody have rested, as far as something was done already."""
    return {(who, part): at for who, part, at in day.rested}


def ready(step: Step, rested: Rested) -> float:
    """The second from which the work of a step may begin; 0 where nothing has to rest for it."""
    return _waited(step, 0.0, rested)


def _waited(step: Step, at: float, rested: Rested) -> float:
    """A second, or the later one at which all that a step loads has rested."""
    for key, free in rested.items():
        if free > at and key in step.loaded:
            at = free
    return at


def after(step: Step, ended: float, rested: Rested, more: float = 0.0) -> Rested:
    """When parts have rested once a step has ended; `more` are seconds of rest beyond its own."""
    if step.kind is not _TRY and not step.rest + more:
        return rested
    left = dict(rested)
    _load(step, ended, left, more)
    return left


def _load(
    step: Step, ended: float, rested: dict[tuple[int, Part | None], float], more: float = 0.0
) -> None:
    """Let rest what a step has loaded."""
    if step.kind is _TRY:
        rested[step.turn, None] = ended + AFTER_A_TRY
    until = ended + step.rest + more
    for key in step.strained if until > ended else ():
        if until > rested.get(key, 0.0):
            rested[key] = until


def loaded(day: Day, step: Step, ended: float, more: float = 0.0) -> Day:
    """The day after a step: what it loaded rests. What has rested already is forgotten."""
    left = after(step, ended, of_day(day), more)
    rested = tuple((who, part, at) for (who, part), at in left.items() if at > ended)
    return day if rested == day.rested else replace(day, rested=rested)


def wait(day: Day, step: Step, now: float) -> float:
    """Seconds to rest before the cue of a step, so that its work begins no sooner than it may."""
    return max(ready(step, of_day(day)) - step.lead - now, 0.0)


def costs(steps: Iterable[Step], now: float = 0.0, rested: Rested = _NOTHING) -> Iterator[float]:
    """Seconds that each step takes in this order: the rest it waits for, its cue, its work."""
    at, left = now, dict(rested)
    for step in steps:
        ends = _waited(step, at + step.lead, left) + step.seconds
        _load(step, ends, left)
        yield ends - at
        at = ends


def seconds_of(steps: Iterable[Step], now: float = 0.0, rested: Rested = _NOTHING) -> float:
    """Seconds that steps take from the session in this order."""
    return sum(costs(steps, now, rested))


def begins(steps: Sequence[Step], now: float = 0.0, rested: Rested = _NOTHING) -> list[float]:
    """The second at which the work of each step begins."""
    found = []
    for step, cost in zip(steps, costs(steps, now, rested), strict=True):
        now += cost
        found.append(now - step.seconds)
    return found
