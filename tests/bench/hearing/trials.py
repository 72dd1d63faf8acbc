"""Streams material through the real listener, block by block, and sorts what came of it."""

import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import soxr

from coach.audio.sound_device import RATE as DEVICE_RATE
from coach.files.movements import load_movements
from coach.hearing.listener import Listener
from coach.hearing.recogniser_health import Here
from coach.hearing.recogniser_port import Recogniser, Scored
from coach.model.answers import ANYTIME
from coach.model.movement import Family
from coach.model.questions import QUESTIONS
from coach.session.effects import CloseWindow, OpenWindow
from coach.session.events import Answered, Sureness
from tests.bench.hearing import material
from tests.bench.hearing.material import Floats

#: Answers of the window at a step's end, as many as a window may have.
STEP = ("done", "skip", "more-time", "easier", "again", "whats-next", "how-long", "finish")

#: Every focus, in the order in which they are offered to who practised none.
FOCUSES = sorted(
    f"focus:{name}" for name, one in load_movements().items() if one.family is Family.FOCUS
)

BLOCK = DEVICE_RATE // 50

#: Seconds before an answer (the window opens half-way) and after it.
BEFORE, AFTER = 1.2, 1.6


@dataclass(frozen=True, slots=True)
class Condition:
    """A place to hear in."""

    name: str
    noise: str = ""
    """'hall', 'babble' (eight people) or '' for quiet."""
    snr_db: float = 0.0
    rt60: float = 0.0
    narrow: bool = False
    """Through a headset's narrow band."""


CONDITIONS = (
    Condition("quiet"),
    Condition("hall 20 dB", "hall", 20.0),
    Condition("hall 10 dB", "hall", 10.0),
    Condition("hall 5 dB", "hall", 5.0),
    Condition("hall 0 dB", "hall", 0.0),
    Condition("babble 10 dB", "babble", 10.0),
    Condition("room, 10 dB", "hall", 10.0, 0.9),
    Condition("narrow band, hall 20 dB", "hall", 20.0, narrow=True),
)


@dataclass(frozen=True, slots=True)
class Spoken:
    """One thing said: what it should be heard as ('' for nothing) and by whom."""

    key: str
    phrase: str
    sound: Floats
    speaker: str
    window: tuple[str, ...]


@dataclass(slots=True)
class Outcome:
    """What came of one thing said."""

    spoken: Spoken
    answers: list[Answered] = field(default_factory=list)
    looks: list[Scored] = field(default_factory=list)
    """The best phrase of each look, whatever the bands made of it."""
    ends: float = 0.0
    """Second of the stream at which the speech ended."""

    @property
    def kind(self) -> str:
        """'acted', 'asked', 'ignored', 'wrong' or 'asked wrong': the worst that happened."""
        wanted = self.spoken.key
        wrong = [a for a in self.answers if a.answer.key != wanted]
        if any(a.sureness is Sureness.SURE for a in wrong):
            return "wrong"
        right = [a for a in self.answers if a.answer.key == wanted]
        if right:
            sure = any(a.sureness is Sureness.SURE for a in right)
            return "acted" if sure else "asked"
        return "asked wrong" if wrong else "ignored"

    @property
    def delay(self) -> float | None:
        """Seconds from the end of the speech to the decision."""
        return self.answers[0].at - self.ends if self.answers else None


@dataclass(slots=True)
class Result:
    """Everything that one condition gave."""

    condition: Condition
    outcomes: list[Outcome] = field(default_factory=list)
    seconds: float = 0.0
    """Of sound."""
    spent: float = 0.0
    """Seconds of processor time of this process."""

    def count(self, *kinds: str) -> int:
        """Outcomes of these kinds."""
        return sum(outcome.kind in kinds for outcome in self.outcomes)


def window_of(key: str) -> tuple[str, ...]:
    """The window that an answer is usually given in: its question's, or a step's end."""
    if key in STEP or key in ANYTIME:
        return STEP
    if key.startswith("count:"):
        return ("done", "skip", *(f"count:{n}" for n in (3, 4, 5)), key)[:8]
    if key in FOCUSES:
        at = FOCUSES.index(key)
        offered = (*FOCUSES[at:], *FOCUSES)[:3]
        return (*offered, *QUESTIONS["focus"].answers)
    for question in QUESTIONS.values():
        if key in question.answers:
            return question.answers
    return (*STEP[:7], key)


class Noting(Here):
    """A recogniser whose best phrase of each look is noted."""

    def __init__(self, recogniser: Recogniser) -> None:
        super().__init__(recogniser)
        self.into: list[Scored] = []

    def score(
        self,
        sound: Floats,
        phrases: Sequence[str],
        against: Sequence[str] = (),
        names: Sequence[str] = (),
    ) -> tuple[Scored, ...]:
        """The recogniser's own scores."""
        scored = super().score(sound, phrases, against, names)
        if scored and scored[0].phrase in phrases:
            self.into.append(scored[0])
        return scored


def stream(
    recogniser: Recogniser,
    phrases: Mapping[str, Sequence[str]],
    condition: Condition,
    said: Sequence[Spoken],
    seed: int = 5,
) -> Result:
    """Everything said, one after the other, each with its window, in one unbroken stream."""
    noting = Noting(recogniser)
    listener = Listener(noting, phrases, sparing=False)
    result = Result(condition)
    noise = noise_of(condition, 60.0, seed)
    position = noise_at = 0
    kept: list[Answered] = []
    began = time.process_time()
    for number, spoken in enumerate(said, 1):
        track, begin, end = track_of(spoken, condition)
        track = track + np.take(noise, np.arange(noise_at, noise_at + len(track)), mode="wrap")
        noise_at += len(track)
        if condition.narrow:
            track = material.narrow(track)
        at_device = np.asarray(soxr.resample(track, material.RATE, DEVICE_RATE), np.float32)
        start = position / DEVICE_RATE
        opens = start + begin / material.RATE - BEFORE / 2
        closes = start + len(track) / material.RATE - 0.05
        outcome = Outcome(spoken, ends=start + end / material.RATE)
        noting.into = outcome.looks
        opened = False
        for block in _blocks(at_device):
            now = position / DEVICE_RATE
            if not opened and now >= opens:
                opened = True
                if spoken.window:
                    listener.open(OpenWindow(number, spoken.window, opens))
            events = listener.feed(block, position)
            kept = [event for event in events if isinstance(event, Answered)]
            outcome.answers += kept
            position += len(block)
        if spoken.window:
            listener.close(CloseWindow(number, closes))
        result.outcomes.append(outcome)
    result.spent = time.process_time() - began
    result.seconds = position / DEVICE_RATE
    return result


def track_of(spoken: Spoken, condition: Condition) -> tuple[Floats, int, int]:
    """The speech with room around it, and where in it the speech begins and ends."""
    sound = spoken.sound
    if condition.rt60:
        sound = material.reverberated(sound, condition.rt60, -2.0)
    begin = round(BEFORE * material.RATE)
    length = begin + len(sound) + round(AFTER * material.RATE)
    track = np.zeros(length, np.float32)
    track[begin : begin + len(sound)] = sound
    return track, begin, begin + len(spoken.sound)


def noise_of(condition: Condition, seconds: float, seed: int) -> Floats:
    rng = np.random.default_rng(seed)
    floor = rng.normal(0, 10 ** (-75 / 20), round(seconds * material.RATE)).astype(np.float32)
    if not condition.noise:
        return floor
    make = material.hall if condition.noise == "hall" else (lambda s, x: material.babble(s, 8, x))
    level = material.SPEECH_DB - condition.snr_db
    return floor + make(seconds, seed) * np.float32(10 ** (level / 20))


def _blocks(sound: Floats) -> Iterator[Floats]:
    for first in range(0, len(sound), BLOCK):
        yield sound[first : first + BLOCK]
