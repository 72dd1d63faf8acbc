"""A hall around the real core: time that jumps, sounds that only take time, and people who answer.

It is the world of one session. It knows the core by its events and effects alone, and writes down
what a person in the hall would have heard, said and been told.
"""

import heapq
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any, Protocol

from coach.language import Language
from coach.model.answers import Answer, parse
from coach.model.messages import Message
from coach.session.effects import (
    CloseWindow,
    Cut,
    Effect,
    KeepNote,
    OpenWindow,
    Play,
    PlayNote,
    Record,
    Say,
)
from coach.session.events import (
    Answered,
    Event,
    NoteKept,
    SoundEnded,
    SoundStarted,
    Source,
)

#: Words that a voice says in a minute, and the breath around a sentence in seconds (our choice).
PACE, BREATH = 160.0, 0.25
TONE = 0.15
#: What the keys of answers about a body begin with.
_OF_A_BODY = ("feel:", "part:", "tissue:", "sign:")
#: Events without time going on that are taken for a core that spins.
SPINS = 400


class SpinningError(Exception):
    """The core goes on and on while no time passes."""


class StandingError(Exception):
    """Nothing is left to happen, and the session has not ended."""


@dataclass(frozen=True, slots=True)
class Line:
    """One thing that a person in the hall could have noticed."""

    at: float
    kind: str
    """'said', 'heard', 'told' (what an answer did) or 'kept' (a fact)."""
    text: str
    what: Any = None
    """The message, the answer's key or the fact."""
    shown: bool = False
    """Of 'heard': whether the screen showed the answer just then."""


class Person(Protocol):
    """Somebody in the hall, who may answer whatever happens."""

    who: int

    def notice(self, hall: "Hall", line: Line) -> None:
        """Something was said or told."""

    def asked(self, hall: "Hall", answers: tuple[str, ...], who: int) -> None:
        """A window has opened."""

    def look(self, hall: "Hall", view: Any) -> None:
        """The screen as it stands after an event."""


@dataclass
class Hall:
    """The world of a runner."""

    language: Language
    people: list[Person]
    log: list[Line] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)
    view: Any = None
    window: OpenWindow | None = None
    closed: list[tuple[OpenWindow, float]] = field(default_factory=list)
    spoil: Callable[[Event], list[tuple[float, Event]]] | None = None
    """What a bad device makes of an event: none, one late by so many seconds, or two."""
    doubled: set[float] = field(default_factory=set)
    """When it made two of one."""
    most: float = float("inf")
    """Seconds after which it is given up."""
    _time: float = 0.0
    _queue: list[tuple[float, int, Any]] = field(default_factory=list)
    _count: int = 0
    _still: int = 0
    _spoilt: dict[int, Event] = field(default_factory=dict)
    """What a bad device has let through: it is spoilt once."""
    _sounding: dict[int, tuple[float, float]] = field(default_factory=dict)

    def now(self) -> float:
        """Seconds on the session's timeline."""
        return self._time

    def post(self, at: float, what: Any) -> None:
        """Let an event, or something to do, come at its time."""
        self._count += 1
        heapq.heappush(self._queue, (at, self._count, what))

    def say(
        self,
        who: int,
        key: str,
        delay: float = 0.0,
        *,
        key_press: bool = False,
        also: tuple[str, ...] = (),
    ) -> None:
        """Somebody answers after so many seconds, by voice or by a key; `also` in one breath."""
        told = tuple(map(parse, also))
        self.post(self._time + delay, lambda: self._answer(who, key, told, key_press=key_press))

    def after(self, delay: float, act: Callable[[], None]) -> None:
        """Do something after so many seconds."""
        self.post(self._time + delay, act)

    def _answer(self, who: int, key: str, also: tuple[Answer, ...], *, key_press: bool) -> Event:
        now = self._time
        opened = self.window
        taken = (*opened.answers, *opened.beside) if opened is not None else ()
        inside = opened is not None and key in taken and opened.at <= now
        # nobody answers for the body of somebody else who is asked; 1 is whoever is not named
        others = opened is not None and opened.who not in (0, who) and who != 1
        shown = self.view is not None and key in self.view.answers
        shown = shown and not (others and key.startswith(_OF_A_BODY))
        self.log.append(Line(now, "heard", key, key, shown))
        source = Source.KEY if key_press else Source.VOICE
        number = opened.window if inside and opened is not None else None
        return Answered(now, parse(key), who, now, number, source, also=also)

    def wait(self, until: float | None) -> Event | None:
        """The next event before `until`; time jumps to it."""
        while True:
            due = self._queue[0][0] if self._queue else None
            if due is None and until is None:
                raise StandingError(f"at {self._time:.0f} s")
            if due is None or (until is not None and until < due):
                assert until is not None
                self._go_to(until)
                return None
            self._go_to(self._queue[0][0])
            event = self._taken()
            if event is not None:
                return event

    def _taken(self) -> Event | None:
        """What is first in the queue, as a bad device lets it through: None where it does not."""
        _, _, what = heapq.heappop(self._queue)
        event: Event | None = what() if callable(what) else what
        if event is None or self.spoil is None or id(event) in self._spoilt:
            return event
        made = self.spoil(event)
        if len(made) == 1 and made[0][0] == 0.0:
            return event
        if len(made) > 1:
            self.doubled.add(self._time)
        for late, one in made:
            again = replace(one, at=self._time + late)
            self._spoilt[id(again)] = again
            self.post(self._time + late, again)
        return None

    def _go_to(self, at: float) -> None:
        if at > self._time + 1e-9:
            self._time, self._still = at, 0
            return
        self._still += 1
        if self._still > SPINS:
            raise SpinningError(f"at {self._time:.0f} s")

    def carry_out(self, effect: Effect) -> None:
        """Sounds take time; windows are told to people."""
        match effect:
            case Say():
                self._say(effect)
            case Play():
                what = Message(f"tone-{effect.tone.value}")
                self._sound(effect.sound, what, effect.at, TONE)
            case PlayNote():
                self._sound(effect.sound, Message("note"), effect.at, 4.0)
            case KeepNote():
                kept = min(4.0, effect.most)
                self.post(
                    effect.at + kept, NoteKept(effect.at + kept, effect.name, kept, "silence")
                )
            case Cut():
                self._cut()
            case OpenWindow():
                self.window = effect
                for person in self.people:
                    person.asked(self, effect.answers, effect.who)
            case CloseWindow():
                if self.window is not None and self.window.window == effect.window:
                    self.closed.append((self.window, self._time))
                    self.window = None
            case _:
                pass

    def _say(self, effect: Say) -> None:
        text = self.language.text(effect.what)
        seconds = 60.0 * len(text.split()) / PACE + BREATH
        self._sound(effect.sound, effect.what, effect.at, seconds)
        line = Line(max(effect.at, self._time), "said", text, effect.what)
        self.log.append(line)
        for person in self.people:
            person.notice(self, line)

    def _sound(self, sound: int, what: Message, at: float, seconds: float) -> None:
        start = max(at, self._time)
        self._sounding[sound] = (start, start + seconds)
        self.post(start, SoundStarted(start, sound, what, seconds))
        self.post(start + seconds, SoundEnded(start + seconds, sound))

    def _cut(self) -> None:
        silenced = self._sounding
        self._sounding = {}
        self._queue = [
            item
            for item in self._queue
            if not (isinstance(item[2], SoundStarted | SoundEnded) and item[2].sound in silenced)
        ]
        heapq.heapify(self._queue)
        for sound, (_, ends) in silenced.items():
            if ends > self._time:
                self.post(self._time, SoundEnded(self._time, sound, True))

    def seen(self, view: Any, event: Event, effects: tuple[Effect, ...]) -> None:
        """After each event: the screen, what an answer did, and the facts that were kept."""
        self.view = view
        self.events.append(event)
        if isinstance(event, Answered) and view.did is not None:
            line = Line(self._time, "told", self.language.text(view.did), view.did)
            self.log.append(line)
        for effect in effects:
            if isinstance(effect, Record):
                self.log.append(
                    Line(effect.fact.at, "kept", type(effect.fact).__name__, effect.fact)
                )
        for person in self.people:
            person.look(self, view)
