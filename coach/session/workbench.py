"""What the workbenches of a session and of a group share: one cue and one window at a time.

A state is replaced value by value, and effects are gathered. It alone numbers sounds and windows.
"""

import math
from abc import ABC, abstractmethod
from dataclasses import replace
from typing import Any, ClassVar, Generic, Protocol, TypeVar, overload

from coach.model.facts import Fact
from coach.model.messages import Message
from coach.session.bounds import Tally
from coach.session.changing import changed
from coach.session.dialogue import After, Listening, Queued, Saying, Speech, Window
from coach.session.effects import (
    FIRST_LEAD,
    LEAD,
    CloseWindow,
    Cut,
    Effect,
    OpenWindow,
    Play,
    PlayNote,
    Record,
    Say,
    Tone,
)

#: A cue whose end nobody reports counts as said after this long: the device may be gone.
LONGEST_CUE = 20.0
#: A note whose end nobody reports counts as played after this long.
LONGEST_NOTE = 25.0
#: Windows that are kept so that a late answer still finds its own.
WINDOWS_KEPT = 4


class _Speaking(Protocol):
    """What a state needs to have."""

    @property
    def at(self) -> float: ...

    @property
    def speech(self) -> Speech: ...

    @property
    def listening(self) -> Listening: ...


S = TypeVar("S", bound=_Speaking)
T = TypeVar("T")


class Nested(Generic[T]):
    """One value of a state, as an attribute of its workbench: assigning it makes a new state."""

    def __set_name__(self, owner: type, name: str) -> None:
        self._name = name

    @overload
    def __get__(self, bench: None, owner: type) -> "Nested[T]": ...
    @overload
    def __get__(self, bench: "Workbench[Any]", owner: type) -> T: ...
    def __get__(self, bench: "Workbench[Any] | None", owner: type) -> "T | Nested[T]":
        if bench is None:
            return self
        value: T = getattr(bench._state, self._name)  # noqa: SLF001 a part of Workbench
        return value

    def __set__(self, bench: "Workbench[Any]", value: T) -> None:
        bench._state = changed(bench._state, {self._name: value})  # noqa: SLF001


class Workbench(ABC, Generic[S]):
    """A state under change, always whole and valid, and the effects so far."""

    between: ClassVar[float] = LEAD
    """Seconds from the end of a cue to the next one that waits."""
    breath = 0.0
    """Seconds that our own words wait for more of what is being told."""
    refused = False
    """Whether the answer that was heard is not taken now."""

    speech = Nested[Speech]()
    listening = Nested[Listening]()

    def __init__(self, state: S) -> None:
        self._state = state
        self.effects: list[Effect] = []

    @property
    def now(self) -> float:
        """Time of the event."""
        return self._state.at

    def record(self, fact: Fact) -> None:
        """Commit a fact with this event."""
        self.effects.append(Record(fact))

    # sounds

    def say(self, what: Message, after: After = After.NOTHING, within: float = math.inf) -> None:
        """Say it now, or after what is being said; not at all where that takes too many seconds."""
        item = Queued(what, after, self.now + within)
        if self.speech.saying is None:
            lead = LEAD if self.speech.last_cue is not None else FIRST_LEAD
            self._speak(item, self.now + lead + self.breath)
        else:
            self.speech = replace(self.speech, queue=(*self.speech.queue, item))

    def _speak(self, item: Queued, at: float) -> None:
        sound, last, tally = self.speech.next_sound, self.speech.last_cue, self._counted(item.what)
        if tally.over(item.what, hurt=self._hurt()):
            overdue = self.now  # left out: what was to follow it follows at once
        elif item.what.key == "note":
            overdue = at + LONGEST_NOTE
            self.effects.append(PlayNote(sound, str(item.what.value("name")), at))
        else:
            overdue, last = at + LONGEST_CUE, item.what
            self.effects.append(Say(sound, last, at, self._moving(), self._unanswered(last)))
        saying = Saying(sound, item.what, item.after, overdue)
        self.speech = replace(
            self.speech,
            saying=saying,
            next_sound=sound + 1,  # mutant: any number that was not used yet
            last_cue=last,
            tally=tally,
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
    def _unanswered(self, what: Message) -> bool:
        """Whether somebody is hurt and nobody has answered, so that it is said for the room."""
        ...

    def said(self) -> After:
        """The sounding cue has ended: start the next one; what was to happen after it."""
        saying = self.speech.saying
        assert saying is not None
        queue = tuple(item for item in self.speech.queue if item.until >= self.now)
        self.speech = replace(self.speech, saying=None, queue=queue[1:])
        if queue:
            self._speak(queue[0], self.now + self.between)
        return saying.after

    def hush(self) -> None:
        """Silence everything that sounds or waits."""
        self.effects.append(Cut())
        self.speech = replace(self.speech, saying=None, queue=())

    def tone(self, tone: Tone, at: float | None = None) -> None:
        """Play a tone: now, or at a time."""
        sound = self.speech.next_sound
        self.effects.append(Play(sound, tone, self.now if at is None else at))
        self.speech = replace(self.speech, next_sound=sound + 1)

    def show(self, what: Message | None) -> None:
        """Show what an answer did."""
        self.listening = replace(self.listening, did=what)

    # windows

    def opened(self, window: Window, teaches: str = "") -> None:
        """Open a window, whatever its number; the one before closes."""
        self.close_window()
        number = self.listening.next_window
        window = replace(window, number=number)
        self.effects.append(
            OpenWindow(number, window.answers, window.opens, window.who, window.beside, teaches)
        )
        kept = (*self.listening.windows[-(WINDOWS_KEPT - 1) :], window)
        self.listening = replace(self.listening, next_window=number + 1, windows=kept, confirmed=())

    def close_window(self) -> None:
        """Close the open window, if there is one."""
        window = self.listening.window
        if window is not None:
            self.effects.append(CloseWindow(window.number, self.now))
            closed = replace(window, closes=self.now)
            windows = (*self.listening.windows[:-1], closed)
            self.listening = replace(self.listening, windows=windows)
