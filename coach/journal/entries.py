"""Sessions as the record wants them: each with the digest of one person."""

from collections.abc import Iterator
from datetime import datetime

from coach.journal import codec
from coach.journal.database import explained
from coach.journal.digests import Maker
from coach.journal.store import Journal
from coach.model.person import Person
from coach.record.digest import VERSION
from coach.record.entry import Entry

_PERSON = "JOIN json_each(session.body, '$.people') AS person"
_IS_THEIRS = """
json_extract(person.value, '$.name') = ?
AND (json_extract(person.value, '$.name') <> '' OR json_extract(person.value, '$.who') = ?)
"""
_ENTRIES = f"""
SELECT session.id, uid, begun, routine, minutes, place, how,
       json_extract(person.value, '$.who'),
       json_array_length(session.body, '$.people') - 1,
       digest.body
FROM session {_PERSON}
LEFT JOIN digest ON digest.session = session.id
    AND digest.who = json_extract(person.value, '$.who') AND digest.version = ?
WHERE {_IS_THEIRS}
ORDER BY instant, uid
"""  # noqa: S608 - of our own text alone, as those below
_LATEST = _ENTRIES.replace("instant, uid", "instant DESC, uid DESC") + "LIMIT ?"
_NUMBER = f"SELECT count(*) FROM session {_PERSON} WHERE {_IS_THEIRS}"  # noqa: S608


def entries(journal: Journal, person: Person, latest: int | None = None) -> list[Entry]:
    """Every session of a person, or the latest so many, the earliest first.

    A person is known by name; without a name, by their number among the nameless.
    """
    if latest is None:
        return list(each_entry(journal, person))
    asked = (VERSION, person.name, person.who, latest)
    return list(_read(journal, _LATEST, asked))[::-1]


def each_entry(journal: Journal, person: Person) -> Iterator[Entry]:
    """As `entries`, every one, but one after the other: ten years need not be in memory."""
    return _read(journal, _ENTRIES, (VERSION, person.name, person.who))


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


def number_of(journal: Journal, person: Person) -> int:
    """How many sessions `entries` would find."""
    ((number,),) = journal.rows(_NUMBER, person.name, person.who)
    return int(number)


def people(journal: Journal) -> list[tuple[str, int]]:
    """Every name in the journal with its number of sessions; '' stands for the nameless."""
    query = """
    SELECT json_extract(person.value, '$.name') AS name, count(DISTINCT session.id)
    FROM session JOIN json_each(session.body, '$.people') AS person GROUP BY name ORDER BY name
    """
    return [(name, count) for name, count in journal.rows(query)]
