"""Telling a scale's reading by keys: one letter opens it, figures, Enter sends.

Owns the letter. Every other key leaves it and counts as it always does, 'stop' first of all. Until
then figures are of the reading, however late they come: they must never answer a question.
"""

from dataclasses import dataclass

from coach.model import scale
from coach.screen.keys import Hint
from coach.session.events import KeyClaimed
from coach.session.view import View

#: The letter that opens it, where somebody may tell a reading.
LETTER = "r"
#: Figures and point beyond which nothing is taken.
LONGEST = 6
_POINTS = {"full_stop": ".", ".": ".", "comma": ",", ",": ","}


@dataclass(slots=True)
class Reading:
    """The reading that is being typed."""

    typed: str | None = None
    """What was typed so far; None where none is."""

    def press(self, name: str, view: View) -> bool:
        """Whether a key belongs to the reading. Enter belongs to it too; `take` then gives it."""
        if self.typed is None:
            if name == LETTER and view.weighs:
                self.typed = ""
                return True
            return False
        if name.isdecimal() or name in _POINTS:
            self.typed = (self.typed + _POINTS.get(name, name))[:LONGEST]
        elif name == "backspace":
            self.typed = self.typed[:-1]
        elif name != "enter":
            self.typed = None
            return name == "escape"
        return True

    def take(self, name: str, view: View, at: float) -> KeyClaimed | None:
        """What Enter sends; None for every other key, and where nothing was typed."""
        if name != "enter" or self.typed is None:
            return None
        reading, self.typed = scale.kilograms(self.typed), None
        return None if reading is None or not view.weighs else claimed(reading, view, at)

    def hint(self) -> Hint | None:
        """What is shown while a reading is typed; None else."""
        return None if self.typed is None else Hint("key-scale-typed", typed=self.typed)


def claimed(reading: float, view: View, at: float) -> KeyClaimed:
    """The event of a reading, in kilograms, of whoever did the check."""
    return KeyClaimed(at=at, claim=scale.claim(reading), who=view.weighs)
