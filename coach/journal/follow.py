"""Reads along while another process writes: for large views and remote screens.

Owns no lock: each look is one short read transaction, so the writer is never held up and its
log never grows because somebody watches.
"""

from pathlib import Path
from types import TracebackType
from typing import Self

from coach.journal.codec import Recorded
from coach.journal.store import Journal, SessionId
from coach.model.start import Start


class Follower:
    """Hands out what is new in the running session, each transaction once."""

    def __init__(self, journal: Journal) -> None:
        self._journal = journal
        self._session: SessionId | None = None
        self._seen = 0

    @property
    def session(self) -> SessionId | None:
        """The session that is followed; None until one runs."""
        return self._session

    def start(self) -> Start | None:
        """What the followed session began with; None until one runs."""
        return None if self._session is None else self._journal.start_of(self._session)

    def over(self) -> bool:
        """Whether the followed session is closed. Nothing new will come of it."""
        return self._session is not None and all(
            row.how is not None for row in self._journal.sessions() if row.id == self._session
        )

    def new(self) -> tuple[Recorded, ...]:
        """What was committed since the last call, oldest first; () when nothing was.

        The session that runs is followed to its end, and then the next one.
        """
        running = self._journal.unfinished()
        if running is not None and running.id != self._session:
            self._session, self._seen = running.id, 0
        if self._session is None:
            return ()
        found = tuple(self._journal.recorded(self._session, self._seen))
        if found:
            self._seen = found[-1].seq
        return found

    def close(self) -> None:
        """Close the file."""
        self._journal.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


def follow(path: Path) -> Follower:
    """Follow the session that runs now, or the next one; JournalError as `Journal.open`."""
    return Follower(Journal.open(path, write=False))
