"""Naming somebody by keys, for whoever leads: one letter, the figures of their number, Enter.

Owns the letter. Where it is asked who it is, figures begin it as well, because there they can mean
nothing else. Every other key leaves it and counts as it always does, 'stop' first of all.
"""

from dataclasses import dataclass

from coach.model.answers import Meaning
from coach.screen.keys import Hint, asks_who, sends
from coach.session.events import Answered, KeyClaimed
from coach.session.view import View

#: The letter that opens it, of a session that somebody leads.
LETTER = "n"
#: Figures beyond which nothing is taken.
LONGEST = 2


@dataclass(slots=True)
class Naming:
    """The number that is being typed."""

    typed: str | None = None
    """What was typed so far; None where none is."""

    def press(self, name: str, view: View) -> bool:
        """Whether a key belongs to the number. Enter belongs to it too; `take` then gives it."""
        if self.typed is None:
            if name == "enter" and none_of(view):
                self.typed = ""
                return True
            if not view.led or not (name == LETTER or (name.isdecimal() and asks_who(view))):
                return False
            self.typed = ""
        if name.isdecimal():
            self.typed = (self.typed + name)[:LONGEST]
        elif name == "backspace":
            self.typed = self.typed[:-1]
        elif name not in ("enter", LETTER):
            self.typed = None
            return name == "escape"
        return True

    def take(self, name: str, view: View, at: float) -> Answered | KeyClaimed | None:
        """What Enter sends; None for every other key, and where nothing was typed."""
        if name != "enter" or self.typed is None:
            return None
        number, self.typed = self.typed, None
        if number:
            return sends(person(number), view, at, at)
        return sends(none_of(view), view, at, at) if none_of(view) else None

    def hint(self) -> Hint | None:
        """What is shown while a number is typed; None else."""
        return None if self.typed is None else Hint("key-person-typed", typed=self.typed)


def person(figures: str) -> str:
    """The answer that names whoever has a number."""
    return f"{Meaning.PERSON.value}:{int(figures)}"


def none_of(view: View) -> str:
    """The answer that it is nobody, where that is asked with who it is; '' else."""
    none = Meaning.NO.value
    return none if view.led and asks_who(view) and none in view.answers else ""
