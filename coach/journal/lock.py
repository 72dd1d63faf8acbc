"""One writer at a time, readers never barred.

The lock is an exclusive SQLite transaction on a small file beside the journal: it works on
every system SQLite works on, is not inherited by child processes, and dies with the process
that holds it, so that a crash never leaves a journal locked.
"""

import os
import sqlite3
from pathlib import Path

from coach.errors import JournalError


class BusyError(JournalError):
    """Another process writes to the journal."""


class WriterLock:
    """Held from `take` to `release`."""

    def __init__(self, journal: Path) -> None:
        self._path = journal.with_name(journal.name + "-writer")
        self._db: sqlite3.Connection | None = None

    def take(self) -> None:
        """Take the lock; BusyError when another connection, of any process, holds it."""
        if not self._path.exists():
            os.close(os.open(self._path, os.O_CREAT | os.O_RDWR, 0o600))
        db = sqlite3.connect(self._path, timeout=0, isolation_level=None, check_same_thread=False)
        try:
            db.execute("BEGIN EXCLUSIVE")
        except sqlite3.OperationalError as error:
            db.close()
            if error.sqlite_errorcode != sqlite3.SQLITE_BUSY:
                raise
            raise BusyError("another session is running") from error
        self._db = db

    def release(self) -> None:
        """Give the lock back; does nothing when it is not held."""
        if self._db is not None:
            self._db.close()
            self._db = None
