"""Sessions as the record wants them: each with the digest of one person."""

import json
from collections.abc import Iterator
from datetime import datetime

from coach.journal import codec
from coach.journal.database import explained
from coach.journal.digests import Maker
from coach.journal.persons import person_of
from coach.journal.store import Journal
from coach.model.person import Person
from coach.record.digest import VERSION
from coach.record.entry import Entry
from coach.record.people import Someone

_ENTRIES = """
SELECT session.id, session.uid, begun, routine, minutes, place, how, attendance.who, several - 1,
       digest.body
FROM attendance JOIN session ON session.id = attendance.session
LEFT JOIN digest ON digest.session = session.id AND digest.who = attendance.who
    AND digest.version = ?
WHERE key IN (SELECT value FROM json_each(?)) AND twin = ''
ORDER BY instant, uid
"""
_LATEST = _ENTRIES.replace("instant, uid", "instant DESC, uid DESC") + "LIMIT ?"
_NUMBER = """
SELECT count(DISTINCT session) FROM attendance JOIN session ON session.id = attendance.session
WHERE key IN (SELECT value FROM json_each(?)) AND twin = ''
"""


def entries(journal: Journal, person: Person | Someone, latest: int | None = None) -> list[Entry]:
    """Every session of a person, or the latest so many, the earliest first.

    A `Person` is somebody who takes part alone, or with few others; see `coach.record.people`.
    """
    keys = _keys(journal, person)
    if latest is None:
        every = lambda: list(_read(journal, _ENTRIES, (VERSION, keys)))  # noqa: E731
        return list(journal.remembered(("entries", keys), every))
    asked = (VERSION, keys, latest)
    return list(_read(journal, _LATEST, asked))[::-1]


def each_entry(journal: Journal, person: Person | Someone) -> Iterator[Entry]:
    """As `entries`, every one, but one after the other: ten years need not be in memory."""
    return _read(journal, _ENTRIES, (VERSION, _keys(journal, person)))


def _keys(journal: Journal, person: Person | Someone) -> str:
    someone = person_of(journal, person) if isinstance(person, Person) else person
    return json.dumps(someone.keys)


def _read(journal: Journal, query: str, asked: tuple[object, ...]) -> Iterator[Entry]:
    maker = Maker(journal.db)
    with explained(journal.path, "reading the journal"):
        for *row, body in journal.db.execute(query, asked):
            session, uid, begun, routine, minutes, place, how, who, others = row
            made = maker.made(session, who) if body is None else codec.decode_digest(body)
            yield Entry(
                session,
                uid,
                datetime.fromisoformat(begun),
                routine,
                minutes,
                place,
                who,
                others,
                how,
                made,
            )


def number_of(journal: Journal, person: Person | Someone) -> int:
    """How many sessions `entries` would find."""
    ((number,),) = journal.rows(_NUMBER, _keys(journal, person))
    return int(number)
