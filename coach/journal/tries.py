"""Tries of earlier days on boulders with a name, for the sessions that come.

Owns who is meant: a person is known by name; without a name, by their number among the nameless.
"""

from collections.abc import Iterator
from dataclasses import replace

from coach.journal.rows import SessionRow
from coach.journal.store import Journal
from coach.model.facts import BoulderNamed, CauseTold, Fact, Tried, WentForIt
from coach.model.person import Person
from coach.model.tries import Went

#: Sessions that are looked back on: a boulder stays set for a few weeks (common practice).
LATEST = 40


def earlier_tries(journal: Journal, people: tuple[Person, ...], place: str) -> tuple[Went, ...]:
    """How these people's tries at a place went, the earliest first, on boulders with a name."""
    rows = [row for row in journal.sessions() if row.place == place]
    return tuple(went for row in rows[-LATEST:] for went in _of(journal, row, people))


def _of(journal: Journal, row: SessionRow, people: tuple[Person, ...]) -> Iterator[Went]:
    before = journal.people_of(row.id)
    facts = list(journal.facts(row.id, Tried, CauseTold, WentForIt, BoulderNamed))
    for person in people:
        for one in before:
            if _same(one, person):
                for went in _told(facts, one.who):
                    yield replace(went, who=person.who)


def _same(one: Person, other: Person) -> bool:
    if one.name or other.name:
        return one.name.casefold() == other.name.casefold()
    return one.who == other.who


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
