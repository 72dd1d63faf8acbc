"""The workbench of one `step` of a session.

It lives only inside one call of `step`, so the outside stays pure.
"""

from coach.model.day import Change, Day
from coach.model.messages import Message
from coach.session.effects import PlayNote
from coach.session.recording import of_change
from coach.session.state import Asking, Queued, Saying, Session
from coach.session.workbench import Workbench

#: A note whose end nobody reports counts as played after this long: the device may be gone.
LONGEST_NOTE = 25.0


class Draft(Workbench[Session]):
    """A session under change."""

    go_on = False
    """Ask for `flow.go_on` once the handler is done: questions, then steps."""

    @property
    def s(self) -> Session:
        """The session."""
        return self.state

    @property
    def day(self) -> Day:
        """The day, once check-in has made one."""
        assert self.s.day is not None
        return self.s.day

    def _speak(self, item: Queued, at: float) -> None:
        if item.what.key != "note":
            super()._speak(item, at)
            return
        sound = self.s.next_sound
        self.effects.append(PlayNote(sound, str(item.what.value("name")), at))
        self.set(
            next_sound=sound + 1, saying=Saying(sound, item.what, item.after, at + LONGEST_NOTE)
        )

    def _moving(self) -> bool:
        running = self.s.running
        return running is not None and running.since is not None and running.step.on_the_wall

    def open_window(self, answers: tuple[str, ...], who: int = 0, at: float | None = None) -> None:
        """Open a window for answers that the language pack can hear; the one before closes."""
        known = self.s.library.words
        answers = tuple(key for key in answers if not known or key in known)
        self.opened(answers, who, self.now if at is None else at, confirmed=())

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
