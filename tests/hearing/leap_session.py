"""A block of hard tries by voice alone, from what the boulder is about to the end.

What she says and when, for the bench in real time and for a room on a fake clock. There only the
air and the clock are made up: chart, planner, voice, mixer, ear and recogniser are as they are.
"""

import time
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path

import numpy as np

from coach.audio.echo import EchoCanceller
from coach.audio.sound_device import RATE, Samples
from coach.audio.tones import tones
from coach.clock import FakeClock
from coach.files.library import load_library
from coach.files.voices import load_voice
from coach.files.words import load_language
from coach.hearing.listener import Listener
from coach.hearing.recogniser_port import Recogniser
from coach.model.facts import Fact
from coach.model.person import AgeBand, Person
from coach.model.place import Circuit
from coach.model.plan import StepKind
from coach.model.start import Options
from coach.runtime.runner import Runner
from coach.session.effects import CloseWindow, Effect, OpenWindow
from coach.session.events import Answered, Event, SoundStarted, Source, Started
from coach.session.state import Phase, Session
from coach.session.step import new_session
from coach.speech.cache import Cache
from coach.speech.engines import engine
from coach.speech.voice import Voice
from tests.audio.simulated_room import SimulatedRoom
from tests.audio.simulated_stage import SimulatedStage
from tests.hearing.hall_session import COMPUTE, ECHO_DB, Ready
from tests.hearing.tries_session import Gated
from tests.hearing.voices import say

#: How often she says an answer.
TIMES = 3
#: Seconds between the parts of one breath; from what she waits for to her answer; without a word
#: until she says it again.
COMMA, REACTION, PATIENCE = 0.4, 1.0, 4.0
#: Seconds of a try, and those in which a block is over or never will be.
TRY, LONGEST = 12.0, 1800.0
CIRCUITS = ("chalk", "slate", "flint")


@dataclass(frozen=True)
class Line:
    """What she says once something is there: a kind of step, a question, or words of a rest."""

    when: str
    parts: tuple[str, ...]
    """Each part, said with a comma's pause between them."""
    keys: tuple[str, ...]
    """The answer that each part is."""
    again: tuple[tuple[str, ...], ...] = ()
    """The same in other words, where nothing came of it."""

    def words(self, times: int) -> dict[str, str]:
        """What each answer is said by, after it was said so many times before."""
        said = (self.parts, *self.again)
        return dict(zip(self.keys, said[min(times, len(said) - 1)], strict=True))


TALK = (
    Line(
        "ask",
        ("it's a leap", "flint", "move five"),
        ("key-move:leap", "circuit:flint", "move:5"),
        (("it's about a leap", "flint", "move five"), ("a big leap", "flint", "move five")),
    ),
    Line("ask", ("let's try",), ("go",)),
    Line("drill", ("skip this",), ("skip",)),
    Line("try", ("move five",), ("move:5",), (("fell at five",),)),
    # two minutes are rested whatever is said; after that her own word ends it
    Line("rest-nearly-over", ("i'm ready",), ("ready",)),
    Line("try", ("move five", "bad timing"), ("move:5", "cause:timing")),
    Line("rest-half", ("one swing",), ("variation:one-swing",)),
    # whoever left out the drill is offered it once more, and has to ask for it
    Line("rest-nearly-over", ("one more go",), ("another",)),
    Line("drill", ("skip this",), ("skip",)),
    Line("try", ("got to the top",), ("topped",)),
    Line("ask", ("that's enough",), ("enough",)),
    Line("ask", ("very hard",), ("effort:7",)),
)


def breath(parts: tuple[str, ...], voice: tuple[str, str]) -> Samples:
    """The parts with a comma's pause between them."""
    gap = np.zeros(round(COMMA * RATE), np.float32)
    sounds = [say(part, *voice) for part in parts]
    return np.concatenate([piece for sound in sounds for piece in (sound, gap)][:-1])


@dataclass
class Speaker:
    """Says the lines in turn, what was missed of one once more."""

    room: SimulatedRoom
    voice: tuple[str, str]
    gate: Gated
    left: list[Line] = field(default_factory=lambda: list(TALK))
    heard: list[str] = field(default_factory=list)
    """Keys of what was heard, in order."""
    others: list[str] = field(default_factory=list)
    """What was heard that she had not said."""
    said: list[int] = field(default_factory=list)
    """How often each line was said."""
    waits: list[str] = field(default_factory=list)
    """Keys of the line that runs which were not heard yet."""
    times: int = 0
    ends: float = -PATIENCE
    cues: set[str] = field(default_factory=set)
    quiet_from: float = 0.0
    window: OpenWindow | None = None

    def watch(self, thing: Effect | Event) -> None:
        """See windows and cues, and what was heard."""
        if isinstance(thing, OpenWindow):
            self.window = thing
        elif isinstance(thing, CloseWindow):
            if self.window is not None and self.window.window == thing.window:
                self.window = None
        elif isinstance(thing, SoundStarted):
            self.cues.add(thing.what.key)
            self.quiet_from = max(self.quiet_from, thing.at + thing.seconds)
        elif isinstance(thing, Answered) and thing.source is Source.VOICE:
            key = thing.answer.key
            self.heard.append(key)
            if key in self.waits:
                self.waits.remove(key)
            else:
                self.others.append(key)

    def act(self, now: float, s: Session) -> None:
        """Speak if it is time to; the ear is open around it."""
        if self.times and not self.waits:
            self.said.append(self.times)
            self.left, self.times = self.left[1:], 0
            self.cues.clear()
        if not self.left or now < max(self.ends + PATIENCE, self.quiet_from):
            return
        self.gate.awake = self._soon(now, s)
        if self.times >= TIMES or not self.gate.awake or not self._ready(now, s):
            return
        line = self.left[0]
        if not self.times:
            self.waits = list(line.keys)
        words = line.words(self.times)
        parts = tuple(words[key] for key in line.keys if key in self.waits)
        sound = breath(parts, self.voice)
        self.room.speak(sound, now + 0.05)
        self.times += 1
        self.ends = now + 0.05 + len(sound) / RATE

    def _soon(self, now: float, s: Session) -> bool:
        """Whether what she waits for is there."""
        running, when = s.course.running, self.left[0].when
        kind = running.step.kind if running is not None else None
        if when == "ask":
            return s.questions.asking is not None
        if when == "drill":
            return kind is StepKind.DOSE
        return (
            (kind is StepKind.TRY and s.phase is Phase.WORK) if when == "try" else when in self.cues
        )

    def _ready(self, now: float, s: Session) -> bool:
        """Whether it counts now: a window takes it, and a try lasts some seconds."""
        key = next(iter(self.waits if self.times else self.left[0].keys))
        window = self.window
        if window is None or key not in (*window.answers, *window.beside):
            return False
        running = s.course.running
        since = running.since if running is not None and self.left[0].when == "try" else None
        begins = window.at + REACTION if since is None else since + TRY
        return now >= max(begins, self.quiet_from + REACTION / 2)


@dataclass(frozen=True)
class Keeping:
    """Keeps the facts of a session in a list."""

    facts: list[Fact]

    def commit(self, event: Event, facts: tuple[Fact, ...], wall: datetime) -> None:
        """Keep them."""
        self.facts.extend(facts)


@dataclass(frozen=True)
class Block:
    """What a block left."""

    speaker: Speaker
    facts: list[Fact]
    cues: list[str]
    seconds: float
    took: float
    """Seconds of the machine."""


def block(recogniser: Recogniser, voice: tuple[str, str], cache: Path) -> Block:
    """Run the lines by a voice in a quiet room; the ear is closed where nobody speaks."""
    library = load_library("rests")
    here = replace(library.place, circuits=tuple(map(Circuit, CIRCUITS)))
    library = replace(library, place=here)
    person = Person(1, age=AgeBand.ADULT)
    language = load_language("en", library.movements).at(CIRCUITS)
    profile = load_voice("steady")
    room = SimulatedRoom(FakeClock(), echo_db=ECHO_DB)
    spoken = Voice(engine(profile.engine), profile, Cache(cache))
    gate = Gated(Listener(recogniser, language.answers, compute_seconds=COMPUTE))
    stage = SimulatedStage(room, Ready(spoken), tones(), language.text, gate, echo=EchoCanceller())
    speaker, facts, cues = Speaker(room, voice, gate), list[Fact](), list[str]()

    def watch(thing: Effect | Event) -> None:
        speaker.watch(thing)
        if isinstance(thing, SoundStarted):
            cues.append(thing.what.key)

    stage.watch(watch)
    session = new_session(library, Options((person,), 60.0, (), True))
    clock = FakeClock()
    runner = Runner(session, stage, Keeping(facts), clock.wall)
    began = time.perf_counter()
    stage.start()
    going = runner.take(Started(0.0))
    while going and stage.now() < LONGEST:
        soon = stage.now() + 0.2
        event = stage.wait(min(runner.wake or soon, soon))
        if event is not None or (runner.wake is not None and stage.now() >= runner.wake):
            going = runner.take(event if event is not None else runner.due())
        speaker.act(stage.now(), runner.session)
    took, seconds = time.perf_counter() - began, stage.now()
    stage.stop()
    spoken.close()
    return Block(speaker, facts, cues, seconds, took)
