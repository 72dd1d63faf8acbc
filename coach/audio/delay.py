"""How much later than the system says a speaker is heard: a wireless headset's own delay.

A sweep is played a few times and looked for in what the microphone hears. What is found is the way
out and the way in together, as the microphone's blocks are placed by when they arrive.
"""

import os
import shutil
import subprocess

import numpy as np

from coach.audio.sound_device import RATE, Samples
from coach.audio.tones import tones
from coach.session.effects import Tone

#: Seconds at which the sweep is played, and until when is listened; no two apart alike, so that a
#: sweep is never taken for the one before it.
TIMES = (1.0, 2.15, 3.5, 5.05, 6.3)
END = 8.0

#: Longest delay that is looked for, and how far the sweeps may disagree.
LONGEST = 1.0
AGREE = 0.02
#: Seconds before its time from which a sweep is looked for: a delay that is reckoned with exactly
#: may bring it a few samples early.
EARLY = 0.05

#: A sweep counts as heard from this likeness on; so many have to be.
LIKE, ENOUGH = 0.4, 3

#: Under this a delay is none: what the system says is good to that.
NONE = 0.02

#: Names that stand for whatever device the sound server plays to now.
_SERVER = frozenset({"default", "pulse", "pipewire", "sysdefault"})


class Probe:
    """Plays the sweeps and keeps what is heard: the two ends of a Device."""

    def __init__(self) -> None:
        self._sweep = tones()[Tone.SYNC]
        self._played = np.zeros(round(END * RATE), np.float32)
        for at in TIMES:
            begin = round(at * RATE)
            self._played[begin : begin + len(self._sweep)] = self._sweep
        self._position = 0
        self._heard = np.zeros(round((END + LONGEST) * RATE), np.float32)

    def render(self, n: int) -> Samples:
        """The next n samples to play."""
        block = np.zeros(n, np.float32)
        part = self._played[self._position : self._position + n]
        block[: len(part)] = part
        self._position += n
        return block

    def capture(self, block: Samples, first: int) -> None:
        """A block of the microphone."""
        begin, end = max(first, 0), min(first + len(block), len(self._heard))
        if begin < end:
            self._heard[begin:end] = block[begin - first : end - first]

    def found(self) -> float | None:
        """Seconds by which the sweeps were heard late; None where too few were, or not alike."""
        late = [one for at in TIMES if (one := self._late(round(at * RATE))) is not None]
        middle = float(np.median(late)) if late else 0.0
        alike = [one for one in late if abs(one - middle) <= AGREE]
        return float(np.median(alike)) if len(alike) >= ENOUGH else None

    def _late(self, begin: int) -> float | None:
        n = len(self._sweep)
        begin -= round(EARLY * RATE)
        piece = self._heard[begin : begin + n + round((EARLY + LONGEST) * RATE)].astype(np.float64)
        size = 1 << (len(piece) + n).bit_length()
        spectrum = np.fft.rfft(piece, size) * np.conj(np.fft.rfft(self._sweep, size))
        match = np.fft.irfft(spectrum, size)[: len(piece) - n]
        energy = np.concatenate([[0.0], np.cumsum(piece**2)])
        there = np.sqrt(np.maximum(energy[n:] - energy[:-n], 1e-9))[: len(match)]
        like = match / (there * float(np.linalg.norm(self._sweep)))
        best = int(like.argmax())
        return best / RATE - EARLY if like[best] >= LIKE else None


def actual(name: str) -> str:
    """The device behind a name: the sound server's own, where the name only stands for that."""
    if name.lower() not in _SERVER:
        return name
    told = os.environ.get("PULSE_SINK", "")
    if told or shutil.which("pactl") is None:
        return told or name
    try:
        asked = subprocess.run(
            ["pactl", "get-default-sink"], capture_output=True, check=True, text=True, timeout=2.0
        )
    except (OSError, subprocess.SubprocessError):
        return name
    return asked.stdout.strip() or name
