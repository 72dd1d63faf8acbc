"""The journal as the program uses it: begin a session, commit, read back.

Owns the one rule of the record: an event and the facts it caused are one transaction that is
on disk when `commit` returns. A Journal may be used from several threads, one at a time.
"""

import os
import sqlite3
import uuid
from collections.abc import Callable, Hashable, Iterator, Sequence
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self, TypeVar

from coach.errors import JournalError
from coach.journal import codec, seals, shelf
from coach.journal.codec import Recorded, Stored
from coach.journal.database import explained, open_damaged, open_reader, open_writer
from coach.journal.digests import Maker
from coach.journal.lock import WriterLock
from coach.journal.session_rows import SessionId, SessionRow, Unfinished, instant_of
from coach.model.day import Library
from coach.model.facts import Fact, SignTold
from coach.model.person import Person
from coach.model.place import Circuit
from coach.model.start import Start
from coach.record.people import key_of

if TYPE_CHECKING:
    from coach.session.events import Event

__all__ = ["Journal", "SessionId", "SessionRow", "Unfinished"]

Made = TypeVar("Made")

#: Libraries that are kept in memory once read.
LIBRARIES = 16


class Journal:
    """An open journal. Use `Journal.open`; close it, or use it in a `with`."""

    def __init__(self, path: Path, db: sqlite3.Connection, lock: WriterLock | None) -> None:
        self.path = path
        self.db = db
        """The connection, for the modules of this package."""
        self._lock = lock
        self._last: dict[SessionId, int] = {}
        self._libraries: dict[str, Library] = {}
        self._made: dict[Hashable, Any] = {}
        self._made_of = (-1, -1)

    @classmethod
    def open(cls, path: Path, write: bool) -> Self:
        """Open a journal; with `write`, make it if it is missing and bar other writers.

        Raises JournalError when it can't be opened, is no journal, or is newer than this
        program, and its subclass BusyError when another process writes. Never overwrites.
        """
        with explained(path, "opening the journal"):
            if not write:
                return cls(path, open_reader(path), None)
            since = datetime.now().astimezone().isoformat(timespec="seconds")
            return cls(path, *open_writer(path, since, os.getpid()))

    @classmethod
    def open_damaged(cls, path: Path) -> Self:
        """Open a journal of which a part may be missing or unreadable, to read what is there."""
        with explained(path, "opening the journal"):
            return cls(path, open_damaged(path), None)

    def close(self) -> None:
        """Close the file and let other writers in; harmless when done twice."""
        self.db.close()
        if self._lock is not None:
            self._lock.release()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def wait_for_locks(self, seconds: float) -> None:
        """Let no write wait longer than this for another program's lock."""
        with explained(self.path, "opening the journal"):
            self.db.execute(f"PRAGMA busy_timeout = {round(1000 * seconds)}")

    @contextmanager
    def transaction(self, doing: str) -> Iterator[None]:
        """All of the body or none of it; on disk when it is left."""
        with explained(self.path, doing):
            self.db.execute("BEGIN IMMEDIATE")
            try:
                yield
                self.db.execute("COMMIT")
            except BaseException:
                self._made.clear()
                if self.db.in_transaction:
                    self.db.execute("ROLLBACK")
                raise

    # --- writing ---------------------------------------------------------------------------

    def begin(self, start: Start, uid: str | None = None) -> SessionId:
        """Add a session. `uid` is given when one is copied from another file."""
        with self.transaction("beginning a session"):
            return self.insert_session(start, uid or uuid.uuid4().hex)

    def insert_session(
        self,
        start: Start,
        uid: str,
        previous: str | None = None,
        number: SessionId | None = None,
    ) -> SessionId:
        """As `begin`, inside the caller's transaction; under a number that is free, if given."""
        instant = instant_of(start.wall)
        if previous is None:
            row = self.db.execute("SELECT uid FROM session ORDER BY id DESC LIMIT 1").fetchone()
            previous = row[0] if row else ""
        digest, library = codec.encode_library(start.library)
        self.db.execute("INSERT OR IGNORE INTO library VALUES (?, ?)", (digest, library))
        columns = (
            uid,
            previous,
            start.wall,
            instant,
            start.routine,
            start.minutes,
            start.library.place.name,
            digest,
            codec.encode_start(start),
            None,
        )
        cursor = self.db.execute(
            "INSERT INTO session (id, uid, previous, begun, instant, routine, minutes, place,"
            " library, body, how, crc) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (number, *columns, codec.crc(*columns)),
        )
        session = SessionId(cursor.lastrowid or 0)
        self.db.executemany(
            "INSERT OR REPLACE INTO attendance VALUES (?, ?, ?, ?, ?)",
            [
                (session, one.who, one.name, key_of(one, len(start.people)), len(start.people))
                for one in start.people
            ],
        )
        return session

    def commit(
        self, session: SessionId, event: "Event", facts: Sequence[Fact], wall: datetime
    ) -> int:
        """Write an event with the facts it caused; its number, from 1, once it is on disk.

        Raises JournalError when the session is closed or the disk refuses; then nothing of it
        was written and the same commit may be tried again.
        """
        seq = self.last_number(session) + 1
        with self.transaction("committing an event"):
            self.insert_event(session, Recorded(seq, wall.isoformat(), event, tuple(facts)))
        self._last[session] = seq
        self._made.clear()  # while a session runs nobody asks for ten years
        return seq

    def insert_event(self, session: SessionId, recorded: Recorded) -> None:
        """As `commit`, inside the caller's transaction, with a number and time of its own."""
        event = codec.encode(recorded.event)
        facts = [codec.encode(fact) for fact in recorded.facts]
        self.db.execute(
            "INSERT INTO event VALUES (?, ?, ?, ?, ?, ?)",
            (
                session,
                recorded.seq,
                recorded.wall,
                *event,
                codec.checksum(recorded.wall, event, facts),
            ),
        )
        self.db.executemany(
            "INSERT INTO fact VALUES (?, ?, ?, ?, ?)",
            [(session, recorded.seq, n, *fact) for n, fact in enumerate(facts, 1)],
        )

    def close_session(self, session: SessionId, how: str) -> None:
        """Mark a session as ended ('done', 'ended', 'hurt', 'closed'); it takes no more events."""
        with self.transaction("closing a session"):
            self.mark_closed(session, how)
        # The session is closed by now; a digest that can't be made is made when it is read.
        with suppress(JournalError), self.transaction("storing a digest"):
            Maker(self.db).keep(session)
        with suppress(JournalError):
            self.seal(session)

    def seal(self, session: SessionId) -> None:
        """Pack a session that has ended; JournalError where it can't be, then it stays as it is."""
        with self.transaction("sealing a session"):
            self.pack(session)

    def pack(self, session: SessionId) -> None:
        """As `seal`, inside the caller's transaction."""
        seals.seal(self.db, session)
        for (library,) in self.db.execute("SELECT library FROM session WHERE id = ?", (session,)):
            shelf.pack(self.db, library)

    def mark_closed(self, session: SessionId, how: str) -> None:
        """As `close_session`, inside the caller's transaction."""
        self.db.execute("UPDATE session SET how = ? WHERE id = ?", (how, session))
        seals.guard(self.db, session)

    def last_number(self, session: SessionId) -> int:
        """The number of a session's last event; 0 where it has none."""
        if session not in self._last:
            query = "SELECT max(seq) FROM event WHERE session = ?"
            with explained(self.path, "reading the journal"):
                self._last[session] = self.db.execute(query, (session,)).fetchone()[0] or 0
        return self._last[session]

    # --- reading ---------------------------------------------------------------------------

    def rows(self, query: str, *values: object) -> list[Any]:
        """Every row of a query; JournalError where SQLite raises."""
        with explained(self.path, "reading the journal"):
            return self.db.execute(query, values).fetchall()

    def stored(self, session: SessionId, after: int = 0) -> Iterator[Stored]:
        """Every transaction of a session after a number, in order, as the texts on disk."""
        with explained(self.path, "reading the journal"):
            yield from seals.stored(self.db, session, after)

    def recorded(self, session: SessionId, after: int = 0) -> Iterator[Recorded]:
        """Every transaction of a session after a number, in order, facts included."""
        with explained(self.path, "reading the journal"):
            for one in self.stored(session, after):
                yield one.decoded()

    def events(self, session: SessionId) -> Iterator["Event"]:
        """Every event of a session, in order."""
        with explained(self.path, "reading the journal"):
            for one in self.stored(session):
                yield codec.decode_event(*one.event)

    def facts(self, session: SessionId, *kinds: type[Fact]) -> Iterator[Fact]:
        """Every fact of a session, in order; only of the named classes, if any are named."""
        names = {kind.__name__ for kind in kinds}
        with explained(self.path, "reading the journal"):
            for kind, body in seals.facts(self.db, session):
                if not names or kind in names:
                    yield codec.decode_fact(kind, body)

    def remembered(self, what: Hashable, make: Callable[[], Made]) -> Made:
        """What was made of the file, made anew once anything was written to it by anybody."""
        ((version,),) = self.rows("PRAGMA data_version")
        state = (version, self.db.total_changes)
        if self._made_of != state:
            self._made.clear()
            self._made_of = state
        if what not in self._made:
            self._made[what] = make()
        found: Made = self._made[what]
        return found

    def sessions(self, *, twins: bool = False) -> list[SessionRow]:
        """Every session that counts, the earliest first; with `twins` those that do not, too."""
        query = (
            "SELECT id, uid, begun, routine, minutes, place, how FROM session"
            " WHERE twin = '' OR ? ORDER BY instant, uid"
        )
        found = self.remembered(
            ("sessions", twins), lambda: [SessionRow(*row) for row in self.rows(query, twins)]
        )
        return list(found)

    def start_of(self, session: SessionId) -> Start:
        """What a session began with; JournalError for a number that is not there."""
        with explained(self.path, "reading the journal"):
            row = self.db.execute("SELECT library FROM session WHERE id = ?", (session,)).fetchone()
            body = seals.start_text(self.db, session)
            if row is None or body is None:
                raise JournalError(
                    f"there is no session {session}", "`coach history` lists those there are."
                )
            return codec.decode_start(body, self._library(row[0]))

    def library_of(self, digest: str) -> Library:
        """The library of a digest; JournalError where it can't be read."""
        with explained(self.path, "reading the journal"):
            return self._library(digest)

    def _library(self, digest: str) -> Library:
        """A stored library; the last few that were read are kept, because sessions share them."""
        if digest not in self._libraries:
            body = shelf.text(self.db, digest)
            if body is None:
                raise JournalError("the library of a session is missing", codec.VERIFY)
            if len(self._libraries) >= LIBRARIES:
                self._libraries.clear()
            self._libraries[digest] = codec.decode_library(body)
        return self._libraries[digest]

    def circuits_of(self, session: SessionId) -> tuple[Circuit, ...]:
        """The circuits of the place where a session was, without the rest of its library."""
        with explained(self.path, "reading the journal"):
            for (digest,) in self.rows("SELECT library FROM session WHERE id = ?", session):
                body = shelf.text(self.db, digest)
                return codec.decode_circuits(body or "")
        return ()

    def people_of(self, session: SessionId) -> tuple[Person, ...]:
        """Who took part in a session."""
        with explained(self.path, "reading the journal"):
            body = seals.start_text(self.db, session)
            return () if body is None else codec.decode_people(body)

    def unfinished(self) -> Unfinished | None:
        """The latest session that was not closed, or None."""
        with explained(self.path, "reading the journal"):
            row = self.db.execute(
                "SELECT id, begun FROM session WHERE how IS NULL AND twin = ''"
                " ORDER BY id DESC LIMIT 1"
            ).fetchone()
            if row is None:
                return None
            session, begun = row
            last = self.db.execute(
                "SELECT wall, kind, body FROM event WHERE session = ? ORDER BY seq DESC LIMIT 1",
                (session,),
            ).fetchone()
            if last is None:
                return Unfinished(session, begun, 0.0)
            wall, kind, body = last
            with suppress(JournalError):
                instant_of(wall)
                begun = wall
            return Unfinished(session, begun, codec.decode_event(kind, body).at)

    def latest(self, most: int, place: str | None = None) -> list[SessionRow]:
        """The last so many sessions that count, at a place if one is named, the earliest first."""
        query = (
            "SELECT id, uid, begun, routine, minutes, place, how FROM session"
            " WHERE twin = '' AND (? IS NULL OR place = ?) ORDER BY instant DESC, uid DESC LIMIT ?"
        )
        read = lambda: self.rows(query, place, place, most)  # noqa: E731
        rows = self.remembered(("latest", most, place), read)
        return [SessionRow(*row) for row in reversed(rows)]

    def last_session(self, place: str | None = None) -> SessionRow | None:
        """The latest session, at a place if one is named; None where there is none."""
        return next(iter(self.latest(1, place)), None)

    def standing_signs(self, person: Person, several: int = 1) -> tuple[SignTold, ...]:
        """Warning signs a person told in any session and has not declared cleared since."""
        from coach.journal.body_statements import (
            standing_signs,  # with events, which few readers want
        )

        return standing_signs(self, person, several)
