"""Draws blocks from whoever renders, at the rate that a speaker happens to take."""

import numpy as np
import soxr

from coach.audio.sound_device import RATE, Render, Samples

#: Samples drawn at once where rates differ: 10 ms.
_DRAW = RATE // 100


class SampleSource:
    """What is played, as an endless row of samples at `rate`."""

    def __init__(self, render: Render) -> None:
        self._render = render
        self.rate = RATE
        self.position = 0
        """Samples drawn so far, at RATE."""
        self._convert: soxr.ResampleStream | None = None
        self._left: Samples = np.zeros(0, np.float32)

    def at_rate(self, rate: int) -> None:
        """Give samples at this rate from now on; what was drawn and not taken is dropped."""
        self.rate = rate
        self._convert = None if rate == RATE else soxr.ResampleStream(RATE, rate, 1, "float32")
        self._left = np.zeros(0, np.float32)

    def take(self, n: int) -> Samples:
        """The next n samples at the present rate."""
        if self._convert is None:
            self.position += n
            return self._render(n)
        while len(self._left) < n:
            self.position += _DRAW
            more = self._convert.resample_chunk(self._render(_DRAW))
            self._left = np.concatenate([self._left, more])
        given, self._left = self._left[:n], self._left[n:]
        return given

    def skip(self, n: int) -> None:
        """Let n samples at RATE pass unheard."""
        self.position += n
        self._render(n)
