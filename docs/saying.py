"""A climber who says her words in order, for the transcripts of the documents."""

from dataclasses import dataclass, field

from coach.files.answers_file import Scripted
from coach.runtime.rehearsal import REACTION, TextWorld
from coach.session.events import Answered


@dataclass
class Saying(TextWorld):
    """Says each of the words of a script as soon as it counts, whatever its time in the script."""

    anyhow: bool = False
    """Says them into any window, also where they count for nothing."""
    first: float = 30.0
    """Seconds before which nothing is said that no question asked for."""
    spoken: list[str] = field(default_factory=list)

    def _next_answer(self) -> tuple[float, Scripted] | None:
        if len(self.spoken) == len(self.script):
            return None
        item = self.script[len(self.spoken)]
        assert item.answer is not None
        unasked = item.answer.key in self.anytime
        if unasked and not self.spoken:
            return max(self.first, self.now()), item
        window = self.window
        if window is None or not (self.anyhow or item.answer.key in window.answers):
            return None
        return max(window.at + REACTION, self.now()), item

    def _give(self, at: float, item: Scripted) -> Answered:
        self.spoken.append(item.words)
        event = super()._give(at, item)
        assert isinstance(event, Answered)
        return event
