"""The only loop: take an event, step, commit, then carry out. Everything else is a port.

An effect is carried out only after the event that caused it is on disk.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Generic, Protocol

from coach.model.facts import Fact
from coach.session.effects import Effect, End, Record, WakeAt
from coach.session.events import Event, TimePassed
from coach.session.kinds import SOLO, Kind, S
from coach.session.state import Phase


class World(Protocol):
    """Where events come from and effects go: real sound, simulated sound, or text alone."""

    def now(self) -> float:
        """Seconds on the session's timeline."""

    def wait(self, until: float | None) -> Event | None:
        """The next event, or None once `until` has come; stop and hurt overtake."""

    def carry_out(self, effect: Effect) -> None:
        """Do it; never blocks for long."""


class Keeper(Protocol):
    """Where events are kept."""

    def commit(self, event: Event, facts: tuple[Fact, ...], wall: datetime) -> None:
        """On disk when it returns, or held until it can be."""


class NoKeeper:
    """Keeps nothing: for rehearsals."""

    def commit(self, event: Event, facts: tuple[Fact, ...], wall: datetime) -> None:
        """Do nothing."""


@dataclass
class Runner(Generic[S]):
    """Runs one session to its end."""

    session: S
    world: World
    keeper: Keeper
    wall: Callable[[], datetime]
    seen: Callable[[S, Event, tuple[Effect, ...]], None] = lambda *_: None
    """Called after each event, for screens and rehearsals; it must not block."""
    wake: float | None = None
    kind: Kind[Any] = SOLO

    def take(self, event: Event) -> bool:
        """One turn of the loop; False once the session wants to end."""
        event = self.kind.heard(self.session, event)
        self.session, effects = self.kind.step(self.session, event)
        facts = tuple(effect.fact for effect in effects if isinstance(effect, Record))
        self.keeper.commit(event, facts, self.wall())
        ended = False
        self.wake = self.session.wake
        for effect in effects:
            if isinstance(effect, End):
                ended = True
            elif not isinstance(effect, Record | WakeAt):
                self.world.carry_out(effect)
        self.seen(self.session, event, effects)
        return not ended

    def next(self) -> Event:
        """Wait for what happens next: an event of the world, or the time that is due."""
        return self.world.wait(self.wake) or self.due()

    def due(self) -> TimePassed:
        """The event of the time that was waited for."""
        assert self.wake is not None
        return TimePassed(max(self.world.now(), self.wake))

    def run(self, first: Event) -> S:
        """From the first event to the end of the session."""
        going = self.take(first)
        while going:
            going = self.take(self.next())
        assert self.session.phase is Phase.OVER
        return self.session
