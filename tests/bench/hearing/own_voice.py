"""Our own cues at the microphone: nothing they say may be obeyed, and stop must get through.

`python -m tests.bench.hearing.own_voice [--every 10]` tries them by the neural voice at four echoes
with the echo canceller.
"""

import argparse
import re
import tomllib
from collections.abc import Container, Mapping, Sequence
from pathlib import Path

import numpy as np
import soxr

from coach.audio.echo import EchoCanceller
from coach.audio.sound_device import RATE as DEVICE_RATE
from coach.hearing.listener import Listener
from coach.hearing.recogniser_port import Recogniser
from coach.hearing.recognisers import load
from coach.record.evidence import wilson
from coach.session.effects import OpenWindow
from coach.session.events import Answered
from tests.bench.hearing import material
from tests.bench.hearing.material import HELD_OUT, Floats, Voice
from tests.bench.hearing.trials import BLOCK, STEP

#: Who says the cues: the voice of most profiles, at the pace of `steady`.
CUE_VOICE = Voice("hibari", "heart", 87)

#: Level of the echo against the speech of whoever says something, in dB.
ECHOES = (-40.0, -20.0, -10.0, 0.0)

#: Seconds from the speaker to the microphone.
WAY = 0.02

#: Phrases said through a cue.
THROUGH = ("stop stop", "please stop", "stop now", "stop")


def kept_for_trials(words: Path) -> frozenset[str]:
    """Keys of the sentences that train nothing: one in four."""
    with words.open("rb") as file:
        return frozenset(sorted(tomllib.load(file)["say"])[3::4])


def cues(words: Path, only: Container[str] | None = None) -> list[str]:
    """The pack's sentences, or those of some keys, with "two" for every value."""
    with words.open("rb") as file:
        said = tomllib.load(file)["say"]
    some = [text for key, text in said.items() if only is None or key in only]
    plain = (re.sub(r"\{[^}]*\}", "two", text) for text in some)
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


def main() -> None:
    """The command line."""
    from tests.bench.hearing.__main__ import WORDS, phrases  # it imports this module

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--every", type=int, default=10, help="one in so many cues")
    parser.add_argument("--begin", type=int, default=0, help="the first of them")
    parser.add_argument("--kept", action="store_true", help="only sentences that trained nothing")
    parser.add_argument("--echoes", type=float, nargs="*", default=ECHOES)
    options = parser.parse_args()
    every = cues(WORDS, kept_for_trials(WORDS) if options.kept else None)
    texts, recogniser, table = every[options.begin :: options.every], load("whisper"), phrases()
    for echo in options.echoes:
        heard, n, hours = obeyed(recogniser, table, texts, echo, EchoCanceller())
        right, wrong, of = through(recogniser, table, texts, echo, EchoCanceller())
        low, high = wilson(right, of)
        print(
            f"echo {echo:.0f} dB: {heard} of {n} own cues obeyed or asked about in {hours:.2f} h; "
            f"stop through them {right} of {of} ({low:.2f}-{high:.2f}), for another {wrong}",
            flush=True,
        )


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


if __name__ == "__main__":
    main()
