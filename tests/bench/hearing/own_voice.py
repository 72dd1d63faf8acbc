"""Our own cues at the microphone: nothing they say may be obeyed, and stop must get through."""

import re
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
import soxr

from coach.audio.echo import EchoCanceller
from coach.audio.port import RATE as DEVICE_RATE
from coach.hearing.listener import Listener
from coach.hearing.port import Recogniser
from coach.session.effects import OpenWindow
from coach.session.events import Answered
from tests.bench.hearing import material
from tests.bench.hearing.material import HELD_OUT, Floats, Voice
from tests.bench.hearing.trials import BLOCK, STEP

#: Who says the cues.
CUE_VOICE = Voice("espeak-ng", "en-us", 165)

#: Seconds from the speaker to the microphone.
WAY = 0.02

#: Phrases said through a cue.
THROUGH = ("stop stop", "please stop", "stop now", "stop")


def cues(words: Path) -> list[str]:
    """The pack's sentences that need no value."""
    with words.open("rb") as file:
        said = tomllib.load(file)["say"]
    plain = (re.sub(r"\{[^}]*\}", "two", text) for text in said.values())
    return sorted({text for text in plain if len(text.split()) > 1})


def obeyed(
    recogniser: Recogniser,
    phrases: Mapping[str, Sequence[str]],
    texts: Sequence[str],
    echo_db: float,
    canceller: EchoCanceller | None = None,
) -> tuple[int, int, float]:
    """Answers acted on or asked back in our own cues alone; cues; hours. A window is open."""
    heard, position = 0, 0
    listener = Listener(recogniser, phrases)
    for number, text in enumerate(texts, 1):
        cue = material.say(CUE_VOICE, text)
        track = _with(cue, echo_db, len(cue))
        listener.open(OpenWindow(number, STEP, position / DEVICE_RATE))
        answers, position = _feed(listener, track, position, text, cue, canceller)
        heard += len(answers)
    return heard, len(texts), position / DEVICE_RATE / 3600


def through(
    recogniser: Recogniser,
    phrases: Mapping[str, Sequence[str]],
    texts: Sequence[str],
    echo_db: float,
    canceller: EchoCanceller | None = None,
) -> tuple[int, int, int]:
    """'stop' said into a cue: heard as stop, heard as something else, of how many."""
    right = wrong = position = 0
    listener = Listener(recogniser, phrases)
    for number, text in enumerate(texts):
        cue = material.say(CUE_VOICE, text)
        said = material.say(HELD_OUT[number % len(HELD_OUT)], THROUGH[number % len(THROUGH)])
        begin = min(round(0.6 * material.RATE), max(0, len(cue) - len(said)))
        track = _with(cue, echo_db, max(len(cue), begin + len(said)))
        track[begin : begin + len(said)] += said
        answers, position = _feed(listener, track, position, text, cue, canceller)
        keys = {answer.answer.key for answer in answers}
        right += "stop" in keys
        wrong += bool(keys - {"stop"})
    return right, wrong, len(texts)


def _with(cue: Floats, echo_db: float, lasts: int) -> Floats:
    """A quiet room for so many samples and a second more, with the echo of a cue."""
    n, late = lasts + material.RATE, round(WAY * material.RATE)
    track = np.random.default_rng(n).normal(0, 10 ** (-75 / 20), n).astype(np.float32)
    track[late : late + len(cue)] += cue * np.float32(10 ** (echo_db / 20))
    return track


def _feed(
    listener: Listener,
    track: Floats,
    position: int,
    text: str,
    cue: Floats,
    canceller: EchoCanceller | None,
) -> tuple[list[Answered], int]:
    sound = np.asarray(soxr.resample(track, material.RATE, DEVICE_RATE), np.float32)
    played = np.zeros(len(sound), np.float32)
    spoken = np.asarray(soxr.resample(cue, material.RATE, DEVICE_RATE), np.float32)
    played[: len(spoken)] = spoken
    begin, end = position / DEVICE_RATE, len(cue) / material.RATE
    told = False
    answers: list[Answered] = []
    listener.sounding(text, begin, None)
    for first in range(0, len(sound), BLOCK):
        if not told and first / DEVICE_RATE >= end:
            told = True
            listener.sounding(text, begin, begin + end)
        block, at = sound[first : first + BLOCK], position + first
        if canceller is not None:
            canceller.played(played[first : first + BLOCK], at)
            block, at = canceller.without(block, at)
        events = listener.feed(block, at) if len(block) else []
        answers += [event for event in events if isinstance(event, Answered)]
    return answers, position + len(sound)
