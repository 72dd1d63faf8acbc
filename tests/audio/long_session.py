"""A whole session on sound that fails in every way: chart, planner, journal, stage, mixer and ear.

Only the hardware, the speech detector and the recogniser are made up, so that two hours pass in
moments: an answer is a noise of its own, which the recogniser knows by correlation. The climber
answers by voice, and by a key where nothing comes of it.
"""

import zlib
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soxr

from coach.audio.coming import RETRY_MOST, STEADY
from coach.audio.sound_device import RATE
from coach.audio.tones import tones
from coach.clock import FakeClock
from coach.files.library import load_library
from coach.files.words import load_language
from coach.hearing.endpoint import NoiseFloor, level_db
from coach.hearing.listener import Listener
from coach.hearing.recogniser_port import HEARING_RATE, Scored, Spoken
from coach.journal import Journal
from coach.journal.journal_checks import Verification, verify
from coach.model.answers import parse
from coach.model.person import AgeBand, Person
from coach.model.plan import StepKind
from coach.model.start import Options
from coach.runtime.keeper import JournalKeeper
from coach.runtime.replay import replay, rules_version
from coach.runtime.runner import Runner
from coach.session.effects import Effect, OpenWindow, Play, Say
from coach.session.events import (
    Answered,
    ClockJumped,
    DeviceLost,
    DeviceReturned,
    Event,
    SoundEnded,
    SoundStarted,
    Source,
    Started,
)
from coach.session.state import Phase, Session
from coach.session.step import new_session
from tests.audio.faults import Fault, FaultyRoom, Kind
from tests.audio.simulated_stage import SimulatedStage
from tests.beginning import entry

Floats = npt.NDArray[np.float32]

#: Samples in a step of the room: 40 ms, which takes half the time of its usual ones.
BLOCK = RATE // 25

#: Seconds until she answers, until she takes a key instead, and of an answer.
REACTION, PATIENCE, SPOKEN = 0.8, 4.0, 0.7

#: What she says where something is asked: the first that the window takes.
ASKED = (
    *("resume", "feel:fine", "go", "same", "no", "tissue:muscle", "enough", "topped", "rewarm"),
    *("effort:3", "cause:grip", "felt-same", "went", "count:3", "minutes:120"),
)


@cache
def noise_of(phrase: str) -> Floats:
    """How a phrase sounds: a noise under 3 kHz that is like no other's, at RATE."""
    dice = np.random.default_rng(zlib.crc32(phrase.encode()))
    noise = dice.standard_normal(round(SPOKEN * RATE))
    spectrum = np.fft.rfft(noise)
    spectrum[round(3000 * SPOKEN) :] = 0
    sound = np.fft.irfft(spectrum, len(noise))
    return np.asarray(0.2 * sound / np.abs(sound).max(), np.float32)


@cache
def _template(phrase: str) -> Floats:
    sound = np.asarray(soxr.resample(noise_of(phrase), RATE, HEARING_RATE), np.float32)
    return sound / np.float32(np.linalg.norm(sound))


class Knows:
    """A recogniser that tells the phrases' noises by correlation."""

    name = "whisper"
    lacking = ""

    def score(
        self,
        sound: Floats,
        phrases: Sequence[str],
        against: Sequence[str] = (),
        names: Sequence[str] = (),
    ) -> tuple[Scored, ...]:
        """Scores from -40 for unlike to +10 for the same."""
        size = 1 << (len(sound) + round(SPOKEN * HEARING_RATE)).bit_length()
        spectrum = np.fft.rfft(sound, size)
        scored = []
        for phrase in phrases:
            template = _template(phrase)
            match = np.fft.irfft(spectrum * np.conj(np.fft.rfft(template, size)), size)
            best = int(match.argmax())
            there = sound[best : best + len(template)] if best < len(sound) else sound[:0]
            energy = max(float(np.linalg.norm(there)), 0.3 * float(np.linalg.norm(sound)), 1e-3)
            like = float(match[best] / energy)
            scored.append(Scored(phrase, 50.0 * min(like, 1.0) - 40.0))
        return tuple(sorted(scored, key=lambda one: -one.score))

    def keep(self, phrase: str, spoken: Spoken, *, gathered: bool) -> None:
        """It learns nothing."""


class Loud:
    """A speech detector by level alone."""

    def __init__(self) -> None:
        self._floor = NoiseFloor()

    def __call__(self, chunk: Sequence[float]) -> float:
        sound = np.asarray(chunk, np.float32)
        self._floor.feed(sound)
        return float(level_db(sound) > max(self._floor.db + 12.0, -50.0))


@dataclass
class Said:
    """An answer, and by which way it came."""

    key: str
    window: int
    at: float
    heard: float | None = None
    """Onset by voice."""
    pressed: bool = False


@dataclass
class Climber:
    """Answers what is asked, ends what she climbs, and goes on after each pause."""

    stage: SimulatedStage
    room: FaultyRoom
    phrases: dict[str, tuple[str, ...]]
    talks: tuple[float, float] = (0.0, 0.0)
    said: list[Said] = field(default_factory=list)
    window: OpenWindow | None = None
    _talked: float = 0.0

    def watch(self, what: Effect | Event) -> None:
        """See windows open, and answers come."""
        if isinstance(what, OpenWindow):
            self.window = what
        if isinstance(what, Answered) and what.source is Source.VOICE and self.said:
            last = self.said[-1]
            if last.key == what.answer.key and last.window == what.window:
                last.heard = what.onset

    def act(self, now: float, s: Session) -> None:
        """Speak, or press, if it is time to; and others talk without a pause."""
        self._others_talk(now)
        window = s.window
        if window is None or self.window is None or self.window.window != window.number:
            return
        last = self.said[-1] if self.said else None
        if last is None or last.window != window.number:
            key = self._answer(s, now)
            if key and now >= window.opens and s.speech.saying is None:
                at = max(now + 0.05, window.opens + REACTION)
                self.room.speak(noise_of(self.phrases[key][0]), at)
                self.said.append(Said(key, window.number, at))
        elif not last.pressed and last.heard is None and now > last.at + SPOKEN + PATIENCE:
            last.pressed = True
            press = Answered(now, parse(last.key), 1, now, window.number, Source.KEY)
            self.stage.post(press)

    def _answer(self, s: Session, now: float) -> str:
        assert s.window is not None
        if s.questions.asking is not None or s.phase is Phase.PAUSED:
            return next((key for key in ASKED if key in s.window.answers), "")
        running = s.course.running
        if s.phase is not Phase.WORK or running is None or running.since is None:
            return ""
        climbs = running.step.kind in (StepKind.CLIMB, StepKind.TRY)
        over = now >= running.since + running.step.seconds
        return s.window.answers[0] if climbs and over else ""

    def _others_talk(self, now: float) -> None:
        begin, end = self.talks
        if not begin <= now < end or now < self._talked - 1.0:
            return
        at = max(self._talked, now + 0.05)
        talk = np.random.default_rng(int(at)).standard_normal(10 * RATE).astype(np.float32)
        self.room.speak(talk, at, -40.0)
        self._talked = at + 10.0


@dataclass
class Outcome:
    """What one session came to."""

    session: Session
    seconds: float
    slept: float
    wall: float
    """Seconds of the fake clock."""
    events: list[Event]
    asked: dict[int, float]
    """When each sound that was asked for ahead of its time was to begin."""
    on_disk: list[Event]
    verdict: Verification
    said: list[Said]
    begun_deaf: list[str]
    """Hangs and tries that began while the ear was gone, without a key."""
    faults: tuple[Fault, ...]
    talks: tuple[float, float]

    def told(self) -> Counter[tuple[str, str]]:
        """How often each device was told gone and back."""
        return Counter(
            (type(event).__name__, event.device)
            for event in self.events
            if isinstance(event, DeviceLost | DeviceReturned)
        )

    def well(self, at: float) -> bool:
        """Whether nothing was wrong with the ear, or had been lately."""
        after = RETRY_MOST + STEADY
        return not any(
            one.at - 3.0 <= at < one.at + one.seconds + after
            for one in self.faults
            if one.kind not in (Kind.ASLEEP, Kind.SPEAKER_GONE)
        )

    def strays(self) -> list[float]:
        """Seconds by which answers by voice were journalled off, where all was well."""
        return [
            one.heard - one.at
            for one in self.said
            if one.heard is not None and self.well(one.at) and not self._talk(one.at)
        ]

    def _talk(self, at: float) -> bool:
        return self.talks[0] - 1.0 <= at <= self.talks[1] + 1.0

    def late(self) -> list[float]:
        """Seconds by which cues and tones began off the time that they were asked for ahead."""
        return [
            event.at - self.asked[event.sound]
            for event in self.events
            if isinstance(event, SoundStarted) and event.sound in self.asked
        ]

    def unended(self) -> list[int]:
        """Sounds that began and of whose end nothing was told."""
        ended = {event.sound for event in self.events if isinstance(event, SoundEnded)}
        begun = [event.sound for event in self.events if isinstance(event, SoundStarted)]
        return [sound for sound in begun if sound not in ended]


def every_fault(
    begin: float, each: float, lasts: float, *, sleeps: float = 300.0
) -> tuple[Fault, ...]:
    """One of each kind, one after the other; the last leaves for good."""
    kinds = [kind for kind in Kind if kind is not Kind.HEADSET_GONE]
    values = {Kind.CLIPPING: 30.0, Kind.OFFSET: 0.3, Kind.CHANGED: 44_100.0}
    values |= {Kind.RATE: 8_000.0, Kind.WRONG_RATE: 44_100.0}
    faults = [
        Fault(kind, begin + n * each, sleeps if kind is Kind.ASLEEP else lasts, values.get(kind, 0))
        for n, kind in enumerate(kinds)
    ]
    return (*faults, Fault(Kind.HEADSET_GONE, begin + len(kinds) * each))


def simulate(
    folder: Path,
    routine: str,
    minutes: float,
    faults: tuple[Fault, ...],
    talks: tuple[float, float] = (0.0, 0.0),
) -> Outcome:
    """Run a session to its end; the same faults give the same outcome."""
    library = load_library(routine, None, ())
    language = load_language("en", library.movements)
    options = Options((Person(1, age=AgeBand.ADULT),), minutes, (), True)
    clock = FakeClock()
    dice = np.random.default_rng(1)
    hum = dice.standard_normal(7 * RATE).astype(np.float32)
    room = FaultyRoom(clock, faults, block=BLOCK, noise=hum, snr_db=40.0)
    listener = Listener(Knows(), language.answers, compute_seconds=0.1, detector=Loud())
    stage = SimulatedStage(room, None, tones(), language.text, listener)
    phrases = {key: tuple(some) for key, some in language.answers.items()}
    climber = Climber(stage, room, phrases, talks)
    happened: list[Event] = []
    asked: dict[int, float] = {}
    deaf: list[str] = []
    keys: list[float] = [0.0]
    risky: list[float] = [0.0]
    stage.watch(climber.watch)

    def seen(s: Session, event: Event, done: tuple[Effect, ...]) -> None:
        happened.append(event)
        for one in done:
            if isinstance(one, Say | Play) and one.at > stage.now() + BLOCK / RATE:
                asked[one.sound] = one.at
        if isinstance(event, Answered) and event.source is Source.KEY:
            keys.append(event.at)
        running = s.course.running
        starts = any(isinstance(one, Play) and one.tone.value == "start" for one in done)
        if not starts or running is None:
            return
        if running.step.hangs or running.step.kind is StepKind.TRY:
            if s.devices.deaf and keys[-1] <= risky[-1]:
                deaf.append(f"{running.step.name} at {event.at:.0f} s")
            risky.append(event.at)

    began = datetime(2026, 3, 3, 18, 0, tzinfo=UTC)
    path = folder / "journal.db"
    with Journal.open(path, write=True) as journal:
        number = journal.begin(entry(library, options, began))
        runner = Runner(
            new_session(library, options),
            stage,
            JournalKeeper(journal, number),
            lambda: began + timedelta(seconds=clock.monotonic()),
            seen,
        )
        stage.start()
        going = runner.take(Started(0.0))
        while going:
            until = stage.now() + 0.5
            event = stage.wait(until if runner.wake is None else min(until, runner.wake))
            if event is not None or (runner.wake is not None and stage.now() >= runner.wake):
                going = runner.take(event if event is not None else runner.due())
            climber.act(stage.now(), runner.session)
        journal.close_session(number, runner.session.how)
        on_disk = list(journal.events(number))
        stage.stop()
    again = verify(
        path,
        lambda start, recorded: (
            ""
            if replay(start, (one.event for one in recorded)) == runner.session
            else "another session"
        ),
        rules_version(),
    )
    slept = sum(event.seconds for event in happened if isinstance(event, ClockJumped))
    return Outcome(
        runner.session,
        stage.now(),
        slept,
        clock.monotonic(),
        happened,
        asked,
        on_disk,
        again,
        climber.said,
        deaf,
        faults,
        talks,
    )
