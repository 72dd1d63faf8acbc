"""A copy of the running session elsewhere, for as long as the journal itself can't be written.

It is a journal like any other, of one session under its own name, so that taking it back is a
merge: the longer record of the same events counts.
"""

import hashlib
import os
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from coach.errors import JournalError
from coach.journal import Journal, Recorded, SessionId
from coach.journal.transfer import merge, put, whole

#: Where files have no owners, that folder is one's own.
_NO_OWNERS = not hasattr(os, "getuid")


def folder() -> Path:
    """Where spare copies lie: the system's own place for what is not meant to last."""
    return Path(tempfile.gettempdir())


class Spare:
    """The copy, from the first event that could not be saved on."""

    def __init__(self, journal: Journal, session: SessionId) -> None:
        """With all that the journal holds of the session; JournalError where it can't be."""
        so_far = whole(journal, session)
        self.path = folder() / f"{_prefix(journal)}{so_far.uid[:12]}.db"
        _remove(self.path)
        self._journal = Journal.open(self.path, write=True)
        self.path.chmod(0o600)
        put(self._journal, so_far)
        self._session = self._journal.sessions()[0].id

    def add(self, recorded: Recorded) -> None:
        """One more event; JournalError where there is no room for it either."""
        with self._journal.transaction("keeping a spare copy"):
            self._journal.insert_event(self._session, recorded)

    def close(self, how: str | None) -> None:
        """Let go of the file; `how` the session ended, None where it can go on."""
        if how is not None:
            self._journal.close_session(self._session, how)
        self._journal.close()

    def drop(self) -> None:
        """All of it is where it belongs: the copy goes."""
        self._journal.close()
        _remove(self.path)


def take_back(journal: Journal) -> list[Path]:
    """Merge what earlier sessions left, and remove it; the files that were taken."""
    taken = []
    for path in _left_here(journal):
        with suppress(JournalError):
            with Journal.open(path, write=True) as spare:
                merge(journal, spare)
            _remove(path)
            taken.append(path)
    return taken


def _left_here(journal: Journal) -> Iterator[Path]:
    """Copies of this journal; others may write into that folder too, and theirs don't count."""
    for path in sorted(folder().glob(f"{_prefix(journal)}*.db")):
        if not path.is_symlink() and (_NO_OWNERS or path.stat().st_uid == os.getuid()):
            yield path


def _prefix(journal: Journal) -> str:
    """What the names of a journal's copies begin with: another journal's are not for it."""
    place = str(journal.path.absolute()).encode()
    return f"coach-unsaved-{hashlib.sha256(place).hexdigest()[:12]}-"


def _remove(path: Path) -> None:
    for name in (path.name, f"{path.name}-wal", f"{path.name}-shm", f"{path.name}-writer"):
        path.with_name(name).unlink(missing_ok=True)
