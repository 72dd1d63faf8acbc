"""What a journal says of a session without reading its events."""

from dataclasses import dataclass
from datetime import datetime
from typing import NewType

from coach.errors import JournalError

SessionId = NewType("SessionId", int)
"""A session by its number in this file. `SessionRow.uid` names it across files."""


@dataclass(frozen=True, slots=True)
class SessionRow:
    """One line of the list of sessions."""

    id: SessionId
    uid: str
    begun: str
    """ISO 8601 with its offset from UTC."""
    routine: str
    minutes: int
    place: str
    how: str | None
    """How it ended; None while it runs, or after a crash."""


@dataclass(frozen=True, slots=True)
class Unfinished:
    """A session that was not closed, and where it stopped."""

    id: SessionId
    wall: str
    """Commit time of its last event, or its start."""
    at: float
    """Timeline second of its last event."""


def instant_of(wall: str) -> float:
    """Seconds since 1970 of a start time; JournalError unless it is one and has its offset."""
    try:
        begun = datetime.fromisoformat(wall)
        if begun.tzinfo is not None:
            return begun.timestamp()
    except (ValueError, OverflowError) as error:
        raise JournalError(f"the start time {wall!r} is no ISO 8601 time") from error
    raise JournalError(f"the start time {wall!r} has no offset from UTC")
