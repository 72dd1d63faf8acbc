"""The age band that a person told, by voice, by key or by command: the last one counts."""

import json
from collections.abc import Iterator
from datetime import datetime

from coach.journal import codec, statements
from coach.journal.database import explained
from coach.journal.persons import sessions_of
from coach.journal.store import Journal, SessionId
from coach.model.facts import AgeTold
from coach.model.person import AgeBand
from coach.record.people import Someone

_TOLD = """
SELECT session.id, instant, told.body FROM (
    SELECT session AS s, body FROM fact WHERE kind = 'AgeTold'
    UNION ALL SELECT session, body FROM told WHERE kind = 'AgeTold'
) AS told JOIN session ON session.id = s
"""
_STATED = "SELECT wall, body FROM statement WHERE kind = ? ORDER BY wall, uid"


def age_of(journal: Journal, someone: Someone) -> AgeBand:
    """The band that counts now; UNKNOWN where none was told."""
    told = [*_in_sessions(journal, someone), *_stated(journal, someone)]
    return max(told, key=lambda one: one[0], default=(0.0, AgeBand.UNKNOWN))[1]


def state_age(journal: Journal, someone: Someone, band: AgeBand, wall: datetime) -> None:
    """Keep that a person is in a band from now on."""
    with journal.transaction("keeping a statement"):
        statements.keep(journal, statements.AGE, wall, someone.keys[0], band.value)


def _in_sessions(journal: Journal, someone: Someone) -> Iterator[tuple[float, AgeBand]]:
    numbers = sessions_of(journal, someone)
    with explained(journal.path, "reading the journal"):
        for session, instant, body in journal.rows(_TOLD):
            fact = codec.decode_fact(AgeTold.__name__, body)
            assert isinstance(fact, AgeTold)
            if numbers.get(SessionId(session)) == fact.who:
                yield instant + fact.at, fact.band


def _stated(journal: Journal, someone: Someone) -> Iterator[tuple[float, AgeBand]]:
    for wall, body in journal.rows(_STATED, statements.AGE):
        key, band = json.loads(body)
        if key in someone.keys:
            yield datetime.fromisoformat(wall).timestamp(), AgeBand(band)
