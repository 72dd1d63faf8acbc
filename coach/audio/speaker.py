"""The stream to the speaker, and what its calls tell about when each sample is heard."""

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from coach.audio.delay import actual
from coach.audio.playing import SampleSource
from coach.audio.sample_timeline import Timeline
from coach.audio.sound_device import RATE
from coach.audio.streams import CONNECT, Stream, find, library
from coach.errors import AudioError

#: Seconds of sound asked of the system's buffer on the way out: twice what PortAudio itself calls
#: high, for a busy machine, and a quarter of the lead that sounds are scheduled with. All that
#: answers to a person is heard so much later.
OUT_LATENCY = 0.07

#: A stream's times are believed once they have agreed within 3 ms for 0.1 s.
_AGREE, _SETTLE = 0.003, 0.1

#: Seconds a stream may take to begin.
BEGIN = 5.0


@dataclass(slots=True)
class _Agreed:
    since: float
    """Monotonic second since which the times agree."""
    leaves: float
    """When the stream's first sample left, as the system estimates."""
    called: float
    """When its first sample would have been asked for, by the promptest call."""


class SpeakerStream(Stream):
    """Plays a source and keeps the Timeline."""

    kind = "speaker"

    def __init__(
        self,
        name: str | None,
        rates: Sequence[int],
        timeline: Timeline,
        source: SampleSource,
        delays: Mapping[str, float],
    ) -> None:
        """`delays` are seconds by which devices are heard later than the system says, by name."""
        super().__init__(name, rates, timeline)
        self._delays = delays
        self._delay = 0.0
        self._source = source
        self._plays = False
        self._passes = False
        self._agreed: _Agreed | None = None
        self._lead = 0.0
        self._silent = 0
        self._hole = 0
        self._hold = 0
        self.holes = 0
        """Samples that were counted and not played."""
        self.heard_until = 0.0
        """Monotonic second at which the latest sound that was no silence was given out."""

    def disown(self) -> None:
        """Draw no more from the source, even if the device calls again before it is closed."""
        self._leave.withdraw()
        self._plays = False

    def pass_unheard(self, until: float) -> None:
        """Where no device draws from the source, let it go on to monotonic second `until`.

        Both say that they draw before they look at the other, so that never both do.
        """
        timeline = self._timeline
        self._passes = True
        try:
            if not self._plays and timeline.anchor is not None:
                behind = round((until - timeline.anchor) * RATE - timeline.rendered)
                if behind > 0:
                    self._source.skip(behind)
                    timeline.rendered += behind
        finally:
            self._passes = False

    def close(self) -> bool:
        """Let go of the device; False if the system didn't let us within CLOSE seconds."""
        self.disown()
        return super().close()

    def open(self) -> None:
        """Open and start, and wait until its times are steady; AudioError if they never are."""
        self._plays = False
        if self._delays:
            self._delay = self._delays.get(actual(str(find(self.name, "output")["name"])), 0.0)
        self._start(library().OutputStream, OUT_LATENCY, 2)
        end = time.monotonic() + BEGIN
        while not self._plays:
            if time.monotonic() > end:
                self.close()
                raise AudioError(f"The speaker did not begin within {BEGIN:g} s.", CONNECT)
            time.sleep(0.005)
        self.lost = False

    def _begin(self, rate: int) -> None:
        self._source.at_rate(rate)
        self._agreed, self._silent, self._hole, self._hold = None, 0, 0, 0

    def _called(self, block: npt.NDArray[np.float32], frames: int, when: Any, status: Any) -> None:
        self.last = time.monotonic()
        if not self._plays:
            lead = self._stream.latency
            if when.outputBufferDacTime > 0:
                lead = when.outputBufferDacTime - self._stream.time
            if not self._steady(lead, frames):
                block.fill(0)
                return
        block[:] = self._fill(frames)[:, None]

    def _steady(self, lead: float, frames: int) -> bool:
        """Whether the stream's times, this block `lead` seconds ahead, can be believed by now.

        From then on only the times of the calls are looked at: after a hole a sound server's own
        estimates are off by more than the hole for many seconds.
        """
        given = self._silent / self._source.rate
        leaves, called = self.last + lead - given, self.last - given
        self._silent += frames
        if self._agreed is None or abs(leaves - self._agreed.leaves) > _AGREE:
            self._agreed = _Agreed(self.last, leaves, called)
        self._agreed.called = min(called, self._agreed.called)
        if self.last - self._agreed.since < _SETTLE:
            return False
        self._plays = True
        if self._passes:
            self._plays = False  # the source is being drawn from: at the next block
            return False
        self._agreed.leaves += self._delay
        self._lead = self._agreed.leaves - self._agreed.called
        self._timeline.rendered = float(self._source.position)
        self._hole = self._timeline.place(self._agreed.leaves + given, fresh=True)
        return True

    def _fill(self, frames: int) -> npt.NDArray[np.float32]:
        source, timeline = self._source, self._timeline
        leaves = self.last + self._lead
        if self._hold == 0:
            hole, self._hole = self._hole or timeline.place(leaves), 0
            if hole > 0:
                source.skip(hole)
                timeline.rendered += hole
                self.holes += hole
            else:
                self._hold = round(-hole * source.rate / RATE)
        held = min(frames, self._hold)
        self._hold -= held
        samples = source.take(frames - held)
        timeline.rendered += (frames - held) * RATE / source.rate
        if samples.any():
            self.heard_until = leaves + frames / source.rate
        return np.concatenate([np.zeros(held, np.float32), samples]) if held else samples
