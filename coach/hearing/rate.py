"""From the device's rate to the recogniser's, block by block and with a millisecond's delay.

A stream of a resampling library holds back some 20 to 30 ms, which every answer would wait for;
a plain filter is enough for a ratio of three. The tests check it against soxr.
"""

import numpy as np
import numpy.typing as npt

from coach.audio.sound_device import RATE
from coach.hearing.recogniser_port import HEARING_RATE

Floats = npt.NDArray[np.float32]

#: Samples in to one sample out.
RATIO = RATE // HEARING_RATE

#: Filter: windowed sine, flat to 6.5 kHz, 60 dB down from 8.4 kHz.
_TAPS = 97
_EDGE = 7_400.0


class Downsampler:
    """Every third sample of the low-passed sound; sample k out belongs to sample 3k in."""

    def __init__(self) -> None:
        along = np.arange(_TAPS) - _TAPS // 2
        taps = np.sinc(2 * _EDGE / RATE * along) * np.blackman(_TAPS)
        self._taps = (taps / taps.sum()).astype(np.float32)
        self._kept: Floats = np.zeros(_TAPS // 2, np.float32)

    def needs(self, n: int) -> int:
        """How many more samples at RATE give n samples out."""
        return RATIO * n + _TAPS - RATIO - len(self._kept)

    def feed(self, samples: Floats) -> Floats:
        """The samples at 16 kHz that are complete; the last 1 ms waits for the next block."""
        sound = np.concatenate([self._kept, samples])
        ready = max(0, len(sound) - _TAPS + RATIO) // RATIO
        if ready == 0:
            self._kept = sound
            return np.zeros(0, np.float32)
        used = sound[: (ready - 1) * RATIO + _TAPS]
        self._kept = sound[ready * RATIO :]
        return np.convolve(used, self._taps, "valid")[::RATIO].astype(np.float32)
