"""A real session in a simulated hall: chart, planner, voice, mixer, ear and recogniser as they are.

A climber answers by synthetic voice; the microphone also hears eight talkers, thuds and our own
cues. Recogniser compute is charged as a fixed time, so that a seed gives the same session again.
"""

import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from coach.audio.echo import EchoCanceller
from coach.audio.sound_device import RATE
from coach.audio.tones import tones
from coach.clock import FakeClock
from coach.files.library import load_library
from coach.files.voices import load_voice
from coach.files.words import load_language
from coach.hearing.listener import Listener
from coach.hearing.recogniser_port import Recogniser
from coach.model.answers import ANYTIME
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.runtime.runner import NoKeeper, Runner
from coach.session.effects import CloseWindow, Effect, OpenWindow
from coach.session.events import Answered, Event, SoundStarted, Source, Started
from coach.session.state import Phase, Session
from coach.session.step import new_session
from coach.speech.cache import Cache
from coach.speech.engines import engine
from coach.speech.voice import Voice
from tests.audio.simulated_room import SimulatedRoom
from tests.audio.simulated_stage import SimulatedStage
from tests.bench.sound_hall import hall
from tests.hearing.voices import say

#: Seeds and voices, fixed before the first run.
SEEDS = (1, 2, 3, 4, 5)
VOICES = (
    ("espeak-ng", "en-gb"),
    ("flite", "slt"),
    ("espeak-ng", "en-us+f3"),
    ("flite", "rms"),
    ("espeak-ng", "en-gb-scotland"),
)
SNR_DB, ECHO_DB, COMPUTE = 20.0, -20.0, 0.12
#: Seconds between a window's tone and her answer, between answers, and until she says it again.
REACTION, EVERY, PATIENCE = 1.0, 9.0, 4.0

#: What she says in turn while a step runs, where its window takes it.
TURNS = (
    "again",
    "done",
    "pause",
    "skip",
    "more-time",
    "feel:fingers:sore",
    "easier",
    "why",
    "done",
    "whats-next",
    "skip",
)
#: And where something is asked: the first of these that its window takes.
ASKED = ("resume", "tissue:muscle", "yes", "feel:fine", "same", "enough", "no", "effort:3")


@dataclass
class Said:
    """One answer that was spoken, and what came of it."""

    key: str
    begins: float
    ends: float
    again: bool = False
    outcome: str = "missed"
    """'acted', 'asked', 'wrong' or 'missed'."""


@dataclass
class Climber:
    """Says her answers into the room; once more, in a pause of ours, where nothing came of one."""

    room: SimulatedRoom
    voice: tuple[str, str]
    phrases: dict[str, Sequence[str]]
    said: list[Said] = field(default_factory=list)
    strays: list[Answered] = field(default_factory=list)
    """Answers that were heard while she said nothing."""
    window: OpenWindow | None = None
    turn: int = 0
    free_from: float = 0.0
    quiet_from: float = 0.0
    """When the coach has said what it is saying."""

    def watch(self, thing: Effect | Event) -> None:
        """See windows open and close, and what was heard."""
        if isinstance(thing, OpenWindow):
            self.window = thing
        elif isinstance(thing, CloseWindow):
            if self.window is not None and self.window.window == thing.window:
                self.window = None
        elif isinstance(thing, SoundStarted):
            self.quiet_from = max(self.quiet_from, thing.at + thing.seconds)
        elif isinstance(thing, Answered) and thing.source is Source.VOICE:
            self._heard(thing)

    def _heard(self, event: Answered) -> None:
        last = next(
            (
                one
                for one in reversed(self.said)
                if one.begins <= event.at and event.onset <= one.ends + 0.2
            ),
            None,
        )
        if last is None:
            self.strays.append(event)
        elif event.answer.key == last.key:
            last.outcome = "acted" if event.sureness.value == "sure" else "asked"
        else:
            last.outcome = "wrong" if event.sureness.value == "sure" else "asked"

    def act(self, now: float, session: Session) -> None:
        """Speak if it is time to."""
        last = self.said[-1] if self.said else None
        if last is not None and last.outcome == "missed" and not last.again:
            if now < max(last.ends + PATIENCE, self.quiet_from):
                return
            if last.key in ANYTIME or (self.window and last.key in self.window.answers):
                self._say(last.key, now, again=True)
                return
        if now < self.free_from or self.window is None:
            return
        key = self._next(self.window, session)
        if key is not None:
            self._say(key, max(now, self.window.at + REACTION))

    def _next(self, window: OpenWindow, session: Session) -> str | None:
        for key in ASKED:
            if key in window.answers:
                return key
        if session.phase is not Phase.WORK:
            return None
        for _ in TURNS:
            key = TURNS[self.turn % len(TURNS)]
            self.turn += 1
            if key == "feel:fingers:sore" and self.turn > len(TURNS):
                continue
            if key in window.answers or key in ANYTIME:
                return key
        return None

    def _say(self, key: str, at: float, *, again: bool = False) -> None:
        sound = say(self.phrases[key][0], *self.voice)
        at += 0.05
        self.room.speak(sound, at)
        ends = at + len(sound) / RATE
        self.said.append(Said(key, at, ends, again))
        self.free_from = ends + EVERY


@dataclass(frozen=True)
class Outcome:
    """What one simulated session came to."""

    said: list[Said]
    strays: list[Answered]
    seconds: float
    took: float
    """Seconds of the machine."""

    @property
    def first(self) -> list[Said]:
        """Answers that were said for the first time."""
        return [one for one in self.said if not one.again]

    @property
    def unmended(self) -> list[str]:
        """Answers that were missed and then missed again."""
        return [one.key for one in self.said if one.again and one.outcome == "missed"]


def simulate(
    recogniser: Recogniser, seconds: float, seed: int, cache: Path, *, noisy: bool = True
) -> Outcome:
    """Run a session of some seconds in a hall; the same seed gives the same outcome."""
    library = load_library("full", None, ())
    language = load_language("en", library.movements)
    profile = load_voice("steady")
    room = SimulatedRoom(
        FakeClock(),
        echo_db=ECHO_DB,
        noise=hall(30.0, seed=seed) if noisy else None,
        snr_db=SNR_DB,
        seed=seed,
    )
    voice = Voice(engine(profile.engine), profile, Cache(cache))
    listener = Listener(recogniser, language.answers, compute_seconds=COMPUTE)
    stage = SimulatedStage(
        room, Ready(voice), tones(), language.text, listener, echo=EchoCanceller()
    )
    climber = Climber(room, VOICES[seed % len(VOICES)], dict(language.answers))
    stage.watch(climber.watch)
    people = (Person(1, age=AgeBand.ADULT),)
    session = new_session(library, Options(people, 90.0, (), True))
    clock = FakeClock()
    runner = Runner(session, stage, NoKeeper(), clock.wall)
    began = time.perf_counter()
    stage.start()
    going = runner.take(Started(0.0))
    while going and stage.now() < seconds:
        wake = min(runner.wake or seconds, stage.now() + 0.5, seconds)
        event = stage.wait(wake)
        if event is not None or (runner.wake is not None and stage.now() >= runner.wake):
            going = runner.take(event if event is not None else runner.due())
        climber.act(stage.now(), runner.session)
    took = time.perf_counter() - began
    stage.stop()
    voice.close()
    return Outcome(climber.said, climber.strays, stage.now(), took)


class Ready:
    """A voice that is always ready: what is not rendered yet is rendered there and then."""

    def __init__(self, voice: Voice) -> None:
        self._voice = voice

    def sound(self, text: str):  # type: ignore[no-untyped-def]
        """The sentence."""
        return self._voice.render(text)

    def request(self, text: str, done) -> None:  # type: ignore[no-untyped-def]
        """Never needed."""
        done(self._voice.render(text))
