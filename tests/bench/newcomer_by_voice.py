"""Somebody who has read nothing, by voice alone: `python -m tests.bench.newcomer_by_voice`.

`coach start` has told nothing; she says "forty-five minutes" and answers whatever is asked, up to
her first hard try. Coach's voice, mixer, ear and recogniser are as they are, in a simulated room on
a clock that jumps; she is another synthesiser than the coach. What is not taken she says again.
Prints what was said and heard, and the minute of the first hard try. A number is a room's noise in
dB under her voice; without one the room is quiet.
"""

import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from coach.audio.echo import EchoCanceller
from coach.audio.sound_device import RATE
from coach.audio.tones import tones
from coach.clock import FakeClock
from coach.files.library import load_library
from coach.files.voices import load_voice
from coach.files.words import load_language
from coach.hearing.listener import Listener
from coach.hearing.recognisers import load
from coach.language import Language
from coach.model.person import Person
from coach.model.plan import StepKind
from coach.model.start import Options
from coach.runtime.rehearsal import clock_time
from coach.runtime.runner import NoKeeper, Runner
from coach.session.effects import OpenWindow, Say
from coach.session.events import Answered, Source, Started
from coach.session.step import new_session
from coach.speech.cache import Cache
from coach.speech.engines import engine
from coach.speech.voice import Voice
from tests.audio.simulated_room import SimulatedRoom
from tests.audio.simulated_stage import SimulatedStage
from tests.bench.sound_hall import hall
from tests.climber import ANSWERS, Pace
from tests.hearing.hall_session import COMPUTE, ECHO_DB, Ready
from tests.hearing.voices import say

#: Her voice; seconds from a window's tone to her answer, and until she says it again.
VOICE, REACTION, PATIENCE = ("flite", "slt"), 1.0, 5.0
#: What she means by what is asked; anything else as `tests.climber` does.
MEANT = {
    "age": "age:adult",
    "climbed": "climbed:years",
    "minutes": "minutes:45",
    "place": "changed",
    "gate-body": "feel:fresh",
}
LONGEST = 45 * 60.0


@dataclass
class Newcomer:
    """Answers what is asked, and tells the end of each batch."""

    room: SimulatedRoom
    language: Language
    pace: Pace = field(default_factory=Pace)
    window: OpenWindow | None = None
    next: float = 0.0
    spoken: int = 0
    log: list[tuple[float, str, str]] = field(default_factory=list)

    def watch(self, thing: Any) -> None:
        """What is said, opened and heard."""
        if isinstance(thing, OpenWindow):
            self.window, self.next = thing, max(self.next, thing.at + REACTION)
        elif isinstance(thing, Say):
            self.log.append((thing.at, "", self.language.text(thing.what)))
            self.next = max(self.next, thing.at + 2.0)
        elif isinstance(thing, Answered) and thing.source is Source.VOICE:
            sure = "" if thing.sureness.value == "sure" else ", unsure"
            words = self.language.phrase(thing.answer.key)
            self.log.append((thing.onset, f"heard{sure}", words))

    def act(self, now: float, s: Any) -> None:
        """Speak if it is time to."""
        key = self._meant(s)
        if key is None or self.window is None or now < self.next:
            return
        if key not in (*self.window.answers, *self.window.beside):
            return
        sound = say(self.language.phrase(key), *VOICE)
        self.room.speak(sound, now + 0.05)
        self.spoken += 1
        self.next = now + len(sound) / RATE + PATIENCE

    def _meant(self, s: Any) -> str | None:
        asking, running = s.questions.asking, s.course.running
        if asking is not None:
            return {**ANSWERS, **MEANT}.get(asking.question)
        if running is None or running.since is None or running.step.kind is not StepKind.CLIMB:
            return None
        done = running.since + running.step.amount * self.pace.of(running.step.block.value)
        return "done" if s.at >= done or self.room.now() >= done else None


def lived(cache: Path, snr_db: float | None) -> tuple[Newcomer, float | None, float]:
    """Her session up to the first hard try: when that began, and how long it took to run."""
    library = load_library("full", None, ())
    language = load_language("en", library.movements)
    noise = None if snr_db is None else hall(30.0, seed=1)
    room = SimulatedRoom(FakeClock(), echo_db=ECHO_DB, noise=noise, snr_db=snr_db or 20.0, seed=1)
    profile = load_voice("steady")
    voice = Voice(engine(profile.engine), profile, Cache(cache))
    listener = Listener(load("whisper"), language.answers, compute_seconds=COMPUTE)
    stage = SimulatedStage(
        room, Ready(voice), tones(), language.text, listener, echo=EchoCanceller()
    )
    she = Newcomer(room, language)
    stage.watch(she.watch)
    person = Person(1)
    runner = Runner(
        new_session(library, Options((person,), ageless=(1,), level_asked="climbed")),
        stage,
        NoKeeper(),
        FakeClock().wall,
    )
    began = time.perf_counter()
    stage.start()
    going, tried = runner.take(Started(0.0)), None
    while going and tried is None and stage.now() < LONGEST:
        wake = min(runner.wake or LONGEST, stage.now() + 0.5)
        event = stage.wait(wake)
        if event is not None or (runner.wake is not None and stage.now() >= runner.wake):
            going = runner.take(event if event is not None else runner.due())
        she.act(stage.now(), runner.session)
        running = runner.session.course.running
        if running is not None and running.since and running.step.kind is StepKind.TRY:
            tried = running.since
    stage.stop()
    voice.close()
    return she, tried, time.perf_counter() - began


def main() -> int:
    """Print the session; 1 where no hard try came."""
    snr_db = float(sys.argv[1]) if len(sys.argv) > 1 else None
    with tempfile.TemporaryDirectory() as folder:
        she, tried, took = lived(Path(folder), snr_db)
    for at, kind, text in sorted(she.log, key=lambda line: line[0]):
        print(f"{clock_time(at)}  " + (f'"{text}" ({kind})' if kind else f"         {text}"))
    heard = sum(kind.startswith("heard") for _, kind, _ in she.log)
    first = "no hard try" if tried is None else f"first hard try at minute {tried / 60:.1f}"
    print(f"{first}; {she.spoken} answers spoken, {heard} heard; {took:.0f} s to run")
    return tried is None


if __name__ == "__main__":
    sys.exit(main())
