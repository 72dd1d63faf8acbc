"""A group's session in steps that a test takes by hand: time, and what its leader tells."""

from collections.abc import Callable

from coach.group.gathering import Group
from coach.group.group_step import step
from coach.model.answers import parse
from coach.session.effects import Effect, Say
from coach.session.events import Answered, Event, Source, Started, TimePassed
from tests.group.runs import by_itself

Watch = Callable[[Group, Event, Group, tuple[Effect, ...]], None]


class Led:
    """A group whose leader tells things, and in which time passes until a moment."""

    def __init__(self, given: Group) -> None:
        self.now, self.aloud, self.spoke = given, list[str](), 0.0
        self.also: Watch = lambda *_: None
        self.take(Started(0.0))

    def take(self, event: Event) -> None:
        """One event."""
        before = self.now
        self.now, effects = step(self.now, event)
        self.also(before, event, self.now, effects)
        for effect in effects:
            if isinstance(effect, Say):
                self.aloud.append(effect.what.key)
                self.spoke = effect.at

    def until(self, seconds: float) -> "Led":
        """Let time pass, with all that comes by itself."""
        while (event := by_itself(self.now, self.spoke)) is not None and event.at <= seconds:
            self.take(event)
        if seconds > self.now.at:
            self.take(TimePassed(seconds))
        return self

    def tell(self, *keys: str, voice: bool = False) -> "Led":
        """Tell these, a second apart: by key, or by voice after the address word."""
        for key in keys:
            self.until(self.now.at + 1.0)
            at, window = self.now.at, self.now.window
            number = window.number if window is not None else None
            source = Source.VOICE if voice else Source.KEY
            self.take(Answered(at, parse(key), 0, at, number, source, addressed=voice))
        return self
