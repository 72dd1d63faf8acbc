"""Deletion that is really gone: rows, free pages, the log, notes, and the copies that we made.

What is deleted leaves a statement (`coach.journal.statements`) that holds nothing of it, so that no
merge or import brings it back. Owns the proof: `find` reads every file again.
"""

import re
import sqlite3
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from coach.errors import JournalError
from coach.journal import codec, seals, shelf, statements
from coach.journal.database import connect, explained, stoppable
from coach.journal.digests import named
from coach.journal.persons import known_people, sessions_of
from coach.journal.store import Journal, SessionId
from coach.model.facts import Fact, NoteMade
from coach.model.person import Person
from coach.record.people import Someone, key_of

Told = Callable[[], None]
"""Called now and then while the file is rebuilt."""


def _unseen() -> None:
    """Where nobody watches."""


#: Seconds that a deletion waits for readers to leave the file.
PATIENCE = 5.0


@dataclass(frozen=True, slots=True)
class Gone:
    """What a deletion did."""

    alone: int
    """Sessions that were deleted."""
    shared: int
    """Sessions that others keep."""
    notes: tuple[str, ...]
    """Names of the spoken notes that belonged to it: their files are to be deleted as well."""
    words: tuple[str, ...]
    """What must not be found in any file any more."""
    scoured: bool
    """Whether the file is free of it already: False while somebody reads it, or where the clearing
    was stopped."""


def cleared_again(journal: Journal, session: SessionId, told: Told = _unseen) -> Gone | None:
    """Clear the file of a session that was deleted before; None for any other."""
    ((there,),) = journal.rows("SELECT count(*) FROM session WHERE id = ?", session)
    begun = journal.rows("SELECT seq FROM sqlite_sequence WHERE name = 'session'")
    if there or session < 1 or not any(last >= session for (last,) in begun):
        return None
    return Gone(0, 0, (), (), scour(journal, told=told))


def cleared_of(journal: Journal, name: str, told: Told = _unseen) -> Gone | None:
    """Clear the file of a person who was deleted before and is not there; None for any other."""
    digest = named(key_of(Person(1, name)))
    query = "SELECT count(*) FROM statement WHERE kind = ? AND json_extract(body, '$[0]') = ?"
    ((times,),) = journal.rows(query, statements.FORGOTTEN, digest)
    if not times or known_people(journal).named(name) is not None:
        return None
    return Gone(0, 0, (), (name,), scour(journal, told=told))


def delete_session(
    journal: Journal, session: SessionId, wall: datetime, told: Told = _unseen
) -> Gone:
    """Delete one session; JournalError when it is not there."""
    start = journal.start_of(session)
    ((uid, twin),) = journal.rows("SELECT uid, twin FROM session WHERE id = ?", session)
    notes = _notes(journal.facts(session, NoteMade), None)
    with journal.transaction("deleting a session"):
        _state(journal, wall, twin or uid)
    # its uid stays in what came after it, and tells nothing
    return Gone(1, 0, notes, (start.wall,), scour(journal, told=told))


def delete_person(journal: Journal, someone: Someone, wall: datetime, told: Told = _unseen) -> Gone:
    """Delete a person; what others did in shared sessions stays.

    JournalError when no session knows the person.
    """
    alone = shared = 0
    theirs = sessions_of(journal, someone)
    if not theirs:
        raise JournalError(
            f"no session knows {someone.called!r}", "`coach people list` lists those there are."
        )
    notes: list[str] = []
    words = [name for name in someone.spellings if name]
    with journal.transaction("deleting a person"):
        for session, who in theirs.items():
            uid, twin, begun = journal.rows(
                "SELECT uid, twin, begun FROM session WHERE id = ?", session
            )[0]
            notes += _notes(journal.facts(session, NoteMade), who)
            if len(journal.people_of(session)) == 1:
                words.append(begun)
                _state(journal, wall, twin or uid)
                alone += 1
            else:
                _state(journal, wall, twin or uid, who)
                shared += 1
        for key in someone.keys:
            name = named(key)
            statements.keep(
                journal, statements.FORGOTTEN, wall, name, name=f"forgotten {name} {wall}"
            )
    return Gone(alone, shared, tuple(notes), tuple(words), scour(journal, told=told))


def _state(journal: Journal, wall: datetime, uid: str, who: int | None = None) -> None:
    """Keep the statement that a session, or somebody of it, is deleted; it does the rest."""
    name = named(uid)
    if who is None:
        statements.keep(journal, statements.DELETED, wall, name, name=f"deleted {name}")
    else:
        statements.keep(
            journal, statements.LEFT_OUT, wall, name, who, name=f"left-out {name} {who}"
        )


def _notes(facts: Iterable[Fact], who: int | None) -> tuple[str, ...]:
    return tuple(
        fact.name for fact in facts if isinstance(fact, NoteMade) and who in (None, fact.who)
    )


def drop(journal: Journal, session: SessionId) -> None:
    """Take a session out, inside the caller's transaction."""
    journal.db.execute("DELETE FROM session WHERE id = ?", (session,))
    shelf.drop_orphans(journal.db)


def scour(journal: Journal, patience: float = PATIENCE, told: Told = _unseen) -> bool:
    """Rebuild the file so that nothing deleted is left in it or in its log.

    False where somebody still reads the file after `patience` seconds, or Ctrl-C stopped it: then
    what was deleted is in the log or the old pages until this is done again. `told` is called now
    and then.
    """
    seals.unpacked.cache_clear()
    until = time.monotonic() + patience
    with explained(journal.path, "clearing the file"):
        try:
            with stoppable(journal.db, told):
                journal.db.execute("VACUUM")
        except KeyboardInterrupt:
            return False
        while True:
            busy, left, moved = journal.db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
            if not busy and left == moved:
                return True
            if time.monotonic() >= until:
                return False
            time.sleep(0.05)


def find(files: Iterable[Path], words: Iterable[str]) -> Iterator[str]:
    """Where one of these words still stands, a line each: the file, in a journal the packed row.

    A word is looked for as it is written, in the bytes of a file and in what its rows unpack to.
    """
    wanted = [re.escape(word.encode()) for word in words if word]
    if not wanted:
        return
    pattern = re.compile(b"|".join(wanted))
    for file in files:
        if not file.is_file():
            continue
        if pattern.search(file.read_bytes()):
            yield f"{file}: in its bytes"
        if file.suffix == ".db":
            yield from _in_rows(file, pattern)


def _in_rows(file: Path, pattern: "re.Pattern[bytes]") -> Iterator[str]:
    try:
        db = connect(file, write=False)
        try:
            for session, frame in db.execute("SELECT session, body FROM seal"):
                sealed = seals.unpacked(frame)
                texts = (sealed.uid, sealed.start, *sealed.walls, codec.compact(sealed.events))
                if pattern.search("\0".join((*texts, codec.compact(sealed.facts))).encode()):
                    yield f"{file}: in the seal of session {session}"
        finally:
            db.close()
    except (sqlite3.Error, JournalError):
        return
