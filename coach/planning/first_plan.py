"""Making a plan: from who is here, the minutes and the routine to steps that fit.

Owns how a day begins: the caps of age, the gates that stand, and the least that works.
"""

from collections.abc import Sequence
from dataclasses import replace
from itertools import takewhile

from coach.errors import UsageError
from coach.model.answers import Answer, Meaning
from coach.model.body import Cap, Part, ceiling
from coach.model.day import Change, Day, Library
from coach.model.messages import Message, message
from coach.model.person import Person
from coach.model.plan import Fired, Step, StepKind
from coach.model.routine import BlockKind
from coach.planning import (
    age_limits,
    break_limits,
    consequences,
    contents,
    day_library,
    drills,
    fitting,
    gates,
    home,
    levels,
    remainder,
    rule_engine,
    selection,
    shorter,
    target,
    timeline,
)
from coach.planning import day_tags as tags
from coach.planning.offers import Offer
from coach.planning.situation import PLAN, Situation

#: Longest session that is planned, in minutes.
MOST_MINUTES = 300
#: Parts that one sentence names; where more are spared it says so of all.
MOST_NAMED = 3


def open_day(
    people: tuple[Person, ...],
    minutes: float,
    library: Library,
    standing: tuple[Cap, ...] = (),
    told: tuple[tuple[int, str], ...] = (),
) -> Day:
    """The day as it begins: it ends after `minutes`, ages cap, and every gate is shut.

    `standing` are caps from the record that still hold (warning signs that nobody cleared).
    Raises UsageError where nobody is here, or the minutes are too few or too many.
    """
    if not people:
        raise UsageError("nobody takes part", "name at least one person")
    routine = library.routine
    if not minutes >= routine.least_minutes:
        raise UsageError(
            f"{minutes:g} minutes are too few for the routine {routine.name!r}",
            f"it takes at least {routine.least_minutes}; with less, do its warm-up alone",
        )
    if minutes > MOST_MINUTES:
        raise UsageError(
            f"{minutes:g} minutes are more than a session has",
            f"choose {routine.least_minutes} to {MOST_MINUTES}",
        )
    caps = [*standing]
    for person in people:
        caps.extend(age_limits.caps(person))
        for question in gates.of_routine(routine):
            caps.extend(gates.caps(question, person.who))
    return Day(
        people=people,
        ends_at=minutes * 60.0,
        caps=tuple(caps),
        told=(*tags.check(told), *levels.tags(people, library.place)),
    )


def make_plan(day: Day, now: float, library: Library, on: drills.On | None = None) -> Change:
    """The steps for the time that is left, said in one sentence.

    `on` is the hard boulder of each person who told one: its drill is in the minutes.

    What waits for a gate is planned in the form that is allowed before it opens, and
    remembers what is meant. Raises UsageError where not even the floors fit.
    """
    whole, on = library, on or {}
    day = break_limits.sparing(day)
    day, chosen = _chosen(day, now, whole, drills.seconds(day, whole, on))
    library = day_library.library_of(day, whole)
    steps = drills.before_first_tries(chosen, day, library, on)
    steps = drills.once_more(steps, day, library, on)
    steps = consequences.under_caps(steps, day, library)
    fired: list[Fired] = []
    for person in day.people:
        situation = Situation(day, steps, now, person.who, Answer(Meaning.DONE), PLAN, library)
        change = rule_engine.apply(situation)
        day, steps = change.day, change.steps
        fired.extend(item for item in change.fired if item not in fired)
    ahead = tuple(takewhile(lambda step: step.kind is not StepKind.TRY, steps))
    values = {
        "minutes": round((home.ends(day, steps, now) - now) / 60.0),
        "easy": fitting.boulders(ahead, BlockKind.EASY),
        "middle": fitting.boulders(ahead, BlockKind.MIDDLE),
        **_shared([fitting.tries(steps, person.who) for person in day.people]),
    }
    spared = _spared(day, steps, library)
    if spared is not None:
        return Change(day=day, steps=steps, say=spared, fired=tuple(fired))
    key = "plan-in-one-sentence" if values["tries"] else "plan-without-tries"
    return Change(day=day, steps=steps, say=message(key, **values), fired=tuple(fired))


def _shared(tries: Sequence[int]) -> dict[str, int]:
    """How many tries, and whose: of the one who is there (0), of each (1), of all together (2)."""
    if len(tries) == 1:
        return {"tries": tries[0], "each": 0}
    alike = len(set(tries)) == 1
    return {"tries": tries[0] if alike else sum(tries), "each": 1 if alike else 2}


def _spared(day: Day, steps: Sequence[Step], library: Library) -> Message | None:
    """What is left for somebody alone who may load a part not at all; None where that is nobody."""
    if len(day.people) > 1:
        return None
    who = day.people[0].who
    parts = [part.value for part in Part if ceiling(day.caps, who, part) == 0]
    left = remainder.minutes_of(steps, who)
    if not parts or not left:
        return None
    moved = remainder.parts_of(steps, who, library.movements)
    if len(parts) > MOST_NAMED:
        return message("plan-sparing-all", left=left, parts=moved)
    return message("plan-sparing", part=" ".join(parts), left=left, parts=moved)


def _with_rounds(offers: Sequence[Offer], most: int | None) -> tuple[Offer, ...]:
    """The offers with so many rounds of hard tries at most, None for all."""
    tried = [offer.name for offer in offers if offer.tries]
    out = frozenset(tried[most:] if most is not None else ())
    return tuple(offer for offer in offers if offer.name not in out)


def _chosen(day: Day, now: float, library: Library, drilled: float) -> tuple[Day, tuple[Step, ...]]:
    """The steps of the session that reaches furthest in the time that is left, and its reach.

    `drilled` are the seconds of the drills before the first tries.
    """
    whole = day.ends_at - now
    rounds = 1 if library.routine.only_tries else selection.LEAST_ROUNDS
    least = 0.0
    for reach in shorter.reaches(library.routine):
        day = replace(day, reach=reach)
        shown = day_library.library_of(day, library)
        offers = _with_rounds(contents.of_routine(day, shown), levels.rounds(day))
        within = target.seconds(day, now)
        tried = any(offer.tries for offer in offers)
        seconds = whole - drilled if tried else whole
        found = selection.select(
            offers, seconds, within, library.movements, rounds, levels.least(day, library.place)
        )
        if found is not None:
            return day, found
        floors = [step for offer in offers if offer.must for step in offer.steps]
        least = timeline.seconds_of(floors)
    raise UsageError(
        f"{whole / 60:g} minutes are too few for the warm-up of the routine "
        f"{library.routine.name!r}",
        f"it takes about {-int(-least // 60)}; with less, do its warm-up alone",
    )
