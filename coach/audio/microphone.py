"""The stream from the microphone, with each block's place on the timeline."""

import time
from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from coach.audio.incoming import Incoming
from coach.audio.port import Capture
from coach.audio.streams import Stream, library
from coach.audio.timeline import Timeline

#: Seconds asked on the way in, of which each block is a quarter: shorter ones cost much to take,
#: and the ear looks at 32 ms at once anyway.
IN_LATENCY = 0.08


class MicrophoneStream(Stream):
    """Passes on what it hears, with its place on the Timeline."""

    kind = "microphone"

    def __init__(
        self, name: str | None, rates: Sequence[int], timeline: Timeline, capture: Capture
    ) -> None:
        super().__init__(name, rates, timeline)
        self._incoming = Incoming(capture)

    def open(self) -> None:
        """Open and start; AudioError if it can't."""
        self._start(library().InputStream, IN_LATENCY, 1)
        self.lost = False

    def _begin(self, rate: int) -> None:
        self._incoming.begin(rate)

    def _called(
        self, generation: int, block: npt.NDArray[np.float32], frames: int, when: Any, _: Any
    ) -> None:
        with self.turn:
            if generation != self._generation or self._stream is None:
                return
            self.last = time.monotonic()
            arrived = self._timeline.index(self.last)
            if arrived is not None:
                self._incoming.take(block, arrived)
