"""A real session of the real core in a journal, run in a moment on the fake clock."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from coach.files.answers import read_answers
from coach.files.library import load_library
from coach.files.words import load_language
from coach.journal import Journal, SessionId
from coach.model.facts import Fact
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.rehearsal import rehearse
from coach.session.events import Event
from coach.session.step import new_session
from tests.beginning import entry

DAY = Path(__file__).parents[1] / "cli" / "normal-day.txt"
PERSON = Person(1, "", AgeBand.ADULT, "marble", "medium", "6C")


@dataclass
class _Keeper:
    journal: Journal
    session: SessionId

    def commit(self, event: Event, facts: tuple[Fact, ...], wall: datetime) -> None:
        self.journal.commit(self.session, event, facts, wall)


def rehearse_into(journal: Journal, wall: str = "2026-03-03T18:00:00+01:00") -> SessionId:
    """A normal 90-minute day, closed; its number."""
    library = load_library("full", "tarnwick", ())
    language = load_language("en", library.movements, ())
    options = Options((PERSON,), 90.0, (), True)
    session = journal.begin(entry(library, options, datetime.fromisoformat(wall)))
    script = read_answers(DAY, language.find) if DAY.exists() else ()
    done = rehearse(new_session(library, options), language, script, _Keeper(journal, session))
    journal.close_session(session, done.session.how or "done")
    return session
