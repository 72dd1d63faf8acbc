"""The workbench of one step of a group: fields replaced one by one, and the effects so far.

It alone numbers sounds and windows, leaves room between cues for the leader's voice, and lets
timers stand and run on.
"""

from dataclasses import replace
from typing import Any

from coach.group.leading import OPEN_FOR
from coach.group.state import Group
from coach.model.answers import Answer
from coach.model.facts import Fact
from coach.model.messages import Message, message
from coach.session.changing import changed
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
from coach.session.state import After, Queued, Saying, Window

#: Seconds between two cues: the leader can begin to speak.
ROOM = 1.0
#: Seconds after the cues of a change until they are said once more.
AGAIN_AFTER = 8.0
#: A cue whose end nobody reports counts as said after this long.
LONGEST_CUE = 20.0
KEPT = 4


class Draft:
    """A group under change. `g` is always a whole, valid state."""

    def __init__(self, group: Group) -> None:
        self.g = group
        self.effects: list[Effect] = []

    def set(self, **fields: Any) -> None:
        """Replace fields of the group."""
        self.g = changed(self.g, fields)

    @property
    def now(self) -> float:
        """Time of the event."""
        return self.g.at

    def record(self, fact: Fact) -> None:
        """Commit a fact with this event."""
        self.effects.append(Record(fact))

    # sounds

    def say(self, what: Message, after: After = After.NOTHING) -> None:
        """Say it now, or after what is being said."""
        if self.g.saying is None:
            self._speak(Queued(what, after), LEAD)
        else:
            self.set(queue=(*self.g.queue, Queued(what, after)))

    def _speak(self, item: Queued, wait: float) -> None:
        sound, at = self.g.next_sound, self.now + wait
        self.effects.append(Say(sound, item.what, at, self.g.part.value == "rota"))
        self.set(
            next_sound=sound + 1,
            last_cue=item.what,
            saying=Saying(sound, item.what, item.after, at + LONGEST_CUE),
        )

    def said(self) -> After:
        """The cue has ended: the next one begins. What was to happen after it."""
        saying = self.g.saying
        assert saying is not None
        self.set(saying=None)
        if self.g.queue:
            first, *rest = self.g.queue
            self.set(queue=tuple(rest))
            self._speak(first, ROOM)
        return saying.after

    def hush(self) -> None:
        """Silence what sounds or waits; a change that was not said whole is said again later."""
        self.effects.append(Cut())
        self.set(saying=None, queue=())

    def tone(self, tone: Tone) -> None:
        """Play a tone now."""
        self.effects.append(Play(self.g.next_sound, tone, self.now))
        self.set(next_sound=self.g.next_sound + 1)

    # windows

    def open_window(self, answers: tuple[str, ...], who: int = 0, wait: float = OPEN_FOR) -> None:
        """Open a window for the leader; the one before closes."""
        self.close_window()
        number = self.g.next_window
        self.effects.append(OpenWindow(number, answers, self.now, who))
        kept = self.g.windows[-(KEPT - 1) :]
        self.set(
            next_window=number + 1,
            windows=(*kept, Window(number, answers, self.now, None, who)),
            closes=self.now + wait,
        )

    def close_window(self) -> None:
        """Close the open window, if there is one."""
        window = self.g.window
        if window is not None:
            self.effects.append(CloseWindow(window.number, self.now))
            closed = replace(window, closes=self.now)
            self.set(windows=(*self.g.windows[:-1], closed), closes=None)

    def about_nobody(self) -> None:
        """Nothing more is told of whoever was named."""
        self.set(asked=0)
        self.close_window()

    # time

    def stand(self) -> None:
        """Let all timers stand, if they do not yet."""
        self.set(standing=self.now if self.g.standing is None else self.g.standing)

    def run_on(self) -> None:
        """Let them run again: everything to come is later by as long as they stood."""
        assert self.g.standing is not None, "they stand"
        self.delay(self.now - self.g.standing)
        self.set(standing=None)

    def delay(self, seconds: float) -> None:
        """Everything to come is later by some seconds."""
        running = self.g.running
        if running is not None and running.until is not None:
            running = replace(running, until=running.until + seconds)
        self.set(rota_at=self.g.rota_at + seconds, running=running)

    # answers

    def took(self, answer: Answer, did: Message | None) -> None:
        """Show what was heard and what it did."""
        self.set(heard=message("heard", answer=answer.key), did=did)
