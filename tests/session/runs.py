"""A session in a process of its own, for tests that kill it.

Called as `python -m tests.session.runs JOURNAL GAP EVENTS`.

The runner, the chart and the journal are the real ones; time jumps and nothing sounds. It says
`ack N;` once event N is on disk, and `do N NAME;` when it carries out an effect of event N. With an
unfinished session in the journal it takes that up, GAP seconds later.
"""

import os
import sys
from datetime import UTC, datetime
from pathlib import Path

from coach.files.answers_file import read_answers
from coach.files.library import load_library
from coach.files.words import load_language
from coach.journal import Journal, SessionId
from coach.model.facts import Fact
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.runtime.rehearsal import TextWorld
from coach.runtime.replay import replay
from coach.runtime.runner import Runner
from coach.session.effects import Effect
from coach.session.events import Event, Reopened, Started
from coach.session.state import Phase
from coach.session.step import new_session
from coach.setup.settling import USUAL_ROUTINE
from tests.beginning import entry

NORMAL = Path(__file__).parents[1] / "cli" / "normal-day.txt"
OPTIONS = Options((Person(1, age=AgeBand.ADULT),), 90.0, (), True)
LIBRARY = load_library(USUAL_ROUTINE, None, ())
LANGUAGE = load_language("en", LIBRARY.movements)


def tell(text: str) -> None:
    """One write to standard output, unbuffered: it is out when it returns."""
    os.write(1, f"{text};".encode())


class Acknowledging:
    """A keeper that says which event is on disk."""

    def __init__(self, journal: Journal, session: SessionId) -> None:
        self.journal, self.session, self.seq = journal, session, 0

    def commit(self, event: Event, facts: tuple[Fact, ...], wall: datetime) -> None:
        """Commit, then acknowledge."""
        self.seq = self.journal.commit(self.session, event, facts, wall)
        tell(f"ack {self.seq}")


class Telling(TextWorld):
    """A world that says what it carries out."""

    keeper: Acknowledging

    def carry_out(self, effect: Effect) -> None:
        """Say it, then do it."""
        tell(f"do {self.keeper.seq} {type(effect).__name__}")
        super().carry_out(effect)


def main(path: Path, gap: float, events: int) -> None:
    """Run until the end of the session, or for some events where `events` is not 0."""
    with Journal.open(path, write=True) as journal:
        left = journal.unfinished()
        if left is not None:
            session = replay(journal.start_of(left.id), journal.events(left.id))
            if session.phase is Phase.OVER:
                journal.close_session(left.id, session.how)
                left = None
        if left is None:
            start = entry(LIBRARY, OPTIONS, datetime.now(UTC))
            number, session = journal.begin(start), new_session(LIBRARY, OPTIONS)
            first: Event = Started(0.0)
        else:
            number = left.id
            first = Reopened(session.at + gap, gap) if session.at else Started(0.0)
        world = Telling(LANGUAGE, read_answers(NORMAL, LANGUAGE.breath))
        world.clock.advance(first.at)
        world.keeper = Acknowledging(journal, number)
        runner = Runner(session, world, world.keeper, lambda: datetime.now(UTC))
        going, count = runner.take(first), 1
        while going and count != events:
            going = runner.take(runner.next())
            count += 1
        if not going:
            journal.close_session(number, runner.session.how)
            tell("over")


if __name__ == "__main__":
    main(Path(sys.argv[1]), float(sys.argv[2]), int(sys.argv[3]))
