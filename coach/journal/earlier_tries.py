"""What earlier days left on boulders with a name, for the sessions that come.

Who is meant, `coach.record.people` tells.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from coach.journal.persons import known_people
from coach.journal.session_rows import SessionId
from coach.journal.store import Journal
from coach.model.facts import (
    BoulderNamed,
    CauseTold,
    EffortFelt,
    Fact,
    Filmed,
    NoteMade,
    RestChosen,
    Retold,
    StepEnded,
    Tried,
    Varied,
    WentForIt,
    Won,
)
from coach.model.key_moves import KEY_MOVES
from coach.model.person import Person
from coach.model.tries import HEIGHTS, UNNAMED, Boulder, Went
from coach.planning import recovery
from coach.planning.try_trend import best, higher
from coach.record.retelling import as_last_told

#: Sessions that are looked back on: a boulder stays set for a few weeks (common practice).
LATEST = 40


def earlier_tries(journal: Journal, people: tuple[Person, ...], place: str) -> tuple[Went, ...]:
    """How these people's tries at a place went, the earliest first, on boulders with a name."""
    rows = journal.latest(LATEST, place)
    return tuple(went for row in rows for went in tries_of(journal, row.id, people))


def tries_of(journal: Journal, session: SessionId, people: tuple[Person, ...]) -> Iterator[Went]:
    """How these people's tries of one session went, on boulders with a name."""
    told = (Tried, Retold, CauseTold, EffortFelt, WentForIt, Varied, Won, BoulderNamed)
    facts = as_last_told(journal.facts(session, *told))
    for person, one in people_in(journal, session, people):
        for went in _told(facts, one.who):
            yield replace(went, who=person.who)


def known_boulders(journal: Journal, people: tuple[Person, ...], place: str) -> tuple[Boulder, ...]:
    """Boulders with a name that one of these people told something of, as it was last told."""
    found: dict[str, Boulder] = {}
    for _, fact in _facts(journal, people, place, BoulderNamed):
        if isinstance(fact, BoulderNamed) and (fact.style or fact.moves or fact.about):
            found[fact.boulder] = _named(fact)
    return tuple(found.values())


def _named(fact: BoulderNamed) -> Boulder:
    """What was told of a boulder; once a leap was told as a style."""
    leaps = fact.style in KEY_MOVES
    style, about = ("", fact.style) if leaps else (fact.style, fact.about)
    return Boulder(fact.boulder, style, fact.moves, about, fact.key_at, fact.hand)


def notes_of(
    journal: Journal, people: tuple[Person, ...], place: str, there: Callable[[str], bool]
) -> tuple[tuple[int, str, str], ...]:
    """The latest note of each person on each boulder with a name, if its file is `there`."""
    found: dict[tuple[int, str], str] = {}
    for who, fact in _facts(journal, people, place, NoteMade):
        if isinstance(fact, NoteMade) and there(fact.name) and _has_name(fact.boulder):
            found[who, fact.boulder] = fact.name
    return tuple((who, boulder, name) for (who, boulder), name in found.items())


def own_rests(
    journal: Journal, people: tuple[Person, ...], since: str = ""
) -> tuple[tuple[int, float], ...]:
    """The rest between hard tries that each of these people told last, or that theirs teach.

    Any place counts: it is about the person. Who is not there has no rest of their own. `since` is
    the day, YYYY-MM-DD, before which everything is forgotten.
    """
    rows = [row for row in journal.latest(LATEST) if row.begun[:10] >= since]
    found = []
    for person in people:
        told, sessions = 0.0, []
        for row in rows:
            for mine, one in people_in(journal, row.id, (person,)):
                facts = as_last_told(journal.facts(row.id, RestChosen, StepEnded, Tried, Retold))
                told = next(
                    (
                        fact.seconds
                        for fact in reversed(facts)
                        if isinstance(fact, RestChosen) and fact.who == one.who
                    ),
                    told,
                )
                if mine is person:
                    sessions.append(rests_before_good(facts, one.who))
        seconds = told or recovery.own_rest(sessions)
        if seconds:
            found.append((person.who, seconds))
    return tuple(found)


def rests_before_good(facts: Iterable[Fact], who: int) -> list[float]:
    """Seconds from each try of a person to a next one that went as far as any on its boulder.

    The tries of others are rest as well. A rest with a drill in it, and one after a try whose end
    nobody told, tell nothing.
    """
    found: list[float] = []
    log: list[Went] = []
    rested, down = 0.0, None
    for fact in facts:
        match fact:
            case StepEnded(who=mine, kind="try", amount=amount) if mine == who and amount > 0:
                rested = fact.at - fact.seconds - down if down is not None else 0.0
                down = fact.at
            case StepEnded(who=mine, step=step, amount=amount) if mine == who:
                down = None if ".drill-" in step and amount > 0 else down
            case Tried(who=mine, boulder=boulder, result=result, move=move) if mine == who:
                went = Went(who, boulder, result, move)
                top = best([one for one in log if one.boulder == boulder])
                if rested and top is not None and result in HEIGHTS and higher(went, top) >= 0:
                    found.append(rested)
                log.append(went)
                rested, down = 0.0, down if fact.seconds else None
    return found


def drilled(journal: Journal, person: Person) -> dict[str, frozenset[int]]:
    """Session uid -> the numbers of a person's tries that a drill came right before."""
    found: dict[str, frozenset[int]] = {}
    for row in journal.latest(LATEST):
        for _, one in people_in(journal, row.id, (person,)):
            numbers, drill = set(), False
            for fact in journal.facts(row.id, StepEnded, Tried):
                if fact.who != one.who:
                    continue
                if isinstance(fact, Tried):
                    numbers |= {fact.number} if drill else set()
                    drill = False
                elif isinstance(fact, StepEnded):
                    drill |= ".drill-" in fact.step and fact.amount > 0
            if numbers:
                found[row.uid] = frozenset(numbers)
    return found


def films_of(
    journal: Journal, people: tuple[Person, ...], place: str
) -> tuple[tuple[int, str], ...]:
    """Who filmed a try in the last session there, and on which boulder with a name."""
    told = [
        (person.who, fact.boulder)
        for row in journal.latest(1, place)
        for person, one in people_in(journal, row.id, people)
        for fact in journal.facts(row.id, Filmed)
        if isinstance(fact, Filmed) and fact.who == one.who and _has_name(fact.boulder)
    ]
    return tuple(dict.fromkeys(told))


def _facts(
    journal: Journal, people: tuple[Person, ...], place: str, *kinds: type[Fact]
) -> Iterator[tuple[int, Fact]]:
    """Facts of these people in the latest sessions at a place, each with its person's number."""
    for row in journal.latest(LATEST, place):
        pairs = people_in(journal, row.id, people)
        for fact in journal.facts(row.id, *kinds):
            for person, one in pairs:
                if fact.who == one.who:
                    yield person.who, fact


def people_in(
    journal: Journal, session: SessionId, people: tuple[Person, ...]
) -> list[tuple[Person, Person]]:
    """Each of these people with who they were in that session."""
    known = known_people(journal)
    before = journal.people_of(session)
    ids = {known.who_is(one, len(before)).id: one for one in before}
    wanted = [(person, known.who_is(person, len(people)).id) for person in people]
    return [(person, ids[someone]) for person, someone in wanted if someone in ids]


def _has_name(boulder: str) -> bool:
    return boulder.rpartition(" ")[0] != UNNAMED


def _told(facts: list[Fact], who: int) -> list[Went]:
    """The tries of one person in one session, each with what was told of it after it."""
    own = [fact for fact in facts if fact.who == who]
    named = {fact.boulder for fact in own if isinstance(fact, BoulderNamed)}
    log: list[Went] = []
    for fact in own:
        match fact:
            case Tried(boulder=boulder, result=result, move=move) if boulder in named:
                log.append(Went(who, boulder, result, move, today=False))
            case CauseTold(boulder=boulder, cause=cause):
                _mark(log, boulder, cause=cause)
            case EffortFelt(boulder=boulder, felt=felt):
                _mark(log, boulder, felt=felt)
            case Varied(boulder=boulder, variation=variation):
                _mark(log, boulder, variation=variation)
            case WentForIt(boulder=boulder, gone=gone):
                _mark(log, boulder, gone=gone)
            case Won(boulder=boulder, what="closer"):
                _mark(log, boulder, closer=True)
    return log


def _mark(log: list[Went], boulder: str, **told: object) -> None:
    for index in range(len(log) - 1, -1, -1):
        if log[index].boulder == boulder:
            log[index] = replace(log[index], **told)  # type: ignore[arg-type]
            return
