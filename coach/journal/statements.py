"""What was stated of the record after the fact: deletions, corrections, who is who, who is well.

A statement is never changed or dropped; it travels with exports and merges, and what it says is
applied wherever the session stands that it is about. Owns that a deleted session stays deleted, and
a person that was left out stays left out, whoever brings the session back. A deletion names its
session by a digest alone: nothing of what was deleted can be read from it.
"""

import uuid
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from coach.errors import JournalError
from coach.journal import codec
from coach.journal.digests import FIX, named
from coach.journal.session_rows import instant_of
from coach.journal.store import Journal, SessionId
from coach.model.aim import Aim
from coach.model.person import AgeBand, Person
from coach.model.start import Start
from coach.record.people import key_of
from coach.record.standing import CLEARED, WELL

DELETED, LEFT_OUT, DROPPED, FIXED = "deleted", "left-out", "dropped", FIX
FORGOTTEN = "forgotten"
#: What is stated of people: their body begins with what somebody is known by.
PEOPLE = ("rename", "join", "apart")
#: That what stands of a person has ended: their key, the claim, and the session begun last before.
ENDED = "ended"
#: The age band of a person: their key, the band.
AGE = "age"
#: What is stated of one person's wishes: an answer to a proposal, a trial begun, and given up.
ANSWERED, TRIED, TRIED_ENOUGH = "answered", "tried", "tried-enough"
WISHES = (ANSWERED, TRIED, TRIED_ENOUGH)
KINDS = (DELETED, LEFT_OUT, DROPPED, FIXED, FORGOTTEN, ENDED, AGE, *PEOPLE, *WISHES)


@dataclass(frozen=True, slots=True)
class Stated:
    """One statement."""

    uid: str
    wall: str
    """When it was stated: ISO 8601 with its offset from UTC."""
    kind: str
    body: tuple[Any, ...]


def check(one: Stated) -> None:
    """ValueError or TypeError where a statement of another file is not of the shape of its kind."""
    body = one.body
    if one.kind in (DELETED, DROPPED, FORGOTTEN, "apart", TRIED_ENOUGH):
        shape: tuple[type, ...] = (str,)
    elif one.kind in (ANSWERED, TRIED):
        shape = (str, str, str)
    elif one.kind == LEFT_OUT:
        shape = (str, int)
    elif one.kind == FIXED:
        shape = (str, str, object, object)
        _check_fix(body)
    elif one.kind == AGE:
        shape = (str, str)
        AgeBand(str(body[-1]))
    elif one.kind == ENDED:
        shape = (str, str, str)
        if not any(str(item).startswith((CLEARED, WELL)) for item in body[1:2]):
            raise ValueError("body: nothing ends by that")
    else:
        shape = (str, str)
    if len(body) != len(shape) or not all(map(isinstance, body, shape)):
        raise TypeError(f"body: it is not one of {one.kind!r}")


def _check_fix(body: tuple[Any, ...]) -> None:
    if len(body) != 4 or not isinstance(body[1], str):
        raise TypeError("body: it is no correction")
    kind, *numbers = body[1].split()
    asked = {"begun": 0, "place": 0, "effort": 1, "name": 1, "try": 2}
    if kind not in asked or len(numbers) != asked[kind]:
        raise ValueError("body: nothing of that kind can be corrected")
    if any(not number.isdigit() or len(number) > 4 for number in numbers):
        raise ValueError("body: a correction names numbers")
    value = body[3]
    if kind == "effort":
        if not (value is None or (isinstance(value, int) and 0 <= value <= 10)):
            raise ValueError("body: an effort is 0 to 10")
    elif not isinstance(value, str):
        raise TypeError("body: a correction is a text")
    elif kind == "begun":
        instant_of(value)


def every(journal: Journal) -> Iterator[Stated]:
    """Every statement of a journal, in the order of their names."""
    for name, wall, kind, body, crc in journal.rows(
        "SELECT uid, wall, kind, body, crc FROM statement ORDER BY uid"
    ):
        if crc != codec.crc(name, wall, kind, body):
            raise JournalError(f"the statement {name!r} does not match its checksum", codec.VERIFY)
        yield Stated(name, wall, kind, codec.decode_stated(body))


def keep(journal: Journal, kind: str, wall: datetime, *body: Any, name: str = "") -> None:
    """Keep a statement, inside the caller's transaction; a `name` makes it the same everywhere."""
    take(journal, [Stated(name or uuid.uuid4().hex, wall.isoformat(), kind, body)])


def take(journal: Journal, given: Iterable[Stated]) -> None:
    """Keep statements of anywhere and apply them, inside the caller's transaction."""
    for one in given:
        _insert(journal, one)
        if one.kind in (DELETED, LEFT_OUT, FIXED):
            for session in _named(journal, str(one.body[0])):
                applied(journal, session)
        elif one.kind == DROPPED:
            journal.db.execute("DELETE FROM aim WHERE uid = ?", (one.body[0],))
        elif one.kind == FORGOTTEN:
            for session, begun in journal.rows("SELECT id, begun FROM session"):
                if instant_of(begun) < instant_of(one.wall):
                    applied(journal, session)
    _forget_people(journal)


def _insert(journal: Journal, one: Stated) -> None:
    """Of the same statement made twice the earlier one counts, whichever came first."""
    kept = journal.rows("SELECT uid, wall, kind, body FROM statement WHERE uid = ?", one.uid)
    given = (one.uid, one.wall, one.kind, codec.compact(one.body))
    name, wall, kind, body = kept[0] if kept else given
    columns = (name, min(wall, one.wall), kind, body)
    journal.db.execute(
        "INSERT OR REPLACE INTO statement VALUES (?, ?, ?, ?, ?)", (*columns, codec.crc(*columns))
    )


def _forget_people(journal: Journal) -> None:
    """Drop what was stated of people before they were deleted, names included."""
    every_one = list(every(journal))
    forgotten = {one.body[0]: one.wall for one in every_one if one.kind == FORGOTTEN}
    for one in every_one if forgotten else ():
        digests = {named(str(item)) for item in one.body}
        about = one.kind in (ENDED, AGE, *PEOPLE, *WISHES)
        if about and any(one.wall <= forgotten.get(name, "") for name in digests):
            journal.db.execute("DELETE FROM statement WHERE uid = ?", (one.uid,))


def _named(journal: Journal, digest: str) -> list[SessionId]:
    rows = journal.rows("SELECT id, uid, twin FROM session")
    return [number for number, name, twin in rows if named(twin or name) == digest]


def _about(journal: Journal, session: str, kind: str) -> list[tuple[Any, ...]]:
    """Bodies of the statements of a kind about a session, in the order they were made."""
    query = (
        "SELECT body FROM statement WHERE kind = ? AND json_extract(body, '$[0]') = ?"
        " ORDER BY wall, uid"
    )
    return [codec.decode_stated(body) for (body,) in journal.rows(query, kind, named(session))]


def is_deleted(journal: Journal, session: str, start: Start) -> bool:
    """Whether a session was deleted, or its only person was after it."""
    alone = len(start.people) == 1 and bool(_forgotten(journal, start))
    return alone or bool(_about(journal, session, DELETED))


def left_out(journal: Journal, session: str, start: Start) -> list[int]:
    """The numbers of those who were left out of a session, or were deleted after it."""
    told = {int(body[1]) for body in _about(journal, session, LEFT_OUT)}
    return sorted(told | _forgotten(journal, start))


def _forgotten(journal: Journal, start: Start) -> set[int]:
    """The numbers of those in a session who were deleted after it, wherever the session was."""
    rows = journal.rows("SELECT wall, body FROM statement WHERE kind = ?", FORGOTTEN)
    if not rows:
        return set()
    deleted = {codec.decode_stated(body)[0]: instant_of(wall) for wall, body in sorted(rows)}
    begun, several = instant_of(start.wall), len(start.people)
    keys = {one.who: key_of(one, several) for one in start.people}
    return {who for who, key in keys.items() if key and begun < deleted.get(named(key), begun)}


def fixes(journal: Journal, session: str) -> list[tuple[Any, ...]]:
    """Corrections of a session: its name, field, old value, new value, in their order."""
    return _about(journal, session, FIXED)


def applied(journal: Journal, session: SessionId) -> None:
    """Make one session what the statements about it say, inside the caller's transaction."""
    from coach.journal.deletion import drop
    from coach.journal.transfer import settle

    rows = journal.rows("SELECT uid, twin FROM session WHERE id = ?", session)
    if not rows:  # it went with another record of its name
        return
    name = rows[0][1] or rows[0][0]
    if is_deleted(journal, name, journal.start_of(session)):
        drop(journal, session)
    else:
        settle(journal, name)
        amend(journal, session, name)


def amend(journal: Journal, session: SessionId, name: str) -> None:
    """Make the row, people and digests of a session what was stated of it."""
    from coach.journal.corrections import correct

    journal.db.executemany(
        "UPDATE attendance SET name = ?, key = ? WHERE session = ? AND who = ?",
        [
            (called, key, session, who)
            for who, called, key in attending(journal, name, journal.start_of(session))
        ],
    )
    correct(journal, session, fixes(journal, name))


def attending(journal: Journal, session: str, start: Start) -> list[tuple[int, str, str]]:
    """Who took part in a session, by what was stated since: number, name, what they are known by.

    Who was left out is nobody that is known again, by whatever number.
    """
    names = {one.who: one.name for one in start.people}
    for _, field, _, value in fixes(journal, session):
        kind, *numbers = str(field).split()
        if kind == "name" and int(numbers[0]) in names:
            names[int(numbers[0])] = str(value)
    gone = left_out(journal, session, start)
    return [
        (who, "", "") if who in gone else (who, name, key_of(Person(who, name), len(names)))
        for who, name in names.items()
    ]


def take_aims(journal: Journal, given: Iterable[Aim]) -> None:
    """Keep aims of another journal, inside the caller's transaction; dropped ones stay dropped."""
    dropped = {one.body[0] for one in every(journal) if one.kind == DROPPED}
    for aim in given:
        if aim.uid not in dropped:
            # of two that differ under one name the same one stays in either order
            there = journal.rows("SELECT body FROM aim WHERE uid = ?", aim.uid)
            keep_aim(journal, aim.uid, max([codec.encode_aim(aim), *(body for (body,) in there)]))


def keep_aim(journal: Journal, uid: str, body: str) -> None:
    """Keep one aim in the place of another of its name, inside the caller's transaction."""
    journal.db.execute(
        "INSERT OR REPLACE INTO aim VALUES (?, ?, ?)", (uid, body, codec.crc(uid, body))
    )
