"""The workbench of one step of a group.

It leaves room between cues for the leader's voice, and lets timers stand and run on.
"""

from dataclasses import replace

from coach.group.leading import OPEN_FOR
from coach.group.state import Group, Part
from coach.model.answers import Answer
from coach.model.messages import Message, message
from coach.session.workbench import Workbench

#: Seconds after the cues of a change until they are said once more.
AGAIN_AFTER = 8.0


class Draft(Workbench[Group]):
    """A group under change."""

    between = 1.0  # the leader can begin to speak

    @property
    def g(self) -> Group:
        """The group."""
        return self.state

    def _moving(self) -> bool:
        return self.g.part is Part.ROTA

    # windows

    def open_window(self, answers: tuple[str, ...], who: int = 0, wait: float = OPEN_FOR) -> None:
        """Open a window for the leader; the one before closes."""
        self.opened(answers, who, self.now, closes=self.now + wait)

    def close_window(self) -> None:
        """Close the open window, if there is one."""
        super().close_window()
        self.set(closes=None)

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
