"""The persons of a journal: who somebody is, and what they took part in.

`known_people` says who is who; `sessions_of` where a person took part and under which number.
Nothing is stored that `coach.record.people` can derive, apart from what somebody stated.
`coach.journal.body_statements` has what stands for a person.
"""

import json
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from coach.errors import UsageError
from coach.journal import codec, statements
from coach.journal.store import Journal, SessionId
from coach.model.person import Person
from coach.record.people import OWN, Attendance, People, Someone, Statement, people

#: Grouped by an index that holds all of it: of ten years a few lines come out.
_ATTENDANCES = """
SELECT key, name, several, count(*), min(instant), max(instant)
FROM attendance JOIN session ON session.id = attendance.session
WHERE key <> '' GROUP BY key, name, several
"""
#: Who was ever in a session together with whoever the journal belongs to.
_BESIDE = """
SELECT key FROM (SELECT DISTINCT key FROM attendance WHERE key NOT IN ('', ?1)) AS other
WHERE EXISTS (SELECT 1 FROM attendance AS theirs JOIN attendance AS own USING (session)
    WHERE theirs.key = other.key AND own.key = ?1)
"""
_STATEMENTS = """
SELECT kind, body FROM statement WHERE kind IN ('rename', 'join', 'apart') ORDER BY wall, uid
"""


def known_people(journal: Journal) -> People:
    """Everybody whom the journal knows; found once, until something is written to it."""
    return journal.remembered("people", lambda: _read(journal))


def _read(journal: Journal) -> People:
    beside = {key for (key,) in journal.rows(_BESIDE, OWN)}
    found = []
    for key, name, several, times, first, last in journal.rows(_ATTENDANCES):
        one = Attendance(key, name, several == 1, key in beside)
        found.append((first, one))
        if times > 1:
            found.append((last, replace(one, times=times - 1)))
    found.sort(key=lambda pair: (pair[0], pair[1].key, pair[1].name))
    attendances = [one for _, one in found]
    statements = [
        Statement(kind, *codec.decode_stated(body)) for kind, body in journal.rows(_STATEMENTS)
    ]
    return people(attendances, statements)


def person_of(journal: Journal, person: Person, several: int = 1) -> Someone:
    """Who somebody is that takes part in a session of so many people."""
    return known_people(journal).who_is(person, several)


def sessions_of(journal: Journal, someone: Someone) -> Mapping[SessionId, int]:
    """Session -> the person's number in it, the earliest first; read once, like everybody."""
    query = """
    SELECT session.id, who FROM attendance JOIN session ON session.id = attendance.session
    WHERE key IN (SELECT value FROM json_each(?)) ORDER BY instant, uid, who DESC
    """
    keys = json.dumps(someone.keys)
    return journal.remembered(("sessions of", keys), lambda: dict(journal.rows(query, keys)))


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
