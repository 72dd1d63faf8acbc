"""The digests that stand beside the facts, so that ten years are read in well under a second.

Owns when a digest is made: when a session is closed or copied in, and anew when it is read but
missing or of another version. It is never more than the facts say, and may be deleted.
"""

import hashlib
import sqlite3
from collections.abc import Mapping

from coach.journal import codec, seals, shelf
from coach.model.facts import Fact
from coach.model.movement import Movement
from coach.model.person import Person
from coach.record.attribution import attributed
from coach.record.digest import VERSION, Digest, digest
from coach.record.fixes import NUMBERS, Fix, amended

#: The kind of statement that corrects a session.
FIX = "fixed"

_FIXES = """
SELECT body FROM statement WHERE kind = ? AND json_extract(body, '$[0]') = ? ORDER BY wall, uid
"""


def named(what: str) -> str:
    """What stands for a session or a person in a statement: nobody can read them from it."""
    return hashlib.sha256(f"of the record: {what}".encode()).hexdigest()


class Maker:
    """Makes digests from stored facts; a library that many sessions share is read once."""

    def __init__(self, db: sqlite3.Connection) -> None:
        self._db = db
        self._read: dict[str, Mapping[str, Movement]] = {}

    def made(self, session: int, who: int) -> Digest:
        """The digest of one person in one session."""
        made = digest(self.facts(session), who, self._movements(session))
        return amended(made, who, self.fixes(session))

    def fixes(self, session: int) -> list[Fix]:
        """What was corrected of the numbers of a session, in the order it was stated."""
        query = "SELECT uid, twin FROM session WHERE id = ?"
        uid, twin = self._db.execute(query, (session,)).fetchone()
        found = []
        for (body,) in self._db.execute(_FIXES, (FIX, named(twin or uid))):
            _, field, _, value = codec.decode_stated(body)
            kind, *numbers = field.split()
            if kind in NUMBERS:
                who, number = [*map(int, numbers), 0][:2]
                found.append(Fix(kind, who, number, value))
        return found

    def facts(self, session: int) -> list[Fact]:
        """Every fact of a session, each with the person whose it is."""
        caused = (
            [codec.decode_fact(kind, body) for kind, body in one.facts]
            for one in seals.stored(self._db, session)
        )
        return list(attributed(caused, [person.who for person in self.people(session)]))

    def people(self, session: int) -> tuple[Person, ...]:
        """Who takes part in a session."""
        return codec.decode_people(seals.start_text(self._db, session) or "")

    def keep(self, session: int) -> None:
        """Store the digest of each person in a session, inside the caller's transaction."""
        facts, movements = self.facts(session), self._movements(session)
        fixes = self.fixes(session)
        self._db.executemany(
            "INSERT OR REPLACE INTO digest VALUES (?, ?, ?, ?)",
            [
                (
                    session,
                    who,
                    VERSION,
                    codec.encode_digest(amended(digest(facts, who, movements), who, fixes)),
                )
                for who in (person.who for person in self.people(session))
            ],
        )

    def _movements(self, session: int) -> Mapping[str, Movement]:
        query = "SELECT library FROM session WHERE id = ?"
        (key,) = self._db.execute(query, (session,)).fetchone()
        if key not in self._read:
            self._read[key] = codec.decode_library(shelf.text(self._db, key) or "").movements
        return self._read[key]
