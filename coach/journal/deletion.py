"""Deletion that is really gone: from the rows, from free pages and from the write-ahead log.

Copies made before (backups, exports) are out of reach, and whoever asks is told so.
"""

import json
import re
import sqlite3
from dataclasses import replace
from typing import Any

from coach.errors import JournalError
from coach.journal import codec, shelf
from coach.journal.database import explained
from coach.journal.digests import Maker
from coach.journal.people import sessions_of
from coach.journal.store import Journal, SessionId
from coach.journal.transfer import Whole, whole
from coach.model.person import Person
from coach.model.start import Options
from coach.record.people import Someone
from coach.session.events import TimePassed

#: What stands where a name stood.
NOBODY = "someone"
#: Marks a record that is no longer all of what happened, so that nothing replays it.
EDITED = "edited"


def delete_session(journal: Journal, session: SessionId) -> None:
    """Delete one session; JournalError when it is not there."""
    journal.start_of(session)
    with journal.transaction("deleting a session"):
        _drop(journal.db, session)
    scour(journal)


def delete_person(journal: Journal, someone: Someone) -> tuple[int, int]:
    """Delete a person; sessions that were deleted, and sessions that others keep without them.

    What others did stays. Of the person, a shared session keeps only that somebody was there.
    JournalError when no session knows the person.
    """
    alone = shared = 0
    theirs = sessions_of(journal, someone)
    if not theirs:
        raise JournalError(
            f"no session knows {someone.called!r}", "`coach people list` lists those there are."
        )
    with journal.transaction("deleting a person"):
        for session, who in theirs.items():
            people = journal.people_of(session)
            if len(people) == 1:
                _drop(journal.db, session)
                alone += 1
            else:
                person = next(one for one in people if one.who == who)
                _rewrite(journal, session, without(whole(journal, session), person))
                # nobody that is known again, by whatever number
                journal.db.execute(
                    "UPDATE attendance SET key = '' WHERE session = ? AND who = ?", (session, who)
                )
                shared += 1
    scour(journal)
    return alone, shared


def scour(journal: Journal) -> None:
    """Rebuild the file so that nothing deleted is left in it or in its log."""
    with explained(journal.path, "clearing the file"):
        journal.db.execute("VACUUM")
        journal.db.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def without(given: Whole, person: Person) -> Whole:
    """A session as it is when one of its people is forgotten.

    Their events become moments at which nothing is told; their facts go; their name goes from
    every text.
    """
    recorded = tuple(
        replace(
            one,
            event=TimePassed(one.event.at) if _by(one.event, person) else one.event,
            facts=tuple(fact for fact in one.facts if fact.who != person.who),
        )
        for one in given.recorded
    )
    start = replace(
        given.start,
        people=tuple(_forgotten(one, person) for one in given.start.people),
        settled=_settled(given.start.settled, person),
        rules_version=f"{given.start.rules_version} {EDITED}",
    )
    return renamed(replace(given, start=start, recorded=recorded), {person.name: NOBODY})


def renamed(given: Whole, names: dict[str, str]) -> Whole:
    """A session with other names for people, wherever they stand as a word in a text."""
    known = {old: new for old, new in names.items() if old}
    if not known:
        return given
    words = re.compile(rf"(?<!\w)({'|'.join(map(re.escape, known))})(?!\w)")

    def change(value: Any) -> Any:
        if isinstance(value, str):
            return words.sub(lambda match: known[match[1]], value)
        if isinstance(value, list):
            return [change(item) for item in value]
        if isinstance(value, dict):
            return {key: change(item) for key, item in value.items()}
        return value

    def text(body: str) -> str:
        return json.dumps(change(json.loads(body)))

    recorded = []
    for one in given.recorded:
        kind, body = codec.encode(one.event)
        facts = tuple(
            codec.decode_fact(kind, text(body)) for kind, body in map(codec.encode, one.facts)
        )
        recorded.append(replace(one, event=codec.decode_event(kind, text(body)), facts=facts))
    start = codec.decode_start(text(codec.encode_start(given.start)), given.start.library)
    return replace(given, start=start, recorded=tuple(recorded))


def _by(event: object, person: Person) -> bool:
    return getattr(event, "who", 0) == person.who


def _forgotten(one: Person, person: Person) -> Person:
    return Person(one.who) if one.who == person.who else one


def _settled(options: Options, person: Person) -> Options:
    return replace(
        options,
        people=tuple(_forgotten(one, person) for one in options.people),
        hurting=None
        if options.hurting is None
        else tuple(item for item in options.hurting if item[0] != person.who),
        signs=tuple(item for item in options.signs if item[0] != person.who),
        told=tuple(item for item in options.told if item[0] != person.who),
        usual=tuple(item for item in options.usual if item[0] != person.who),
        practised=tuple(item for item in options.practised if item[0] != person.who),
        boulders=tuple(item for item in options.boulders if item[0] != person.who),
        notes=tuple(item for item in options.notes if item[0] != person.who),
        films=tuple(item for item in options.films if item[0] != person.who),
        went=tuple(went for went in options.went if went.who != person.who),
        away=tuple(who for who in options.away if who != person.who),
        aim=None,
    )


def _drop(db: sqlite3.Connection, session: SessionId) -> None:
    db.execute("DELETE FROM session WHERE id = ?", (session,))
    shelf.drop_orphans(db)


def _rewrite(journal: Journal, session: SessionId, by: Whole) -> None:
    """Put a changed session in the place of the one there is, under the same number."""
    _drop(journal.db, session)
    journal.insert_session(by.start, by.uid, by.previous, session)
    for one in by.recorded:
        journal.insert_event(session, one)
    if by.how is not None:
        journal.mark_closed(session, by.how)
    Maker(journal.db).keep(session)
    if by.how is not None:
        journal.pack(session)
