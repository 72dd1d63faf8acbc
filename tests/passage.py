"""Which modules one answer passes: 'fingers sore' by microphone, from its sound to what is said.

A session that is real but for the recogniser runs on a simulated room with a journal. Watched are
the ear while it is spoken, and the turn of the loop that takes it. A module that
has the answer in its hands, in an argument or another name of one of its functions, is passed; what
else is called, such as the making of a plan, is called by any answer.
"""

import sys
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, nullcontext
from datetime import UTC, datetime
from functools import cache
from itertools import groupby
from pathlib import Path
from tempfile import TemporaryDirectory
from types import FrameType
from typing import Any

from coach.audio.sound_device import Samples
from coach.audio.tones import tones
from coach.clock import FakeClock
from coach.files.library import load_library
from coach.files.words import load_language
from coach.hearing.listener import Listener
from coach.journal import Journal
from coach.model.answers import Answer
from coach.model.person import AgeBand, Person
from coach.model.routine import BlockKind
from coach.model.start import Options
from coach.planning.situation import Situation
from coach.runtime.keeper import JournalKeeper
from coach.runtime.runner import Runner
from coach.session.events import Answered, Event, Started
from coach.session.state import Phase
from coach.session.step import new_session
from tests.audio.long_session import Knows, Loud, noise_of
from tests.audio.simulated_room import SimulatedRoom
from tests.audio.simulated_stage import SimulatedStage
from tests.beginning import entry

ANSWER = "feel:fingers:sore"
HOME = str(Path(__file__).parents[1] / "coach") + "/"
#: It is said so many seconds after a step of the mat has begun.
AFTER = 1.0


class Passed:
    """The files that are called while it watches, in order, and those that have the answer."""

    def __init__(self) -> None:
        self.called: dict[str, None] = {}
        self.holding: dict[str, None] = {}

    def __call__(self, frame: FrameType, event: str, _: object) -> None:
        file = frame.f_code.co_filename
        if not file.startswith(HOME):
            return
        if event == "call":
            self.called.setdefault(file)
        elif event == "return" and file not in self.holding:
            with self._asleep():
                if any(map(_is_the_answer, frame.f_locals.values())):
                    self.holding.setdefault(file)

    @contextmanager
    def _asleep(self) -> Iterator[None]:
        sys.setprofile(None)
        yield
        sys.setprofile(self)

    @contextmanager
    def watching(self) -> Iterator[None]:
        """Note what is called in here."""
        sys.setprofile(self)
        try:
            yield
        finally:
            sys.setprofile(None)


def _is_the_answer(value: object) -> bool:
    if isinstance(value, Answered | Situation):
        value = value.answer
    key = value.key if isinstance(value, Answer) else value
    return isinstance(key, str) and key == ANSWER


def _modules(files: Iterable[str]) -> list[str]:
    """Modules as 'session/step'."""
    return [file.removeprefix(HOME).removesuffix(".py") for file in files]


class Ear(Listener):
    """A listener that is watched from when somebody speaks."""

    def __init__(self, phrases: Mapping[str, Sequence[str]]) -> None:
        super().__init__(Knows(), phrases, detector=Loud())
        self.passed = Passed()
        self.spoken = False

    def feed(self, samples: Samples, first: int) -> list[Event]:
        """As usual."""
        with self.passed.watching() if self.spoken else nullcontext():
            return super().feed(samples, first)


@cache
def passed() -> tuple[list[str], list[str]]:
    """The modules that have the answer in their hands, and all that are called, in order."""
    library = load_library("full", None, ())
    people = (Person(1, "Ada", AgeBand.ADULT),)
    language = load_language("en", library.movements).naming(people)
    options = Options(people, 75.0, (), True, wall="2026-03-03 18:30:00")
    wall = datetime(2026, 3, 3, 18, 30, tzinfo=UTC)
    room = SimulatedRoom(FakeClock())
    ear = Ear(language.answers)
    stage = SimulatedStage(room, None, tones(), language.text, ear)
    stage.start()
    sound = noise_of(language.answers[ANSWER][0])
    with TemporaryDirectory() as folder, Journal.open(Path(folder) / "j.db", write=True) as journal:
        keeper = JournalKeeper(journal, journal.begin(entry(library, options, wall)))
        runner: Runner[Any] = Runner(new_session(library, options), stage, keeper, lambda: wall)
        event: Event = Started(0.0)
        while not (isinstance(event, Answered) and event.answer.key == ANSWER):
            runner.take(event)
            s = runner.session
            on_the_mat = s.phase is Phase.WORK and s.course.running.step.block is BlockKind.MAT
            if on_the_mat and not ear.spoken:
                room.speak(sound, stage.now() + AFTER)
                ear.spoken = True
            event = runner.next()
        assert s.phase is Phase.WORK
        with ear.passed.watching():
            runner.take(event)
    called = _modules(ear.passed.called)
    holding = _modules(ear.passed.holding)
    return [module for module in called if module in holding], called


def drawn() -> str:
    """The modules that have the answer, in the order in which they are called, by package."""
    holding, called = passed()
    ways = [
        f"{package}: " + ", ".join(module.partition("/")[2] for module in those)
        for package, those in groupby(holding, key=lambda module: module.partition("/")[0])
    ]
    told = (
        f"{len(holding)} modules have the answer in their hands: a name or an argument of one of "
        f"their functions holds it, or the event or situation around it. In all {len(called)} are "
        "called from the sound to what is kept."
    )
    return "```text\n" + "\n  → ".join(ways) + "\n```\n\n" + told


if __name__ == "__main__":
    print(drawn())
