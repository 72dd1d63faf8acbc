"""Keeps a session's events on disk, and goes on in memory while the disk refuses.

What can't be saved is held in order and tried again; a spare copy elsewhere keeps it from a crash.
The session is told once that the journal is lost, and once that it is back.
"""

import logging
import time
from collections import deque
from collections.abc import Callable
from datetime import datetime

from coach.errors import JournalError
from coach.journal import Journal, Recorded, SessionId
from coach.model.facts import Fact
from coach.runtime.spare import Spare
from coach.session.events import JOURNAL, DeviceLost, DeviceReturned, Event

log = logging.getLogger(__name__)

#: Seconds for which a commit waits for another program's lock: a sound is due in 300 ms.
PATIENCE = 0.2
#: Seconds between tries while the disk refuses: doubled from the first up to the last.
RETRY, RETRY_MOST = 2.0, 30.0
#: Seconds for which it is tried once more when the session is over.
LAST_TRIES = 5.0


def _nobody(event: Event) -> None:
    """Where nobody has to know."""


class JournalKeeper:
    """Commits the events of one session; never raises, and never calls saved what is not."""

    def __init__(
        self, journal: Journal, session: SessionId, tell: Callable[[Event], None] = _nobody
    ) -> None:
        """`tell` takes the loss of the journal and its return, from the thread that commits."""
        self._journal = journal
        self._session = session
        self._tell = tell
        self._held: deque[tuple[Event, tuple[Fact, ...], datetime]] = deque()
        self._next = 0.0
        self._wait = RETRY
        self.refused = False
        """Whether there was a time in which nothing could be saved."""
        self._spare: Spare | None = None
        self._spared = 0
        journal.wait_for_locks(PATIENCE)

    @property
    def held(self) -> int:
        """Events that are not in the journal."""
        return len(self._held)

    @property
    def spare(self) -> Spare | None:
        """The copy that holds all of them, or None where there is none."""
        return self._spare if self._spared == len(self._held) else None

    def commit(self, event: Event, facts: tuple[Fact, ...], wall: datetime) -> None:
        """On disk when it returns, or held; what is held comes first."""
        self._held.append((event, facts, wall))
        lost = len(self._held) > 1
        if lost and time.monotonic() < self._next:
            if self._spare is not None:
                self._copy()
            return
        why = self._save()
        if why is None and lost:
            self._back(event.at)
        elif why is not None:
            log.warning("the journal can't be written: %s", why)
            self.refused = True
            self._wait = min(2 * self._wait, RETRY_MOST) if lost else RETRY
            self._next = time.monotonic() + self._wait
            self._copy()
            if not lost:
                self._tell(DeviceLost(event.at, JOURNAL, why.what))

    def finish(self, how: str) -> bool:
        """Close the session as ended; whether the journal holds all of it."""
        until = time.monotonic() + LAST_TRIES
        while True:
            try:
                why = self._save()
                if why is None:
                    self._journal.close_session(self._session, how)
                    self._drop()
                    return True
            except JournalError as error:
                why = error
            if time.monotonic() > until:
                break
            time.sleep(RETRY / 4)
        log.error("the end of the session is not in the journal: %s", why)
        self._end_copy(how)
        return False

    def leave(self) -> bool:
        """Let it go on another time; whether the journal holds all of it."""
        if self._save() is None:
            self._drop()
            return True
        self._end_copy(None)
        return False

    def _save(self) -> JournalError | None:
        """Write what is held, the oldest first; what hindered it, or None."""
        try:
            while self._held:
                self._journal.commit(self._session, *self._held[0])
                self._held.popleft()
                if self._spared:
                    self._spared -= 1
                else:
                    self._drop()  # it lacks this one
        except JournalError as error:
            return error
        return None

    def _back(self, at: float) -> None:
        self._drop()
        self._tell(DeviceReturned(at, JOURNAL))

    def _drop(self) -> None:
        if self._spare is not None:
            self._spare.drop()
        self._spare, self._spared = None, 0

    def _copy(self) -> None:
        """Bring the copy up to what is held; where that can't be, the memory has it alone."""
        try:
            if self._spare is None:
                self._spare, self._spared = Spare(self._journal, self._session), 0
            while self._spared < len(self._held):
                event, facts, wall = self._held[self._spared]
                seq = self._journal.last_number(self._session) + self._spared + 1
                self._spare.add(Recorded(seq, wall.isoformat(), event, facts))
                self._spared += 1
        except (JournalError, OSError) as error:
            log.warning("no spare copy: %s", error)

    def _end_copy(self, how: str | None) -> None:
        self._copy()
        try:
            if self._spare is not None:
                self._spare.close(how if self._spared == len(self._held) else None)
        except JournalError as error:
            log.warning("the spare copy is not closed: %s", error)
