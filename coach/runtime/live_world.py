"""A stage as one session sees it: on the session's own timeline, until the person leaves.

A stage begins at zero; a session that goes on after a stop is older than that by some seconds.
"""

from dataclasses import replace
from typing import Any, TypeVar

from coach.runtime.live_stage import Stage
from coach.session.effects import Effect
from coach.session.events import Event

_Timed = TypeVar("_Timed", Event, Effect)


def shifted(timed: _Timed, by: float) -> _Timed:
    """An event or effect with its times moved by some seconds."""
    fields: dict[str, Any] = {
        name: getattr(timed, name) + by for name in ("at", "onset") if hasattr(timed, name)
    }
    return replace(timed, **fields)


class LiveWorld:
    """Where the events of a session come from and its effects go."""

    def __init__(self, stage: Stage, offset: float) -> None:
        """`offset` is how old the session was when the stage began, in seconds."""
        self._stage = stage
        self._offset = offset

    def now(self) -> float:
        """Seconds on the session's timeline."""
        return self._stage.now() + self._offset

    def wait(self, until: float | None) -> Event | None:
        """The next event, or None once `until` has come; Left once the person has left."""
        event = self._stage.wait(None if until is None else until - self._offset)
        return None if event is None else shifted(event, self._offset)

    def carry_out(self, effect: Effect) -> None:
        """Do it."""
        self._stage.carry_out(shifted(effect, -self._offset))

    def post(self, event: Event) -> None:
        """Put an event of the session's time on the queue; from any thread."""
        self._stage.post(shifted(event, -self._offset))

    def leave(self) -> None:
        """Let `wait` raise Left; from any thread, and from a signal's handler."""
        self._stage.leave()
