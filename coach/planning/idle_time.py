"""Idling and the clock: what a long pause asks for, and what still fits.

Seconds come from the caller; nothing here has a clock.
"""

from coach.model.answers import Answer, Meaning
from coach.model.day import Change, Day, Library
from coach.model.plan import Step
from coach.planning import day_library, fitting, rule_engine, timeline
from coach.planning.situation import CLOCK, IDLE, Situation


def after_idle(
    day: Day, steps: tuple[Step, ...], now: float, idle_seconds: float, library: Library
) -> Change:
    """The session after nothing was done for a while, fitted to the time that is left.

    9 min are noticed; after more than 15 a re-warm is offered (`Change.ask`).
    """
    who = day.people[0].who
    answer = Answer(Meaning.SILENCE, number=int(idle_seconds))
    as_today = day_library.library_of(day, library)
    situation = Situation(day, steps, now, who, answer, IDLE, as_today)
    if not rule_engine.matching(situation):
        return keep_time(day, steps, now, library)
    return rule_engine.apply(situation)


def next_in_time(day: Day, steps: tuple[Step, ...], now: float, library: Library) -> Change:
    """As `keep_time`, where the first step has not begun: a batch has the boulders that fit."""
    room = day.ends_at + timeline.SLACK - now
    steps = fitting.first_batch(steps, room, now, timeline.of_day(day))
    return keep_time(day, steps, now, library)


def keep_time(day: Day, steps: tuple[Step, ...], now: float, library: Library) -> Change:
    """The steps fitted to the time that is left; says what went, and nothing where all fits.

    Call it where a block ends and after pauses: hard tries go first, floors last.
    """
    if now + timeline.seconds_of(steps, now, timeline.of_day(day)) <= day.ends_at + timeline.SLACK:
        return Change(day, steps)
    who = day.people[0].who
    answer = Answer(Meaning.SILENCE)
    library = day_library.library_of(day, library)
    change = rule_engine.apply(Situation(day, steps, now, who, answer, CLOCK, library))
    return change if change.steps != steps else Change(day, steps)
