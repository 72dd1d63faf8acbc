"""The workbench of one `step`: a session being replaced field by field, and the effects so far.

It alone numbers sounds and windows, queues cues so that two never overlap, and keeps windows
one at a time. It lives only inside one call of `step`, so the outside stays pure.
"""

from dataclasses import replace
from typing import Any

from coach.model.day import Change, Day
from coach.model.facts import Fact
from coach.model.messages import Message
from coach.session.changing import changed
from coach.session.effects import (
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
from coach.session.recording import of_change
from coach.session.state import After, Asking, Queued, Saying, Session, Window

#: A cue whose end nobody reports counts as said after this long: the device may be gone.
LONGEST_CUE = 20.0
#: And so a note that is played.
LONGEST_NOTE = 25.0
#: Windows that are kept so that a late answer still finds its own.
WINDOWS_KEPT = 4


class Draft:
    """A session under change. `s` is always a whole, valid session."""

    def __init__(self, session: Session) -> None:
        self.s = session
        self.effects: list[Effect] = []
        self.go_on = False
        """Ask for `flow.go_on` once the handler is done: questions, then steps."""

    def set(self, **fields: Any) -> None:
        """Replace fields of the session."""
        self.s = changed(self.s, fields)

    @property
    def now(self) -> float:
        """Time of the event."""
        return self.s.at

    @property
    def day(self) -> Day:
        """The day, once check-in has made one."""
        assert self.s.day is not None
        return self.s.day

    # sounds

    def say(self, what: Message, after: After = After.NOTHING) -> None:
        """Say it now, or after what is being said."""
        if self.s.saying is None:
            self._speak(Queued(what, after))
        else:
            self.set(queue=(*self.s.queue, Queued(what, after)))

    def _speak(self, item: Queued) -> None:
        sound = self.s.next_sound
        at = self.now + LEAD
        running = self.s.running
        note = item.what.value("name") if item.what.key == "note" else None
        if note is not None:
            self.effects.append(PlayNote(sound, str(note), at))
        else:
            moving = running is not None and self._moving()
            self.effects.append(Say(sound, item.what, at, moving))
            self.set(last_cue=item.what)
        longest = LONGEST_NOTE if note is not None else LONGEST_CUE
        self.set(next_sound=sound + 1, saying=Saying(sound, item.what, item.after, at + longest))

    def _moving(self) -> bool:
        running = self.s.running
        return running is not None and running.since is not None and running.step.on_the_wall

    def said(self) -> After:
        """The sounding cue has ended: start the next one; what was to happen after it."""
        saying = self.s.saying
        assert saying is not None
        self.set(saying=None)
        if self.s.queue:
            first, *rest = self.s.queue
            self.set(queue=tuple(rest))
            self._speak(first)
        return saying.after

    def hush(self) -> None:
        """Silence everything that sounds or waits."""
        self.effects.append(Cut())
        self.set(saying=None, queue=())

    def tone(self, tone: Tone, at: float | None = None) -> None:
        """Play a tone: now, or at a time."""
        self.effects.append(Play(self.s.next_sound, tone, self.now if at is None else at))
        self.set(next_sound=self.s.next_sound + 1)

    # windows

    def open_window(self, answers: tuple[str, ...], who: int = 0, at: float | None = None) -> None:
        """Open a window for answers that the language pack can hear; the one before closes."""
        known = self.s.library.words
        answers = tuple(key for key in answers if not known or key in known)
        opens = self.now if at is None else at
        self.close_window()
        number = self.s.next_window
        self.effects.append(OpenWindow(number, answers, opens, who))
        kept = self.s.windows[-(WINDOWS_KEPT - 1) :]
        self.set(
            next_window=number + 1,
            windows=(*kept, Window(number, answers, opens, None, who)),
            confirmed=(),
        )

    def close_window(self) -> None:
        """Close the open window, if there is one."""
        window = self.s.window
        if window is not None:
            self.effects.append(CloseWindow(window.number, self.now))
            closed = replace(window, closes=self.now)
            self.set(windows=(*self.s.windows[:-1], closed))

    # facts and plans

    def record(self, fact: Fact) -> None:
        """Commit a fact with this event."""
        self.effects.append(Record(fact))

    def tell(self, what: Message) -> None:
        """Show and say what an answer did."""
        self.set(did=what)
        self.say(what)

    def ask_later(self, asking: Asking) -> None:
        """Ask at the next boundary, once."""
        if asking not in self.s.pending:
            self.set(pending=(*self.s.pending, asking))

    def take(self, change: Change, by: str, gate: str = "", *, quiet: bool = False) -> None:
        """Put a change of plan into force, on the record and, unless quiet, in words."""
        for fact in of_change(self.now, self.day, self.s.steps, change, by, gate):
            self.record(fact)
        self.set(day=change.day, steps=change.steps, fired=(*self.s.fired, *change.fired))
        if change.say is not None and not quiet:
            self.tell(change.say)
