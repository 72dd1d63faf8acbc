"""Planning: pure functions from a day and a library to steps. See docs/planning.md.

    open_day(people, minutes, library) -> Day
    make_plan(day, now, library) -> Change
    adapt(day, steps, now, who, answer, question, library) -> Change
    after_idle(day, steps, now, idle_seconds, library) -> Change
    keep_time(day, steps, now, library) -> Change
    next_in_time(day, steps, now, library) -> Change
    climbed(day, steps, now, batch, library) -> Change
    spare_filled(day, steps, now, library) -> Change
    unopened(day, steps, now, library) -> (Day, steps)
    made_up(day, steps, now, step, library) -> Change

`steps` is what is left, current step first; `question` is the question that the answer
belongs to ('' when told unasked). Every step that is handed out is within every cap: what
waits for a gate stands in the form that is allowed before it opens, and says in `intended`
what is meant.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from coach.planning.adaptation import adapt, climbed, made_up, spare_filled, unopened
    from coach.planning.first_plan import make_plan, open_day
    from coach.planning.idle_time import after_idle, keep_time, next_in_time
    from coach.planning.sentences import MESSAGES

__all__ = [
    "MESSAGES",
    "adapt",
    "after_idle",
    "climbed",
    "keep_time",
    "made_up",
    "make_plan",
    "next_in_time",
    "open_day",
    "spare_filled",
    "unopened",
]

_PLACES = {
    "MESSAGES": "sentences",
    "adapt": "adaptation",
    "after_idle": "idle_time",
    "climbed": "adaptation",
    "keep_time": "idle_time",
    "made_up": "adaptation",
    "make_plan": "first_plan",
    "next_in_time": "idle_time",
    "open_day": "first_plan",
    "spare_filled": "adaptation",
    "unopened": "adaptation",
}


def __getattr__(name: str) -> Any:
    """Load a name where it is used: the record wants a grade or a limit, and no planner."""
    if name not in _PLACES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_PLACES[name]}"), name)
