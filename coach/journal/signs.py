"""Warning signs that stay until a clinician's all-clear is stated by key.

Owns what 'since' means when clocks are wrong: a claim clears a sign when its session began
later by the wall clock, or when its session was begun with the sign's session already in the
journal. Either is enough; where neither holds the sign stands, which is the safe side.
"""

import sqlite3
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from coach.journal import codec
from coach.model.facts import Fact, SignTold
from coach.model.person import Person
from coach.session.events import Event, KeyClaimed

CLEARED = "cleared:"

Stored = TypeVar("Stored", Fact, Event)


@dataclass(frozen=True, slots=True)
class _Place:
    """Where in the journal something stands."""

    session: int
    seq: int
    instant: float


def standing(db: sqlite3.Connection, person: Person) -> tuple[SignTold, ...]:
    """SignTold facts of a person that no later claim cleared, the earliest first.

    A sign with a part is cleared by 'cleared:PART', one without by 'cleared:SIGN'. A person is
    known by name; without a name, by their number among the nameless.
    """
    numbers = _numbers(db, person)
    told = [
        (place, fact)
        for place, fact in _stored(db, _SIGNS, codec.decode_fact)
        if isinstance(fact, SignTold) and _is_theirs(fact.who, place, numbers)
    ]
    if not told:
        return ()
    claims = [
        (place, claim.claim.removeprefix(CLEARED))
        for place, claim in _stored(db, _CLAIMS, codec.decode_event)
        if isinstance(claim, KeyClaimed)
        and claim.claim.startswith(CLEARED)
        and _is_theirs(claim.who, place, numbers)
    ]
    before = _Before(db)
    return tuple(
        sign
        for place, sign in told
        if not any(
            what == str(sign.part or sign.sign) and before(place, claim) for claim, what in claims
        )
    )


def _is_theirs(who: int, place: _Place, numbers: dict[int, int]) -> bool:
    return place.session in numbers and who in (0, numbers[place.session])


def _numbers(db: sqlite3.Connection, person: Person) -> dict[int, int]:
    """Session -> the number the person has in it, for sessions they were in."""
    rows = db.execute(
        "SELECT session.id, json_extract(people.value, '$.who')"
        " FROM session, json_each(session.body, '$.people') AS people"
        " WHERE json_extract(people.value, '$.name') = ?"
        " AND (? <> '' OR json_extract(people.value, '$.who') = ?)",
        (person.name, person.name, person.who),
    )
    return dict(rows.fetchall())


_SIGNS = """
SELECT session.id, seq, instant, kind, fact.body FROM fact JOIN session ON session.id = session
WHERE kind = 'SignTold' ORDER BY instant, uid, seq, n
"""
_CLAIMS = """
SELECT session.id, seq, instant, kind, event.body FROM event JOIN session ON session.id = session
WHERE kind = 'KeyClaimed' ORDER BY instant, uid, seq
"""


def _stored(
    db: sqlite3.Connection, query: str, decode: Callable[[str, str], Stored]
) -> list[tuple[_Place, Stored]]:
    rows = db.execute(query).fetchall()
    return [(_Place(*row[:3]), decode(row[3], row[4])) for row in rows]


class _Before:
    """Whether one place in the journal surely comes before another."""

    def __init__(self, db: sqlite3.Connection) -> None:
        pairs = db.execute(
            "SELECT later.id, earlier.id FROM session AS later"
            " JOIN session AS earlier ON earlier.uid = later.previous"
        )
        self._earlier: dict[int, int] = dict(pairs.fetchall())

    def __call__(self, first: _Place, second: _Place) -> bool:
        if first.session == second.session:
            return first.seq < second.seq
        if first.instant < second.instant:
            return True
        session = second.session
        seen = {session}
        while (session := self._earlier.get(session, 0)) and session not in seen:
            if session == first.session:
                return True
            seen.add(session)
        return False
