"""The stream from the microphone, with each block's place on the timeline."""

import time
from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import soxr

from coach.audio.port import RATE, Capture
from coach.audio.streams import Stream, library
from coach.audio.timeline import Stamps, Timeline

#: Seconds asked on the way in.
IN_LATENCY = 0.05


class MicrophoneStream(Stream):
    """Passes on what it hears, with its place on the Timeline."""

    kind = "microphone"

    def __init__(
        self, name: str | None, rates: Sequence[int], timeline: Timeline, capture: Capture
    ) -> None:
        super().__init__(name, rates, timeline)
        self._capture = capture
        self._rate = RATE
        self._convert: soxr.ResampleStream | None = None
        self._owed = 0.0
        self._stamps = Stamps()

    def open(self) -> None:
        """Open and start; AudioError if it can't."""
        self._start(library().InputStream, IN_LATENCY, 1)
        self.lost = False

    def _begin(self, rate: int) -> None:
        self._rate, self._owed, self._stamps = rate, 0.0, Stamps()
        self._convert = None if rate == RATE else soxr.ResampleStream(rate, RATE, 1, "float32")

    def _called(
        self, generation: int, block: npt.NDArray[np.float32], frames: int, when: Any, _: Any
    ) -> None:
        with self.turn:
            if generation != self._generation or self._stream is None:
                return
            self.last = time.monotonic()
            expected = self._timeline.index(self.last - frames / self._rate)
            if expected is None:
                return
            heard = block[:, 0].copy()
            if self._convert is not None:
                # The converter keeps some samples back: the next ones out began that much earlier.
                expected -= round(self._owed)
                self._owed += frames * RATE / self._rate
                heard = self._convert.resample_chunk(heard)
                self._owed -= len(heard)
            if len(heard):
                self._capture(heard, self._stamps.stamp(expected, len(heard)))
