"""A real session of the real core in a journal, run in a moment on the fake clock."""

from dataclasses import dataclass, field
from datetime import datetime
from functools import cache
from pathlib import Path

from coach.files.answers_file import read_answers
from coach.files.library import load_library
from coach.files.words import load_language
from coach.journal import Journal, SessionId
from coach.model.day import Library
from coach.model.facts import Fact
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.runtime.rehearsal import rehearse
from coach.session.events import Event
from coach.session.step import new_session
from tests.beginning import entry

DAY = Path(__file__).parents[1] / "cli" / "normal-day.txt"
PERSON = Person(1, "", AgeBand.ADULT, "marble", "medium", "6C")
OPTIONS = Options((PERSON,), 90.0, (), True)


Committed = tuple[Event, tuple[Fact, ...], datetime]


@dataclass
class _Keeper:
    committed: list[Committed] = field(default_factory=list)

    def commit(self, event: Event, facts: tuple[Fact, ...], wall: datetime) -> None:
        self.committed.append((event, facts, wall))


@cache
def _day() -> tuple[Library, tuple[Committed, ...], str]:
    """What the day is made of, each commit of it, and how it ended: always the same."""
    library = load_library("full", "tarnwick", ())
    language = load_language("en", library.movements, ())
    keeper = _Keeper()
    script = read_answers(DAY, language.breath)
    done = rehearse(new_session(library, OPTIONS), language, script, keeper)
    return library, tuple(keeper.committed), done.session.how or "done"


def rehearse_into(journal: Journal, wall: str = "2026-03-03T18:00:00+01:00") -> SessionId:
    """A normal 90-minute day, closed; its number."""
    library, committed, how = _day()
    session = journal.begin(entry(library, OPTIONS, datetime.fromisoformat(wall)))
    for event, facts, at in committed:
        journal.commit(session, event, facts, at)
    journal.close_session(session, how)
    return session
