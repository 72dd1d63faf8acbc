"""Eight tries of two people on a simulated room, with a note, a longer rest and a warning sign.

Everything but the ear is real: the session, the runner, the journal, the stage and its mixer.
Answers come by key, as the script says; thirteen minutes pass in a moment.
"""

from dataclasses import dataclass, field
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from coach.audio.note_files import load
from coach.audio.sound_device import RATE
from coach.audio.tones import tones
from coach.clock import FakeClock
from coach.files.library import load_library
from coach.files.words import load_language
from coach.journal import Journal
from coach.model.answers import parse
from coach.model.facts import NoteMade, Rested, SignTold, Tried
from coach.model.person import AgeBand, Person
from coach.model.plan import StepKind
from coach.model.start import Options
from coach.runtime.keeper import JournalKeeper
from coach.runtime.runner import Runner
from coach.session.effects import LEAD, Effect
from coach.session.events import Answered, Event, SoundStarted, Source, Started
from coach.session.state import Phase
from coach.session.step import new_session
from tests.audio.simulated_room import SimulatedRoom
from tests.audio.simulated_stage import SimulatedStage
from tests.beginning import entry

PEOPLE = (Person(1, "Ada", AgeBand.ADULT), Person(2, "Mira", AgeBand.ADULT))
#: Results by number of the try in the session; told when they are asked.
RESULTS = ("ended-start", "ended-middle", "ended-middle", "ended-top", "topped", "topped")
TRY = 20.0


@dataclass
class Script:
    """Who presses what, when: 'down' after 20 s, results when asked, and three things more."""

    stage: SimulatedStage
    room: SimulatedRoom
    heard: list[tuple[str, float]] = field(default_factory=list)
    done: set[object] = field(default_factory=set)
    told: int = 0

    def once(self, what: object) -> bool:
        if what in self.done:
            return False
        self.done.add(what)
        return True

    def press(self, key: str, at: float, who: int) -> None:
        self.stage.post(Answered(at, parse(key), who, at, None, Source.KEY))

    def seen(self, s: Any, event: Event, effects: tuple[Effect, ...]) -> None:
        if isinstance(event, SoundStarted):
            self.heard.append((event.what.key, event.at))
        running = s.course.running
        trying = s.phase is Phase.WORK and running.step.kind is StepKind.TRY
        if trying and self.once(running.step.name):
            self.press("down", running.since + TRY, running.step.turn)
        if s.questions.asking is not None and s.window is not None and self.once(s.window.number):
            key = {
                "go-ahead": "go", "effort": "effort:5", "carry-on": "finish", "after-top": "same",
            }  # fmt: skip
            answer = key.get(s.questions.asking.question, "topped")
            if s.questions.asking.question == "try-result":
                answer = RESULTS[min(self.told, len(RESULTS) - 1)]
                self.told += 1
            self.press(answer, event.at + 1.0, s.questions.asking.who)
        if s.phase is Phase.REST and s.rests.resting is not None and s.questions.asking is None:
            if self.told == 2 and self.once("keep"):
                self.press("keep", event.at + 5.0, 1)
                sound = np.sin(np.arange(3 * RATE) * 0.03).astype(np.float32)
                self.room.speak(sound, event.at + 6.5)
            if self.told == 4 and self.once("more"):
                self.press("more-time", event.at + 20.0, 2)
            tries = sum(isinstance(one, str) and one.startswith("hard") for one in self.done)
            if tries == 8 and self.once("sign"):
                self.press("sign:pop", event.at + 5.0, 2)
                self.press("finish", event.at + 20.0, 1)


def test_eight_tries_of_two_people_are_on_time_and_on_disk(tmp_path: Path) -> None:
    library = load_library("rests", None, ())
    language = load_language("en", library.movements).naming(PEOPLE)
    options = Options(PEOPLE, 120.0, (), True, wall="2026-03-03 18:30:00")
    clock = FakeClock()
    room = SimulatedRoom(clock)
    stage = SimulatedStage(room, None, tones(), language.text, None, notes=tmp_path / "notes")
    stage.start()
    script = Script(stage, room)
    wall = datetime(2026, 3, 3, 18, 30, tzinfo=UTC)
    with Journal.open(tmp_path / "journal.db", write=True) as journal:
        number = journal.begin(entry(library, options, wall))
        runner = Runner(
            new_session(library, options),
            stage,
            JournalKeeper(journal, number),
            lambda: wall,
            script.seen,
        )
        runner.run(Started(0.0))
        tried = [fact for fact in journal.facts(number, Tried) if isinstance(fact, Tried)]
        rests = [fact for fact in journal.facts(number, Rested) if isinstance(fact, Rested)]
        (note,) = journal.facts(number, NoteMade)
        # hurt somewhere first; once it is told what, that stands in its place
        signs = [
            fact.sign for fact in journal.facts(number, SignTold) if isinstance(fact, SignTold)
        ]
    assert signs == ["hurt", "settled", "pop"]
    assert [(fact.who, fact.number) for fact in tried] == [
        (who, n) for n in range(1, 5) for who in (1, 2)
    ]
    assert all(fact.seconds == pytest.approx(TRY, abs=0.05) for fact in tried)
    # the sign came before the last ones were asked about
    assert "untold" not in {fact.result for fact in tried[:6]}
    assert isinstance(note, NoteMade)
    assert note.seconds > 3.0
    assert np.abs(load(tmp_path / "notes", note.name)).max() > 0.01
    assert [key for key, _ in script.heard].count("note") == 1
    # the next try is called when the last rest before it is over, to 50 ms
    starts = [at for key, at in script.heard if key in ("try", "note")]
    last = [a for a, b in pairwise(rests) if b.at - b.seconds > a.at + 1.0]
    for rest in last[:2]:
        assert min(abs(at - rest.at - LEAD) for at in starts) <= 0.05
    assert stage.now() >= 12 * 60
