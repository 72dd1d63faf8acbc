"""What earlier days left on boulders with a name, for the sessions that come.

Who is meant, `coach.record.people` tells.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace

from coach.journal.people import known_people
from coach.journal.rows import SessionRow
from coach.journal.store import Journal
from coach.model.facts import BoulderNamed, CauseTold, Fact, Filmed, NoteMade, Tried, WentForIt
from coach.model.person import Person
from coach.model.tries import UNNAMED, Boulder, Went

#: Sessions that are looked back on: a boulder stays set for a few weeks (common practice).
LATEST = 40


def earlier_tries(journal: Journal, people: tuple[Person, ...], place: str) -> tuple[Went, ...]:
    """How these people's tries at a place went, the earliest first, on boulders with a name."""
    rows = [row for row in journal.sessions() if row.place == place]
    return tuple(went for row in rows[-LATEST:] for went in _of(journal, row, people))


def _of(journal: Journal, row: SessionRow, people: tuple[Person, ...]) -> Iterator[Went]:
    facts = list(journal.facts(row.id, Tried, CauseTold, WentForIt, BoulderNamed))
    for person, one in _pairs(journal, row, people):
        for went in _told(facts, one.who):
            yield replace(went, who=person.who)


def known_boulders(journal: Journal, people: tuple[Person, ...], place: str) -> tuple[Boulder, ...]:
    """Boulders with a name that one of these people told something of, as it was last told."""
    found: dict[str, Boulder] = {}
    for _, fact in _facts(journal, people, place, BoulderNamed):
        if isinstance(fact, BoulderNamed) and (fact.style or fact.moves):
            found[fact.boulder] = Boulder(fact.boulder, fact.style, fact.moves)
    return tuple(found.values())


def notes_of(
    journal: Journal, people: tuple[Person, ...], place: str, there: Callable[[str], bool]
) -> tuple[tuple[int, str, str], ...]:
    """The latest note of each person on each boulder with a name, if its file is `there`."""
    found: dict[tuple[int, str], str] = {}
    for who, fact in _facts(journal, people, place, NoteMade):
        if isinstance(fact, NoteMade) and there(fact.name) and _has_name(fact.boulder):
            found[who, fact.boulder] = fact.name
    return tuple((who, boulder, name) for (who, boulder), name in found.items())


def films_of(
    journal: Journal, people: tuple[Person, ...], place: str
) -> tuple[tuple[int, str], ...]:
    """Who filmed a try in the last session there, and on which boulder with a name."""
    rows = [row for row in journal.sessions() if row.place == place][-1:]
    told = [
        (person.who, fact.boulder)
        for row in rows
        for person, one in _pairs(journal, row, people)
        for fact in journal.facts(row.id, Filmed)
        if isinstance(fact, Filmed) and fact.who == one.who and _has_name(fact.boulder)
    ]
    return tuple(dict.fromkeys(told))


def _facts(
    journal: Journal, people: tuple[Person, ...], place: str, *kinds: type[Fact]
) -> Iterator[tuple[int, Fact]]:
    """Facts of these people in the latest sessions at a place, each with its person's number."""
    rows = [row for row in journal.sessions() if row.place == place]
    for row in rows[-LATEST:]:
        pairs = _pairs(journal, row, people)
        for fact in journal.facts(row.id, *kinds):
            for person, one in pairs:
                if fact.who == one.who:
                    yield person.who, fact


def _pairs(
    journal: Journal, row: SessionRow, people: tuple[Person, ...]
) -> list[tuple[Person, Person]]:
    """Each of these people with who they were in that session."""
    known = known_people(journal)
    before = journal.people_of(row.id)
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
            case CauseTold(boulder=boulder, cause=cause, offer=offer):
                _mark(log, boulder, cause=cause, offer=offer)
            case WentForIt(boulder=boulder, gone=gone):
                _mark(log, boulder, gone=gone)
    return log


def _mark(log: list[Went], boulder: str, **told: object) -> None:
    for index in range(len(log) - 1, -1, -1):
        if log[index].boulder == boulder:
            log[index] = replace(log[index], **told)  # type: ignore[arg-type]
            return
