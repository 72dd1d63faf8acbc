"""Copies of the journal: made while a session runs, and put back.

Owns the promise that no half-written copy is ever left under the name that was asked for.
"""

import os
import sqlite3
from collections.abc import Callable
from pathlib import Path

from coach.errors import JournalError
from coach.journal.database import connect, explained
from coach.journal.journal_checks import Shown, unseen, verify
from coach.journal.lock import WriterLock

#: Pages that are copied at a time: between two of them it can be stopped.
AT_ONCE = 256

Told = Callable[[int, int], None]
"""How many pages are copied, of how many."""


def backup(path: Path, to: Path, told: Told | None = None) -> None:
    """Copy a journal with SQLite's online backup; a session may be running.

    Raises JournalError when `to` exists, or the copy fails; then nothing is left of it.
    """
    if to.exists():
        raise JournalError(f"{to}: there is a file already", "Choose another name.")
    with explained(path, "the backup"):
        source = connect(path, write=False)
        try:
            _copy(source, to, told)
        finally:
            source.close()


def _copy(source: sqlite3.Connection, to: Path, told: Told | None = None) -> None:
    part = to.with_name(to.name + ".part")
    part.unlink(missing_ok=True)
    try:
        os.close(os.open(part, os.O_CREAT | os.O_RDWR, 0o600))
        target = sqlite3.connect(part)
        try:
            source.backup(target, pages=AT_ONCE, progress=_progress(told))
            # One file, without a log beside it, is easier to carry.
            target.execute("PRAGMA journal_mode = DELETE")
        finally:
            target.close()
        descriptor = os.open(part, os.O_RDWR)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
        part.rename(to)
    finally:
        for left in (part, part.with_name(part.name + "-journal")):
            left.unlink(missing_ok=True)


def _progress(told: Told | None) -> Callable[[int, int, int], None] | None:
    """As SQLite reports it: the last step's status, pages left, pages in all."""
    return None if told is None else lambda _, left, whole: told(whole - left, whole)


def restore(copy: Path, path: Path) -> None:
    """Put a copy where the journal belongs, once all of it is read: `may_restore`, `put_back`."""
    may_restore(copy, path)
    put_back(copy, path)


def may_restore(copy: Path, path: Path, processes: int = 1, shown: Shown = unseen) -> None:
    """Read all of a copy that is to be the journal; an empty file in its place is none.

    Raises JournalError when the copy is not whole, or a journal is there already: what it
    holds would be lost, so it has to be moved away, or the copy merged into it.
    """
    _is_free(path)
    verdict = verify(copy, processes=processes, shown=shown)
    if not verdict.whole:
        first = verdict.findings[0]
        raise JournalError(
            f"{copy}: the copy is not whole: {first.where}: {first.what}",
            "Nothing was restored. `coach journal rescue` saves what can be read of it.",
        )


def put_back(copy: Path, path: Path, told: Told | None = None) -> None:
    """Put a copy that is whole where the journal belongs; JournalError where one is."""
    with explained(path, "restoring"):
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        lock = WriterLock(path)
        lock.take()
        try:
            _is_free(path)  # while the copy was read somebody may have begun one
            source = connect(copy, write=False)
            try:
                _copy(source, path, told)
            finally:
                source.close()
        finally:
            lock.release()


def _is_free(path: Path) -> None:
    if path.exists() and not path.is_file():
        raise JournalError(f"{path}: this is no file", "Choose another name.")
    if path.exists() and path.stat().st_size:
        raise JournalError(
            f"{path}: there is a journal already",
            "Move it away first, or add the copy to it with `coach journal merge`.",
        )
    log = path.with_name(path.name + "-wal")
    if log.exists() and log.stat().st_size:
        # SQLite would play it into whatever journal stands beside it
        raise JournalError(
            f"{log}: the log of a journal that was moved away",
            "Move it to where that journal is now: it holds the latest of it.",
        )
