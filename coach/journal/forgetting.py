"""A session as it is when one of its people is forgotten.

What others did stays. Of the person the session keeps only that somebody was there: what they told
and did, what was told because of it, and every sound of the session (in which their name or their
answers may be) become moments at which nothing is told.
"""

from dataclasses import replace
from typing import TYPE_CHECKING

from coach.journal.codec import Recorded
from coach.model.facts import Fact, Planned, RuleFired
from coach.model.person import Person
from coach.model.start import Options, Start
from coach.record.attribution import attributed
from coach.session.events import (
    Answered,
    Event,
    KeyClaimed,
    SoundEnded,
    SoundStarted,
    TimePassed,
)

if TYPE_CHECKING:
    from coach.journal.transfer import Whole

#: Marks a record that is no longer all of what happened, so that nothing replays it.
EDITED = "edited"


def without(given: "Whole", who: int) -> "Whole":
    """The session without one of its people; the same where they were forgotten before."""
    if not any(one.who == who and one != Person(who) for one in given.start.people):
        return given
    people = [one.who for one in given.start.people]
    recorded = tuple(_of_others(one, who, people) for one in given.recorded)
    return replace(given, start=_start(given.start, who), recorded=recorded)


def _of_others(one: Recorded, who: int, people: list[int]) -> Recorded:
    owned = list(attributed([one.facts], people))
    theirs = any(fact.who == who for fact in owned)
    kept = tuple(_kept(fact, theirs) for fact in one.facts if not _is_theirs(fact, owned, who))
    event = one.event
    if theirs or _tells(event) or getattr(event, "who", 0) == who:
        event = TimePassed(event.at)
    return replace(one, event=event, facts=kept)


def _is_theirs(fact: Fact, owned: list[Fact], who: int) -> bool:
    """Whether a fact is the person's, a rule included that their answer made fire."""
    if isinstance(fact, RuleFired) and fact.who == 0:
        return replace(fact, who=who) in owned
    return fact.who == who


def _kept(fact: Fact, theirs: bool) -> Fact:
    """A fact of everybody, without what the person's answer was."""
    if theirs and isinstance(fact, Planned):
        return replace(fact, because="")
    return fact


def _tells(event: Event) -> bool:
    """Whether an event may hold words about anybody: sounds do, and answers of no told person."""
    if isinstance(event, Answered | KeyClaimed):
        return event.who == 0
    return isinstance(event, SoundStarted | SoundEnded)


def _start(start: Start, who: int) -> Start:
    version = start.rules_version
    return replace(
        start,
        people=_people(start.people, who),
        settled=_settled(start.settled, who),
        rules_version=version if version.endswith(EDITED) else f"{version} {EDITED}",
    )


def _people(people: tuple[Person, ...], who: int) -> tuple[Person, ...]:
    return tuple(Person(one.who) if one.who == who else one for one in people)


def _settled(options: Options, who: int) -> Options:
    """What the check-in did not ask, of the others alone.

    Every field that is about people by their number is a row of tuples that begin with it, or of
    numbers, or of values with a `who`: a new one is taken care of by its shape.
    """
    changed: dict[str, object] = {"people": _people(options.people, who), "aim": None}
    for name in options.__dataclass_fields__:
        value = getattr(options, name)
        if name not in changed and isinstance(value, tuple):
            changed[name] = tuple(item for item in value if _number(item) != who)
    return replace(options, **changed)  # type: ignore[arg-type]


def _number(item: object) -> int | None:
    """Whose an item of the options is."""
    if isinstance(item, tuple) and item and isinstance(item[0], int):
        return item[0]
    if isinstance(item, int) and not isinstance(item, bool):
        return item
    return getattr(item, "who", None)
