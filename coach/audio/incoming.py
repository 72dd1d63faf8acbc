"""A device's own blocks, made what the rest of the program hears: mono, at RATE, in their place.

Steppable, so that the real microphone and the simulated one go through the same code.
"""

from collections import deque

import numpy as np
import numpy.typing as npt
import soxr

from coach.audio.sample_timeline import Stamps
from coach.audio.sound_device import RATE, Capture

#: Rates that sound devices run at; 8 and 16 kHz are those of a headset in a call.
KNOWN = (8_000, 11_025, 16_000, 22_050, 24_000, 32_000, 44_100, 48_000, 88_200, 96_000)

#: A rate is believed once this many spells of SPELL seconds running AGREE on it, CLOSE to one that
#: is known: drop-outs take something from each spell, but not from every one as much.
SPELLS, SPELL = 4, 3.0
CLOSE, AGREE = 0.006, 0.01


class Incoming:
    """Takes blocks at the rate a device says, or at the one that it turns out to run at."""

    def __init__(self, capture: Capture) -> None:
        self._capture = capture
        self.begin(RATE)

    def begin(self, rate: int) -> None:
        """The device was opened, at this rate."""
        self.rate = rate
        self._owed = 0.0
        self._convert = None if rate == RATE else soxr.ResampleStream(rate, RATE, 1, "float32")
        self._stamps = Stamps()
        self._meter = Meter()

    def take(self, block: npt.NDArray[np.float32], arrived: int) -> None:
        """A block, mono or of several channels, whose last sample was heard before `arrived`.

        `arrived` is on the timeline, in samples at RATE.
        """
        found = self._meter.feed(len(block), arrived)
        if found is not None and found != self.rate:
            self.begin(found)
        heard = block if block.ndim == 1 else block.mean(axis=1, dtype=np.float32)
        first = arrived - round(len(heard) * RATE / self.rate)
        if self._convert is not None:
            # The converter keeps some samples back: the next ones out began that much earlier.
            first -= round(self._owed)
            self._owed += len(heard) * RATE / self.rate
            heard = self._convert.resample_chunk(np.ascontiguousarray(heard))
            self._owed -= len(heard)
        else:
            heard = heard.copy()
        if len(heard):
            self._capture(heard, self._stamps.stamp(first, len(heard)))


class Meter:
    """What rate a device really runs at, by how many samples come in a second of the timeline."""

    def __init__(self) -> None:
        self._frames = 0
        self._spell: list[tuple[int, int]] = []
        self._rates: deque[float] = deque(maxlen=SPELLS)

    def feed(self, frames: int, arrived: int) -> int | None:
        """A block arrived; the rate that is known by now, or None while none is."""
        self._frames += frames
        spell = self._spell
        if spell and arrived < spell[-1][0]:
            spell.clear()
        spell.append((arrived, self._frames))
        if arrived - spell[0][0] < SPELL * RATE:
            return None
        # A line through all of them, since blocks come in bursts.
        times, counts = np.array(spell, np.float64).T
        self._rates.append(float(np.polyfit(times - times[0], counts - counts[0], 1)[0]) * RATE)
        spell.clear()
        return self._found()

    def _found(self) -> int | None:
        if len(self._rates) < SPELLS or max(self._rates) > (1 + AGREE) * min(self._rates):
            return None
        mean = sum(self._rates) / len(self._rates)
        nearest = min(KNOWN, key=lambda rate: abs(rate - mean))
        return nearest if abs(mean / nearest - 1) < CLOSE else None
