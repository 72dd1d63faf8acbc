"""Sessions as the record wants them: each with the digest of one person."""

import json
from collections.abc import Iterator
from datetime import UTC, date, datetime, time
from math import inf

from coach.journal import codec
from coach.journal.database import explained
from coach.journal.digests import Maker
from coach.journal.persons import person_of
from coach.journal.store import Journal
from coach.model.person import Person
from coach.record.digest import VERSION
from coach.record.entry import Entry
from coach.record.people import Someone

#: Sessions that a start looks back on, but for what hurts and for aims: a year of more than one a
#: day, three years at three a week (our choice).
RECENT = 500

_MINE = """
SELECT attendance.session, who, several
FROM attendance JOIN session ON session.id = attendance.session
WHERE key IN (SELECT value FROM json_each(?)) AND twin = ''
"""


def _query(mine: str) -> str:
    """Sessions are picked before their digests are read: to sort those takes long."""
    return f"""
    SELECT session.id, session.uid, begun, routine, minutes, place, how, mine.who, several - 1,
           digest.body
    FROM ({mine}) AS mine JOIN session ON session.id = mine.session
    LEFT JOIN digest ON digest.session = session.id AND digest.who = mine.who
        AND digest.version = ?
    ORDER BY instant, uid
    """  # noqa: S608


_ENTRIES = _query(_MINE)
_LATEST = _query(f"{_MINE} ORDER BY instant DESC, uid DESC LIMIT ?")
_SINCE = _query(f"{_MINE} AND instant >= ?")
_BEFORE = _MINE.replace("attendance.session, who, several", "begun") + " AND instant < ?"
_NUMBER = """
SELECT count(DISTINCT session) FROM attendance JOIN session ON session.id = attendance.session
WHERE key IN (SELECT value FROM json_each(?)) AND twin = ''
"""


def entries(journal: Journal, person: Person | Someone, latest: int | None = None) -> list[Entry]:
    """Every session of a person, or the latest so many, the earliest first.

    A `Person` is somebody who takes part alone, or with few others; see `coach.record.people`.
    """
    keys = _keys(journal, person)
    # of a longer list the end is the shorter one
    read: dict[float, list[Entry]] = journal.remembered(("entries", keys), dict)
    most = inf if latest is None else latest
    longer = min((length for length in read if length >= most), default=None)
    if longer is not None:
        found = read[longer]
        return found[0 if latest is None else max(len(found) - latest, 0) :]
    if latest is None:
        read[most] = list(_read(journal, _ENTRIES, (keys, VERSION)))
    else:
        read[most] = list(_read(journal, _LATEST, (keys, latest, VERSION)))
    return list(read[most])


def recent(journal: Journal, person: Person | Someone) -> list[Entry]:
    """The sessions that a session of today looks back on, the earliest first."""
    return entries(journal, person, RECENT)


def since(journal: Journal, person: Person | Someone, first: date) -> list[Entry]:
    """Every session of a person from a day on, the earliest first."""
    asked = (_keys(journal, person), _begin_of(first), VERSION)
    return [entry for entry in _read(journal, _SINCE, asked) if entry.day >= first]


def _begin_of(day: date) -> float:
    """An instant that no session of a day begins before, wherever it was."""
    return datetime.combine(day, time(), UTC).timestamp() - 86_400.0


def number_before(journal: Journal, person: Person | Someone, first: date) -> int:
    """How many sessions of a person began before a day."""
    rows = journal.rows(_BEFORE, _keys(journal, person), _begin_of(first) + 2 * 86_400.0)
    return sum(datetime.fromisoformat(begun).date() < first for (begun,) in rows)


def each_entry(journal: Journal, person: Person | Someone) -> Iterator[Entry]:
    """As `entries`, every one, but one after the other: ten years need not be in memory."""
    return _read(journal, _ENTRIES, (_keys(journal, person), VERSION))


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
