"""Sessions as the record wants them: each with the digest of one person."""

from datetime import datetime

from coach.journal import codec
from coach.journal.database import explained
from coach.journal.digests import Maker
from coach.journal.store import Journal
from coach.model.person import Person
from coach.record.digest import VERSION
from coach.record.entry import Entry

_ENTRIES = """
SELECT session.id, uid, begun, routine, minutes, place, how,
       json_extract(person.value, '$.who'),
       json_array_length(session.body, '$.people') - 1,
       digest.body
FROM session
JOIN json_each(session.body, '$.people') AS person
LEFT JOIN digest ON digest.session = session.id
    AND digest.who = json_extract(person.value, '$.who') AND digest.version = ?
WHERE json_extract(person.value, '$.name') = ?
  AND (json_extract(person.value, '$.name') <> '' OR json_extract(person.value, '$.who') = ?)
ORDER BY instant, uid
"""
_NUMBER = f"SELECT count(*) FROM ({_ENTRIES})"  # noqa: S608 - of our own text alone


def entries(journal: Journal, person: Person, latest: int | None = None) -> list[Entry]:
    """Every session of a person, or the latest so many, the earliest first.

    A person is known by name; without a name, by their number among the nameless.
    """
    maker = Maker(journal.db)
    found = []
    rows = journal.rows(_ENTRIES, VERSION, person.name, person.who)
    for *row, body in rows if latest is None else rows[-latest:]:
        session, uid, begun, routine, minutes, place, how, who, others = row
        with explained(journal.path, "reading the journal"):
            made = maker.made(session, who) if body is None else codec.decode_digest(body)
        found.append(
            Entry(
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
        )
    return found


def number_of(journal: Journal, person: Person) -> int:
    """How many sessions `entries` would find."""
    ((number,),) = journal.rows(_NUMBER, VERSION, person.name, person.who)
    return int(number)


def people(journal: Journal) -> list[tuple[str, int]]:
    """Every name in the journal with its number of sessions; '' stands for the nameless."""
    query = """
    SELECT json_extract(person.value, '$.name') AS name, count(DISTINCT session.id)
    FROM session JOIN json_each(session.body, '$.people') AS person GROUP BY name ORDER BY name
    """
    return [(name, count) for name, count in journal.rows(query)]
