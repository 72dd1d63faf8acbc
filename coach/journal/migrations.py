"""Brings a journal to the shape this program knows, one named step at a time.

Owns the record of what was applied. Each step runs in one transaction together with its
record, so a crash between two steps leaves a journal that the next start completes.
"""

import sqlite3
from collections.abc import Mapping

from coach.errors import JournalError
from coach.journal.codec import crc
from coach.journal.schema import APPLICATION_ID, STEPS
from coach.model.person import Person
from coach.record.people import key_of


def applied(db: sqlite3.Connection) -> tuple[str, ...]:
    """Names of the steps in the file, oldest first; empty for an empty file.

    Raises JournalError for a database that is not a journal.
    """
    mark = db.execute("PRAGMA application_id").fetchone()[0]
    tables = db.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0]
    if mark == 0 and tables == 0:
        return ()
    if mark != APPLICATION_ID:
        raise JournalError(
            "the file is another program's, not a journal",
            "It was left as it is. Choose another file for the journal.",
        )
    rows = db.execute("SELECT name FROM migration ORDER BY n").fetchall()
    return tuple(name for (name,) in rows)


def missing(db: sqlite3.Connection, steps: Mapping[str, str] = STEPS) -> tuple[str, ...]:
    """Steps that this program knows and the file lacks.

    Raises JournalError when the file holds steps that this program does not know.
    """
    have = applied(db)
    unknown = [name for name in have if name not in steps]
    if unknown:
        raise JournalError(
            f"the journal was made by a newer version of this program (step {unknown[0]!r})",
            "It was left as it is. Install the newer version to use it.",
        )
    return tuple(name for name in steps if name not in have)


def migrate(db: sqlite3.Connection, steps: Mapping[str, str] = STEPS) -> None:
    """Apply what is missing. The connection must be in autocommit mode and hold the write lock."""
    db.create_function("person_key", 3, _person_key, deterministic=True)
    db.create_function("sum_of", -1, crc, deterministic=True)
    for name in missing(db, steps):
        # executescript commits what is open, so the transaction is part of the script.
        db.executescript(
            "BEGIN IMMEDIATE;\n"
            f"PRAGMA application_id = {APPLICATION_ID};\n"
            "CREATE TABLE IF NOT EXISTS migration (\n"
            "    n INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE) STRICT;\n"
            f"{steps[name]}\n"
            f"INSERT INTO migration (name) VALUES ('{name}');\n"
            "COMMIT;"
        )


def _person_key(name: str, who: int, several: int) -> str:
    """For the steps: what somebody of an older journal is known by."""
    return key_of(Person(who, name), several)
