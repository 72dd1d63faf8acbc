"""What a kind of session is, and the kinds of one to three people.

Whatever runs, rehearses, watches, keeps or takes up a session goes through these values and knows
nothing else of what it runs.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

from coach.model.answers import ANYTIME
from coach.model.messages import Message
from coach.model.start import Start
from coach.session.effects import Effect
from coach.session.events import Event
from coach.session.looking import look
from coach.session.state import Phase, Session
from coach.session.step import new_session, step
from coach.session.view import View


class Stepped(Protocol):
    """What everybody may know of a session, of one person or of a group."""

    @property
    def phase(self) -> Phase:
        """What it is doing."""

    @property
    def at(self) -> float:
        """Second of its timeline that it has come to."""

    @property
    def wake(self) -> float | None:
        """The next time at which something is due, or None."""

    @property
    def how(self) -> str:
        """How it ended: 'done', 'ended', 'hurt' or 'closed'."""

    @property
    def people(self) -> tuple[int, ...]:
        """Numbers of the people in it."""

    @property
    def did(self) -> Message | None:
        """What the last answer did."""

    @property
    def weighs(self) -> int:
        """Who may tell a scale's reading now; 0 for nobody."""


S = TypeVar("S", bound=Stepped)


@dataclass(frozen=True, slots=True)
class Stand:
    """One station as it is shown: who is there now, and who comes next."""

    name: str
    now: tuple[int, ...]
    next: tuple[int, ...] = ()


def _unchanged(state: Stepped, event: Event) -> Event:
    return event


def _nowhere(state: Stepped) -> tuple[Stand, ...]:
    return ()


@dataclass(frozen=True, slots=True)
class Kind(Generic[S]):
    """All that differs between kinds of sessions."""

    name: str
    """As the journal names it; never changed once released."""
    command: str
    """The command that begins it and goes on with it."""
    title: str
    """What a person calls it: 'a session', 'a group'."""
    new: Callable[[Start], S]
    """The session that a start describes, before anything has happened."""
    step: Callable[[S, Event], tuple[S, tuple[Effect, ...]]]
    """RefusedError, and nothing changed, where the event can't happen."""
    look: Callable[[S], View]
    anytime: tuple[str, ...]
    """Answer keys that need no window of their own."""
    summary: Callable[[S], str]
    """What it came to, in one line."""
    from_record: bool = True
    """Whether it begins with what earlier sessions tell of its people."""
    led: bool = False
    """Whether a leader answers for everybody."""
    heard: Callable[[S, Event], Event] = _unchanged
    """The event as it is kept: whose answer it was, where the microphone can't tell."""
    stands: Callable[[S], tuple[Stand, ...]] = _nowhere
    """Who is where, for the view from afar."""


def _new(start: Start) -> Session:
    return new_session(start.library, start.settled)


def _summary(session: Session) -> str:
    if session.how == "hurt":
        # nobody who is hurt is told how little they did
        return f"{session.recorded_seconds / 60:.0f} min; have what hurts looked at"
    tries = sum(count for _, count in session.tries.counts)
    return (
        f"{session.recorded_seconds / 60:.0f} min, {session.course.boulders} boulders, "
        f"{tries} hard tries, {session.tries.tops} tops"
    )


def _kind(name: str, command: str, title: str) -> Kind[Session]:
    return Kind(name, command, title, _new, step, look, tuple(ANYTIME), _summary)


SOLO = _kind("solo", "coach start", "a session")
PAIR = _kind("pair", "coach start", "a session")
RESTS = _kind("rests", "coach rest", "a session of rests")
