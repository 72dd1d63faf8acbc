"""Follows a session that another process runs, read-only: what large views and browsers show.

The journal is read along and its events are stepped again, so that a follower needs nothing of the
process that runs the session, and holds no lock of its own.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from coach.errors import CoachError
from coach.journal import Follower, SessionId
from coach.model.person import Person
from coach.model.start import Start
from coach.runtime.kind_registry import kind_of
from coach.runtime.replay import rules_version
from coach.session.kinds import Kind, Stand
from coach.session.view import View

#: Seconds for which the end of a session stays to be seen; after that none runs.
LEFT_UP = 120.0
#: Seconds after the time at which something was due, and nothing came: it runs no more.
CUT_OFF = 15.0
#: Seconds since its last event from which on a session that nobody closed is an old one.
LONG_AGO = 3600.0


@dataclass(frozen=True, slots=True)
class Picture:
    """What is to be seen now."""

    view: View
    now: float
    """Second of the session's timeline, as far as the clock on the wall tells."""
    people: tuple[Person, ...]
    stands: tuple[Stand, ...] = ()
    """The stations, where there are any."""
    over: bool = False


@dataclass(slots=True)
class _Followed:
    """The session as far as it has been read."""

    id: SessionId | None
    start: Start
    kind: Kind[Any]
    state: Any
    wall: datetime
    """When its last event was committed."""


class Watching:
    """A follower that steps what it reads."""

    def __init__(self, follower: Follower) -> None:
        self._follower = follower
        self._followed: _Followed | None = None

    def picture(self, now: datetime) -> Picture | None:
        """What is to be seen at a time of the wall's clock; None where no session runs.

        CoachError where the session was begun by another version, which steps differently.
        """
        for one in self._follower.new():
            wall, session = datetime.fromisoformat(one.wall), self._follower.session
            if self._followed is None or self._followed.id != session:
                self._followed = self._begun(session, wall, now)
            if self._followed is None:
                continue
            self._followed.state, _ = self._followed.kind.step(self._followed.state, one.event)
            self._followed.wall = wall
        seen, over = self._followed, self._follower.over()
        if seen is None or self._follower.session != seen.id:
            return None
        since = max((now - seen.wall).total_seconds(), 0.0)
        due = seen.state.wake
        # what is due since before the last event comes at once
        if not over and due is not None and since > max(due - seen.state.at, 0.0) + CUT_OFF:
            return None
        if over and since > LEFT_UP:
            return None
        view, stands = seen.kind.look(seen.state), seen.kind.stands(seen.state)
        return Picture(view, seen.state.at + since, seen.start.people, stands, over)

    def _begun(self, session: SessionId | None, wall: datetime, now: datetime) -> _Followed | None:
        """The session at its first event; None for an old one that can't be stepped any more."""
        start = self._follower.start()
        assert start is not None, "its events have been read"
        if start.rules_version != rules_version():
            if (now - wall).total_seconds() > LONG_AGO:
                return None
            raise CoachError(
                "the session that runs was begun by another version of the coach",
                "Start it again with this one to follow it.",
            )
        kind = kind_of(start)
        return _Followed(session, start, kind, kind.new(start), wall)


def lines(picture: Picture | None, names: Mapping[int, str]) -> tuple[tuple[str, str, str], ...]:
    """The stations of a picture in words: name, who is there, who comes next."""
    if picture is None:
        return ()

    def called(who: tuple[int, ...]) -> str:
        return "  ".join(names.get(one) or str(one) for one in who)

    return tuple((stand.name, called(stand.now), called(stand.next)) for stand in picture.stands)
