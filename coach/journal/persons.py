"""The persons of a journal: who somebody is, and what they took part in.

`known_people` says who is who; `sessions_of` where a person took part and under which number.
Nothing is stored that `coach.record.people` can derive, apart from what somebody stated.
`coach.journal.body_statements` has what stands for a person.
"""

import json
from datetime import datetime

from coach.errors import UsageError
from coach.journal import codec, statements
from coach.journal.store import Journal, SessionId
from coach.model.person import Person
from coach.record.people import Attendance, People, Someone, Statement, people

_ATTENDANCES = """
SELECT session, key, name, several FROM attendance JOIN session ON session.id = attendance.session
ORDER BY instant, uid, who
"""
_STATEMENTS = """
SELECT kind, body FROM statement WHERE kind IN ('rename', 'join', 'apart') ORDER BY wall, uid
"""


def known_people(journal: Journal) -> People:
    """Everybody whom the journal knows; found once, until something is written to it."""
    return journal.remembered("people", lambda: _read(journal))


def _read(journal: Journal) -> People:
    attendances = [
        Attendance(session, key, name, several == 1)
        for session, key, name, several in journal.rows(_ATTENDANCES)
    ]
    statements = [
        Statement(kind, *codec.decode_stated(body)) for kind, body in journal.rows(_STATEMENTS)
    ]
    return people(attendances, statements)


def person_of(journal: Journal, person: Person, several: int = 1) -> Someone:
    """Who somebody is that takes part in a session of so many people."""
    return known_people(journal).who_is(person, several)


def sessions_of(journal: Journal, someone: Someone) -> dict[SessionId, int]:
    """Session -> the person's number in it, the earliest first."""
    query = """
    SELECT session.id, who FROM attendance JOIN session ON session.id = attendance.session
    WHERE key IN (SELECT value FROM json_each(?)) ORDER BY instant, uid, who DESC
    """
    return dict(journal.rows(query, json.dumps(someone.keys)))


def state(journal: Journal, kind: str, wall: datetime, *body: object) -> None:
    """Put a statement on the record; nothing of what stood before is changed by it."""
    with journal.transaction("keeping a statement"):
        statements.keep(journal, kind, wall, *body)


def rename(journal: Journal, someone: Someone, name: str, wall: datetime) -> None:
    """Call a person by another name; who they are stays. UsageError where another has it."""
    other = known_people(journal).named(name)
    if other is not None and other.id != someone.id:
        raise UsageError(
            f"{other.called!r} is another person", "`coach people join` makes two people one."
        )
    state(journal, "rename", wall, someone.keys[0], " ".join(name.split()))


def join(journal: Journal, someone: Someone, other: Someone, wall: datetime) -> None:
    """State that two people are one."""
    state(journal, "join", wall, someone.keys[0], other.keys[0])


def apart(journal: Journal, key: str, wall: datetime) -> None:
    """State that whoever is known by a key is nobody else."""
    state(journal, "apart", wall, key)
