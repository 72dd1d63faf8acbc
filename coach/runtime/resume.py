"""Taking a session up again: replay what is on disk, then go on from there.

Owns the version of the rules (a digest of the pure packages' sources: the same sources replay to
the same state) and the shift between the session's timeline and that of a new process.
"""

import hashlib
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from coach.model.start import Start
from coach.runtime.runner import World
from coach.session.effects import Effect
from coach.session.events import Event
from coach.session.state import Session
from coach.session.step import new_session, step

_PURE = ("model", "planning", "session", "group")
_Timed = TypeVar("_Timed", Event, Effect)


def rules_version() -> str:
    """Twelve hex digits that change whenever a rule, the chart or the model does."""
    root = Path(__file__).parents[1]
    digest = hashlib.sha256()
    for package in _PURE:
        for path in sorted((root / package).rglob("*.py")):
            digest.update(path.relative_to(root).as_posix().encode())
            digest.update(path.read_bytes())
    return digest.hexdigest()[:12]


def replay(start: Start, events: Iterable[Event]) -> Session:
    """The session as it was after these events; right only under the rules that made them."""
    session = new_session(start.library, start.settled)
    for event in events:
        session, _ = step(session, event)
    return session


def shifted(timed: _Timed, by: float) -> _Timed:
    """An event or effect with its times moved by some seconds."""
    fields: dict[str, Any] = {
        name: getattr(timed, name) + by for name in ("at", "onset") if hasattr(timed, name)
    }
    return replace(timed, **fields)


class ShiftedWorld:
    """A world whose timeline began at zero, seen from a session that was `offset` seconds old."""

    def __init__(self, world: World, offset: float) -> None:
        self._world = world
        self._offset = offset

    def now(self) -> float:
        """Seconds on the session's timeline."""
        return self._world.now() + self._offset

    def wait(self, until: float | None) -> Event | None:
        """The next event, in the session's time."""
        event = self._world.wait(None if until is None else until - self._offset)
        return None if event is None else shifted(event, self._offset)

    def carry_out(self, effect: Effect) -> None:
        """Do it, in the world's time."""
        self._world.carry_out(shifted(effect, -self._offset))
