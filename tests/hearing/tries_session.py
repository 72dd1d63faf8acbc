"""Hard tries of two people in a simulated hall, by voice: only the air and the clock are made up.

Chart, planner, journal, voice, mixer, notes, ear and recogniser are as they are. The two speak
with different synthesisers; what nothing came of is said once more. Recogniser compute is charged
as a fixed time, so that a seed gives the same block again.
"""

import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
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
from coach.journal import Journal
from coach.model.answers import ANYTIME
from coach.model.facts import Fact
from coach.model.person import AgeBand, Person
from coach.model.plan import StepKind
from coach.model.start import Options
from coach.model.tries import Boulder
from coach.runtime.keeper import JournalKeeper
from coach.runtime.runner import Runner
from coach.session.effects import CloseWindow, Effect, KeepNote, OpenWindow
from coach.session.events import Answered, Event, SoundStarted, Source, Started
from coach.session.state import Phase, Session
from coach.session.step import new_session
from coach.speech.cache import Cache
from coach.speech.engines import engine
from coach.speech.voice import Voice
from tests.audio.signals import find
from tests.audio.simulated_room import SimulatedRoom
from tests.audio.simulated_stage import SimulatedStage
from tests.beginning import entry
from tests.bench.sound_hall import hall
from tests.hearing.hall_session import COMPUTE, ECHO_DB, SNR_DB, Ready, Said
from tests.hearing.voices import say

PEOPLE = (Person(1, "Ada", AgeBand.ADULT), Person(2, "Mira", AgeBand.ADULT))
BOULDERS = ((1, Boulder("flint 4", "overhang", 9)), (2, Boulder("slate 2")))
#: Engine and voice of each of them, by seed.
VOICES = (
    (("flite", "slt"), ("espeak-ng", "en-gb")),
    (("espeak-ng", "en-us+f3"), ("flite", "rms")),
    (("espeak-ng", "en-gb-scotland"), ("flite", "slt")),
)
WALL = datetime(2026, 3, 3, 18, 30, tzinfo=UTC)

#: Seconds between a window's tone and the answer, and until it is said once more.
REACTION, PATIENCE = 1.0, 4.0
#: How often an answer is said; after the first time in other words.
TIMES = 3
#: Seconds of each try until its end is told, in turn.
TRIES = (22.0, 15.0, 30.0, 18.0)
#: What each answers where something is asked: their results in turn, everything else by question.
RESULTS = {
    1: ("ended-middle", "ended-top", "topped", "topped"),
    2: ("ended-start", "ended-middle", "ended-top", "topped"),
}
ASKED = {
    "go-ahead": "go",
    "try-cause": "cause:grip",
    "which-boulder": "count:4",
    "boulder-style": "style:wall",
    "boulder-about": "key-move:balance",
    "after-top": "same",
    "tissue": "tissue:joint",
    "sign": "sign:yes",
    "carry-on": "finish",
    "confirm": "yes",
    "effort": "effort:7",
}
NOTE = "left heel first, then the far hold with the right hand"
#: Seconds after the last try from which its result has been asked for.
LATER = 40.0
#: A block that is not over by then never will be.
LONGEST = 40 * 60.0
#: A gated ear listens from this many seconds before somebody speaks.
AWAKE = 2.5


@dataclass
class Gated:
    """An ear that is closed while nobody of ours speaks: what only the hall says costs nothing."""

    ear: Listener
    awake: bool = True

    def open(self, window: OpenWindow) -> None:
        """Pass it on."""
        self.ear.open(window)

    def close(self, window: CloseWindow) -> None:
        """Pass it on."""
        self.ear.close(window)

    def doubt(self) -> None:
        """Pass it on."""
        self.ear.doubt()

    def sounding(self, text: str, start: float, end: float | None) -> None:
        """Pass it on."""
        self.ear.sounding(text, start, end)

    def feed(self, samples: Samples, first: int) -> list[Event]:
        """Pass it on while it is awake."""
        return self.ear.feed(samples, first) if self.awake else []


@dataclass(frozen=True)
class Coming:
    """Something that will be said."""

    key: str
    at: float
    who: int
    times: int = 0
    """How often it was said before."""


@dataclass
class Script:
    """Who says what, when: each try's end, what is asked, and some things more."""

    rounds: int
    room: SimulatedRoom
    phrases: dict[str, Sequence[str]]
    voices: tuple[tuple[str, str], ...]
    gate: Gated | None = None
    said: list[Said] = field(default_factory=list)
    whose: list[int] = field(default_factory=list)
    """Who said it, for each of `said`."""
    strays: list[Answered] = field(default_factory=list)
    heard: list[tuple[str, float]] = field(default_factory=list)
    """Key and time of each cue that began, as its event says."""
    tried: list[int] = field(default_factory=list)
    """Who tried, in turn."""
    window: OpenWindow | None = None
    coming: Coming | None = None
    told: dict[int, int] = field(default_factory=dict)
    done: set[object] = field(default_factory=set)
    quiet_from: float = 0.0
    times: int = 0
    """How often the last answer was said."""

    def once(self, what: object) -> bool:
        """Whether it is the first time."""
        new = what not in self.done
        self.done.add(what)
        return new

    def watch(self, thing: Effect | Event) -> None:
        """See windows, cues, and what was heard."""
        if isinstance(thing, OpenWindow):
            self.window = thing
        elif isinstance(thing, CloseWindow) and self.window is not None:
            self.window = None if self.window.window == thing.window else self.window
        elif isinstance(thing, KeepNote):
            self._speak(NOTE, thing.at + 0.6, self.voices[1])
        elif isinstance(thing, SoundStarted):
            self.heard.append((thing.what.key, thing.at))
            self.quiet_from = max(self.quiet_from, thing.at + thing.seconds)
        elif isinstance(thing, Answered) and thing.source is Source.VOICE:
            self._heard(thing)

    def _heard(self, event: Answered) -> None:
        last = self.said[-1] if self.said else None
        if last is None or not (last.begins <= event.at and event.onset <= last.ends + 0.2):
            self.strays.append(event)
        elif event.answer.key == last.key:
            last.outcome = "acted" if event.sureness.value == "sure" else "asked"
        else:
            last.outcome = "wrong" if event.sureness.value == "sure" else "asked"

    def act(self, now: float, s: Session) -> None:
        """Speak if it is time to."""
        if self.coming is not None and self.coming.times and self.said[-1].outcome != "missed":
            self.coming = None
        if self.coming is None:
            self.coming = self._again(now) or self._next(now, s)
        coming = self.coming
        if self.gate is not None:
            soon = coming is not None and now >= coming.at - AWAKE
            self.gate.awake = soon or bool(self.said and now < self.said[-1].ends + PATIENCE)
        if coming is not None and now + 0.25 >= coming.at:
            self.coming = None
            if coming.key in ANYTIME or (self.window and coming.key in self.window.answers):
                self._say(coming, max(now + 0.05, coming.at))

    def _again(self, now: float) -> Coming | None:
        """Once more, where nothing came of it and it still counts."""
        last = self.said[-1] if self.said else None
        if last is None or last.outcome != "missed" or self.times >= TIMES:
            return None
        at = max(last.ends + PATIENCE, self.quiet_from + 0.5, now)
        return Coming(last.key, at, self.whose[-1], self.times)

    def _next(self, now: float, s: Session) -> Coming | None:
        running, window = s.course.running, self.window
        if s.phase is Phase.WORK and running is not None and running.step.kind is StepKind.TRY:
            if running.since is not None and self.once(running.step.name):
                who = running.step.turn
                at = running.since + TRIES[len(self.tried) % len(TRIES)]
                self.tried.append(who)
                return Coming("down", at, who)
            return None
        if window is None:
            return None
        if s.questions.asking is not None and window.answers and self.once(window.window):
            who = s.questions.asking.who
            return Coming(self._answer(s.questions.asking.question, who), window.at + REACTION, who)
        if s.phase is Phase.REST and s.questions.asking is None and s.rests.resting is not None:
            return self._unasked(now)
        return None

    def _answer(self, question: str, who: int) -> str:
        if question == "who":
            # the change is hers, what hurts is the other's
            return "person:2" if "sign" in self.done else "person:1"
        if question != "try-result":
            return ASKED[question]
        count = self.told.get(who, 0)
        self.told[who] = count + 1
        return RESULTS[who][count % len(RESULTS[who])]

    def _unasked(self, now: float) -> Coming | None:
        """A note after the first round, then a change; after the last a warning sign."""
        told = min(self.told.get(1, 0), self.told.get(2, 0))
        done = min(self.tried.count(1), self.tried.count(2))
        soon = max(now, self.quiet_from) + 3.0
        if told == 1 and self.once("keep"):
            return Coming("keep", soon, 2)
        if told == 2 and self.once("change"):
            return Coming("other-boulder", soon, 1)
        if done >= self.rounds and self.once("sign"):
            return Coming("feel:fingers:sore", soon + LATER, 2)
        if done >= self.rounds and self.once("stop"):
            return Coming("stop", soon + 10.0, 1)
        return None

    def _say(self, coming: Coming, at: float) -> None:
        phrases = self.phrases[coming.key]
        words = phrases[min(coming.times, len(phrases) - 1)]
        begins, ends = self._speak(words, at, self.voices[max(coming.who, 1) - 1])
        self.said.append(Said(coming.key, begins, ends, again=coming.times > 0))
        self.times = coming.times + 1
        self.whose.append(coming.who)

    def _speak(self, words: str, at: float, voice: tuple[str, str]) -> tuple[float, float]:
        sound = say(words, *voice)
        self.room.speak(sound, at)
        return at, at + len(sound) / RATE


@dataclass(frozen=True)
class Block:
    """What a block of tries left."""

    script: Script
    facts: list[Fact]
    events: list[Event]
    speaker: Samples
    """All that left the speaker."""
    notes: Path
    seconds: float
    took: float
    """Seconds of the machine."""


def block(
    recogniser: Recogniser, rounds: int, seed: int, folder: Path, *, gated: bool = False
) -> Block:
    """Run a block of so many tries each; `gated` closes the ear while only the hall speaks."""
    library = load_library("rests", None, ())
    language = load_language("en", library.movements).naming(PEOPLE)
    profile = load_voice("steady")
    played: list[Samples] = []
    noise = hall(30.0, seed=seed)
    room = SimulatedRoom(
        FakeClock(), echo_db=ECHO_DB, noise=noise, snr_db=SNR_DB, seed=seed, heard=played.append
    )
    voice = Voice(engine(profile.engine), profile, Cache(folder / "cues"))
    ear = Listener(recogniser, language.answers, compute_seconds=COMPUTE)
    gate = Gated(ear) if gated else None
    notes = folder / "notes"
    stage = SimulatedStage(
        room, Ready(voice), tones(), language.text, gate or ear, notes=notes, echo=EchoCanceller()
    )
    script = Script(rounds, room, dict(language.answers), VOICES[seed % len(VOICES)], gate)
    stage.watch(script.watch)
    options = Options(PEOPLE, 120.0, (), True, boulders=BOULDERS, wall=f"{WALL:%Y-%m-%d %H:%M:%S}")
    began = time.perf_counter()
    with Journal.open(folder / "journal.db", write=True) as journal:
        number = journal.begin(entry(library, options, WALL))
        keeper = JournalKeeper(journal, number)
        runner = Runner(new_session(library, options), stage, keeper, lambda: WALL)
        stage.start()
        going = runner.take(Started(0.0))
        while going and stage.now() < LONGEST:
            soon = stage.now() + 0.2
            event = stage.wait(min(runner.wake or soon, soon))
            if event is not None or (runner.wake is not None and stage.now() >= runner.wake):
                going = runner.take(event if event is not None else runner.due())
            script.act(stage.now(), runner.session)
        stage.stop()
    voice.close()
    took = time.perf_counter() - began
    with Journal.open(folder / "journal.db", write=False) as journal:
        facts, events = list(journal.facts(number)), list(journal.events(number))
    return Block(script, facts, events, np.concatenate(played), notes, stage.now(), took)


def found_at(speaker: Samples, sound: Samples, about: float, around: float = 1.0) -> float:
    """Seconds on the timeline at which a sound left the speaker, looked for about a time."""
    first = max(round((about - around) * RATE), 0)
    part = speaker[first : first + round(2 * around * RATE) + len(sound)]
    return (first + find(part, sound, least=0.9)) / RATE
