"""The stream from the microphone, with each block's place on the timeline."""

import logging
import queue
import threading
import time
from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from coach.audio.incoming import Incoming
from coach.audio.sample_timeline import Timeline
from coach.audio.sound_device import Capture
from coach.audio.streams import Stream, library

log = logging.getLogger(__name__)

#: Seconds asked on the way in, of which each block is a quarter: shorter ones cost much to take,
#: and the ear looks at 32 ms at once anyway. Of 32 ms PortAudio makes two calls each time.
IN_LATENCY = 0.12
#: Blocks that may wait for whoever reads them, some ten seconds; further ones are counted and lost.
BACKLOG = 500
#: Seconds that reading may take to end.
END = 2.0

_Blocks = queue.SimpleQueue[tuple[npt.NDArray[np.float32], int] | None]


class MicrophoneStream(Stream):
    """Passes on what it hears, with its place on the Timeline.

    The system's call only copies the block into a queue, whose putting never waits; what becomes of
    it is worked out by a thread that reads the queue.
    """

    kind = "microphone"

    def __init__(
        self, name: str | None, rates: Sequence[int], timeline: Timeline, capture: Capture
    ) -> None:
        super().__init__(name, rates, timeline)
        self._incoming = Incoming(capture)
        self._blocks: _Blocks = queue.SimpleQueue()
        self._reader: threading.Thread | None = None
        self.missed = 0
        """Blocks for which there was no room."""

    def open(self) -> None:
        """Open and start; AudioError if it can't."""
        self._start(library().InputStream, IN_LATENCY, 1)
        self.lost = False

    def close(self) -> bool:
        """Let go of the device; False if the system didn't let us within CLOSE seconds."""
        closed = super().close()
        self._end_reading()
        return closed

    def _begin(self, rate: int) -> None:
        self._end_reading()
        self._incoming.begin(rate)
        self._blocks = queue.SimpleQueue()
        self._reader = threading.Thread(
            target=self._read, args=(self._blocks,), name="microphone", daemon=True
        )
        self._reader.start()

    def _end_reading(self) -> None:
        reader, self._reader = self._reader, None
        if reader is not None:
            self._blocks.put(None)
            reader.join(END)

    def _called(self, block: npt.NDArray[np.float32], frames: int, when: Any, status: Any) -> None:
        self.last = time.monotonic()
        arrived = self._timeline.index(self.last)
        if arrived is None:
            return
        if self._blocks.qsize() < BACKLOG:
            self._blocks.put((block.copy(), arrived))
        else:
            self.missed += 1

    def _read(self, blocks: _Blocks) -> None:
        told = self.missed
        while (item := blocks.get()) is not None:
            try:
                self._incoming.take(*item)
            except Exception:
                log.exception("a block of the microphone is lost")
            if self.missed > told:
                log.warning("%d blocks of the microphone had no room", self.missed - told)
                told = self.missed
