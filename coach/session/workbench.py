"""What the workbenches of a session and of a group share: one cue and one window at a time.

A state is replaced field by field, and effects are gathered. It alone numbers sounds and windows.
"""

from abc import ABC, abstractmethod
from dataclasses import replace
from typing import Any, ClassVar, Generic, Protocol, TypeVar

from coach.model.facts import Fact
from coach.model.messages import Message
from coach.model.questions import MOST
from coach.session.bounds import Tally
from coach.session.changing import changed
from coach.session.dialogue import After, Queued, Saying, Window, open_one
from coach.session.effects import (
    LEAD,
    CloseWindow,
    Cut,
    Effect,
    OpenWindow,
    Play,
    Record,
    Say,
    Tone,
)

#: A cue whose end nobody reports counts as said after this long: the device may be gone.
LONGEST_CUE = 20.0
#: Windows that are kept so that a late answer still finds its own.
WINDOWS_KEPT = 4


class _Speaking(Protocol):
    """The fields that a state needs."""

    @property
    def at(self) -> float: ...

    @property
    def saying(self) -> Saying | None: ...

    @property
    def queue(self) -> tuple[Queued, ...]: ...

    @property
    def windows(self) -> tuple[Window, ...]: ...

    @property
    def tally(self) -> Tally: ...

    @property
    def next_sound(self) -> int: ...

    @property
    def next_window(self) -> int: ...


S = TypeVar("S", bound=_Speaking)


class Workbench(ABC, Generic[S]):
    """A state under change, always whole and valid, and the effects so far."""

    between: ClassVar[float] = LEAD
    """Seconds from the end of a cue to the next one that waits."""

    def __init__(self, state: S) -> None:
        self.state = state
        self.effects: list[Effect] = []

    def set(self, **fields: Any) -> None:
        """Replace fields of the state."""
        self.state = changed(self.state, fields)

    @property
    def now(self) -> float:
        """Time of the event."""
        return self.state.at

    def record(self, fact: Fact) -> None:
        """Commit a fact with this event."""
        self.effects.append(Record(fact))

    # sounds

    def say(self, what: Message, after: After = After.NOTHING) -> None:
        """Say it now, or after what is being said."""
        if self.state.saying is None:
            self._speak(Queued(what, after), self.now + LEAD)
        else:
            self.set(queue=(*self.state.queue, Queued(what, after)))

    def _speak(self, item: Queued, at: float) -> None:
        sound, tally = self.state.next_sound, self._counted(item.what)
        self.set(tally=tally)
        if tally.over(item.what, hurt=self._hurt()):
            # left out: what was to follow it follows at once
            self.set(next_sound=sound + 1, saying=Saying(sound, item.what, item.after, self.now))
            return
        self.effects.append(Say(sound, item.what, at, self._moving(), self._unanswered()))
        self.set(
            next_sound=sound + 1,
            last_cue=item.what,
            saying=Saying(sound, item.what, item.after, at + LONGEST_CUE),
        )

    @abstractmethod
    def _counted(self, what: Message) -> Tally:
        """The tally with this cue."""
        ...

    @abstractmethod
    def _hurt(self) -> bool:
        """Whether it is open how somebody who is hurt is."""
        ...

    @abstractmethod
    def _moving(self) -> bool:
        """Whether whoever hears a cue is on the move."""
        ...

    @abstractmethod
    def _unanswered(self) -> bool:
        """Whether somebody is hurt and nobody has answered, so that it is said for the room."""
        ...

    def said(self) -> After:
        """The sounding cue has ended: start the next one; what was to happen after it."""
        saying = self.state.saying
        assert saying is not None
        self.set(saying=None)
        if self.state.queue:
            first, *rest = self.state.queue
            self.set(queue=tuple(rest))
            self._speak(first, self.now + self.between)
        return saying.after

    def hush(self) -> None:
        """Silence everything that sounds or waits."""
        self.effects.append(Cut())
        self.set(saying=None, queue=())

    def tone(self, tone: Tone, at: float | None = None) -> None:
        """Play a tone: now, or at a time."""
        self.effects.append(Play(self.state.next_sound, tone, self.now if at is None else at))
        self.set(next_sound=self.state.next_sound + 1)

    # windows

    def opened(
        self,
        answers: tuple[str, ...],
        who: int,
        opens: float,
        beside: tuple[str, ...] = (),
        **fields: Any,
    ) -> None:
        """Open a window, and set fields with it; the one before closes."""
        if sum(not key.startswith("person:") for key in answers) > MOST:  # a group is larger
            raise ValueError(f"a window takes {MOST} answers at most: {answers}")
        self.close_window()
        number = self.state.next_window
        self.effects.append(OpenWindow(number, answers, opens, who, beside))
        kept = self.state.windows[-(WINDOWS_KEPT - 1) :]
        windows = (*kept, Window(number, answers, opens, None, who, beside))
        self.set(next_window=number + 1, windows=windows, **fields)

    def close_window(self) -> None:
        """Close the open window, if there is one."""
        window = open_one(self.state.windows)
        if window is not None:
            self.effects.append(CloseWindow(window.number, self.now))
            closed = replace(window, closes=self.now)
            self.set(windows=(*self.state.windows[:-1], closed))
