"""Follows a session that another process runs, read-only: what large views and browsers show.

The journal is read along and its events are stepped again, so that a follower needs nothing of the
process that runs the session, and holds no lock of its own.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from coach.errors import CoachError
from coach.group import looking
from coach.group.state import Group
from coach.group.step import step as group_step
from coach.group.storing import group_of, is_group, version_of
from coach.journal import Follower
from coach.model.person import Person
from coach.model.start import Start
from coach.runtime.resume import rules_version
from coach.session.looking import look
from coach.session.state import Session
from coach.session.step import new_session, step
from coach.session.view import View


@dataclass(frozen=True, slots=True)
class Picture:
    """What is to be seen now."""

    view: View
    now: float
    """Second of the session's timeline, as far as the clock on the wall tells."""
    people: tuple[Person, ...]
    stands: tuple[looking.Stand, ...] = ()
    """The stations of a group."""
    over: bool = False


class Watching:
    """A follower that steps what it reads."""

    def __init__(self, follower: Follower) -> None:
        self._follower = follower
        self._start: Start | None = None
        self._session: Session | Group | None = None
        self._wall: datetime | None = None
        self._at = 0.0

    def picture(self, now: datetime) -> Picture | None:
        """What is to be seen at a time of the wall's clock; None until a session runs.

        CoachError where the session was begun by another version, which steps differently.
        """
        for one in self._follower.new():
            session = self._begun() if self._session is None else self._session
            if isinstance(session, Group):
                session, _ = group_step(session, one.event)
            else:
                session, _ = step(session, one.event)
            self._session = session
            self._wall, self._at = datetime.fromisoformat(one.wall), session.at
        if self._session is None or self._wall is None or self._start is None:
            return None
        at = self._at + max((now - self._wall).total_seconds(), 0.0)
        people = self._start.people
        if isinstance(self._session, Group):
            group = self._session
            over = self._follower.over()
            return Picture(looking.look(group), at, people, looking.stands(group), over)
        return Picture(look(self._session), at, people, (), self._follower.over())

    def _begun(self) -> Session | Group:
        start = self._follower.start()
        assert start is not None, "its events have been read"
        self._start = start
        rules = rules_version()
        if start.rules_version not in (rules, version_of(rules)):
            raise CoachError(
                "the session that runs was begun by another version of the coach",
                "Start it again with this one to follow it.",
            )
        return group_of(start) if is_group(start) else new_session(start.library, start.settled)


def lines(picture: Picture | None, names: Mapping[int, str]) -> tuple[tuple[str, str, str], ...]:
    """The stations of a picture in words: name, who is there, who comes next."""
    if picture is None:
        return ()

    def called(who: tuple[int, ...]) -> str:
        return "  ".join(names.get(one) or str(one) for one in who)

    return tuple((stand.name, called(stand.now), called(stand.next)) for stand in picture.stands)
