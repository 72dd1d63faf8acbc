"""Connections to the journal file, and SQLite's errors in the words of a climber.

Owns the settings every connection has. `synchronous=FULL` under WAL means that a commit
returns only when its bytes are on disk: what is announced after it can't be lost.
"""

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from coach.errors import JournalError
from coach.journal import migrations
from coach.journal.lock import BusyError, WriterLock

_LEFT = "The file was left as it is."

_ADVICE = {
    sqlite3.SQLITE_FULL: "the disk is full; free some space: what was committed before is whole",
    sqlite3.SQLITE_NOTADB: f"it is not a journal. {_LEFT} Choose another file, or restore a backup",
    sqlite3.SQLITE_CORRUPT: f"it is damaged. {_LEFT} Restore a backup, or save what can be read "
    "of it: `coach journal rescue`",
    sqlite3.SQLITE_CANTOPEN: "the file or its folder can't be opened; check that they may be "
    "read and written",
    sqlite3.SQLITE_READONLY: "the file or its folder may not be written; change its permissions",
    sqlite3.SQLITE_BUSY: "another program keeps it locked; close that program and try again",
    sqlite3.SQLITE_IOERR: f"the disk reports an error, or is full or over a quota. {_LEFT}",
}


@contextmanager
def explained(path: Path, doing: str) -> Iterator[None]:
    """Turn what SQLite or the system raises into a JournalError that says where and what to do."""
    try:
        yield
    except sqlite3.Error as error:
        code = getattr(error, "sqlite_errorcode", 0) & 0xFF
        raise JournalError(
            f"{path}: {doing} failed: {error}",
            _ADVICE.get(code, f"Run `coach journal verify`. {_LEFT}"),
        ) from error
    except UnicodeError as error:
        raise JournalError(
            f"{path}: {doing} failed: {error}", _ADVICE[sqlite3.SQLITE_CORRUPT]
        ) from error
    except OSError as error:
        raise JournalError(
            f"{path}: {doing} failed: {error.strerror}",
            "Check that the folder is there and may be written, and that the disk has space.",
        ) from error
    except JournalError as error:
        if error.what.startswith(str(path)):
            raise
        raise type(error)(f"{path}: {error.what}", error.do) from error


#: Steps of SQLite's machine after which it is looked whether somebody wants it to stop.
STEPS = 2_000


def _unseen() -> None:
    """Where nobody watches."""


@contextmanager
def stoppable(db: sqlite3.Connection, told: Callable[[], None] = _unseen) -> Iterator[None]:
    """Let Ctrl-C stop what SQLite does in one go, such as rebuilding the file.

    `told` is called every STEPS steps. KeyboardInterrupt where it was stopped; then SQLite has
    taken back what it had begun.
    """

    def looked() -> int:
        told()
        return 0

    # an interruption that comes while `looked` runs is swallowed, and ends what SQLite does
    db.set_progress_handler(looked, STEPS)
    try:
        yield
    except sqlite3.OperationalError as error:
        if error.sqlite_errorcode == sqlite3.SQLITE_INTERRUPT:
            raise KeyboardInterrupt from error
        raise
    finally:
        db.set_progress_handler(None, 0)


def connect(path: Path, *, write: bool) -> sqlite3.Connection:
    """A connection in autocommit mode; read-only unless `write`. Makes no file when reading."""
    mode = "rwc" if write else "ro"
    db = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}",
        uri=True,
        timeout=5.0,
        isolation_level=None,
        check_same_thread=False,
    )
    try:
        db.execute("PRAGMA foreign_keys = ON")
        if write:
            migrations.missing(db)  # foreign or newer: refused before anything is set in it
            db.execute("PRAGMA secure_delete = ON")
            db.execute("PRAGMA synchronous = FULL")
            db.execute("PRAGMA journal_mode = WAL")
    except BaseException:
        db.close()
        raise
    return db


def open_writer(path: Path, since: str, pid: int) -> tuple[sqlite3.Connection, WriterLock]:
    """Take the lock, connect, migrate; folder and file are made when missing.

    Raises BusyError with the pid and start of the process that writes now.
    """
    private(path)
    lock = WriterLock(path)
    try:
        lock.take()
    except BusyError as error:
        raise BusyError(f"{error.what} ({_holder(path)})", _AFTER_BUSY) from error
    try:
        db = connect(path, write=True)
        try:
            migrations.migrate(db)
            db.execute("INSERT OR REPLACE INTO writer VALUES (1, ?, ?)", (pid, since))
            with suppress(OSError):  # a file system without rights, or somebody else's file
                for file in (path, *beside(path)):
                    if file.is_file():
                        file.chmod(0o600)
        except BaseException:
            db.close()
            raise
    except BaseException:
        lock.release()
        raise
    return db, lock


_AFTER_BUSY = (
    "End that session first. Reading the journal (coach history, coach trends) works meanwhile."
)


def beside(path: Path) -> tuple[Path, ...]:
    """What SQLite and the lock may make beside a journal."""
    return tuple(path.with_name(path.name + end) for end in ("-wal", "-shm", "-journal", "-writer"))


def private(path: Path) -> None:
    """Make folder and file, where they are missing, for nobody's eyes but the owner's.

    What stands beside the file gets the same rights: its log by SQLite, its lock by itself.
    """
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    if not path.exists():
        os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))


def open_reader(path: Path) -> sqlite3.Connection:
    """Connect read-only; an older journal is brought up to date first if nobody writes to it."""
    if not path.exists():
        raise JournalError(
            "there is no journal yet", "`coach start` makes one; --journal names another."
        )
    if path.stat().st_size == 0:
        raise JournalError("the file is empty: there is no journal in it", _EMPTY)
    db = connect(path, write=False)
    try:
        if not migrations.missing(db):
            return db
    except BaseException:
        db.close()
        raise
    db.close()
    writer, lock = open_writer(path, "", 0)
    writer.close()
    lock.release()
    return connect(path, write=False)


_EMPTY = "Restore a backup: `coach journal restore`. `coach start` begins a new one in its place."


def open_damaged(path: Path) -> sqlite3.Connection:
    """Connect read-only to a file that may be cut short, so that what is there can be read.

    Where SQLite can read nothing of it, what its pages hold stands in a database in memory.
    """
    if not path.exists():
        raise JournalError("there is no such file")
    if path.stat().st_size == 0:
        raise JournalError("the file is empty: there is nothing to be saved")
    db = connect(path, write=False)
    try:
        # SQLite reads no page at all of a file that is shorter than it should be, but with this.
        db.execute("PRAGMA writable_schema = ON")
        migrations.missing(db)
    except sqlite3.DatabaseError:
        db.close()
        return _of_pages(path)
    except BaseException:
        db.close()
        raise
    return db


def _of_pages(path: Path) -> sqlite3.Connection:
    from coach.journal.carving import carved  # few files need it

    db = carved(path)
    if not any(db.execute(f"SELECT 1 FROM {what}").fetchone() for what in ("seal", "session")):  # noqa: S608
        db.close()
        raise JournalError("it is no journal, and no page of it holds a session")
    return db


def _holder(path: Path) -> str:
    try:
        db = connect(path, write=False)
        try:
            pid, since = db.execute("SELECT pid, since FROM writer").fetchone()
        finally:
            db.close()
    except (sqlite3.Error, TypeError):
        return "which one is not known"
    return f"process {pid}, since {since}"
