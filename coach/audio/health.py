"""Whether what a microphone gives is sound at all, and its blocks without their offset.

A microphone that is switched off, or whose battery is empty, often goes on giving blocks: of
zeros. One that is heard through a noise gate gives zeros between words too: where a spell of zeros
has ended in sound, they are believed only after minutes.
"""

from dataclasses import dataclass

import numpy as np

from coach.audio.sound_device import RATE, Samples
from coach.session.events import DeviceLost, DeviceReturned, Event

#: Seconds of nothing but zeros, or of one other number, after which a microphone counts as gone:
#: before it has given any sound, after it has, and where zeros of a SPELL turned out to be a gate.
NEVER, ZEROS, GATED = 60.0, 20.0, 600.0
SPELL = 1.0

#: Seconds in which an offset is followed: far slower than any voice. Where the mean of some SLOW
#: seconds has never been LEAST (-46 dB) it hides nothing, and the sound is left as it is.
OFFSET, SLOW, LEAST = 0.5, 3.0, 0.005

#: From here on a sample counts as clipped.
FULL = 0.985


@dataclass(slots=True)
class Levels:
    """What was wrong with some sound: shares of its samples, and its mean."""

    zeros: float = 0.0
    clipped: float = 0.0
    offset: float = 0.0


def levels(sound: Samples) -> Levels:
    """How much of a recording is zeros, how much clipped, and how far off zero it stands."""
    if not len(sound):
        return Levels(1.0)
    return Levels(
        float(np.mean(sound == 0.0)),
        float(np.mean(np.abs(sound) >= FULL)),
        float(np.mean(sound, dtype=np.float64)),
    )


class Health:
    """Fed with every block of the microphone, by one thread."""

    def __init__(self) -> None:
        self._offset: float | None = None
        self._slow = 0.0
        self._levelled = False
        self._still_since: int | None = None
        self._patience = NEVER
        self._gone = False

    def hear(self, samples: Samples, first: int) -> tuple[Samples, list[Event]]:
        """The block without its offset and without what is no number, and what is to be told."""
        finite = np.isfinite(samples)
        if not finite.all():
            samples = np.where(finite, samples, np.float32(0.0))
        return self._level(samples), self._told(samples, first)

    def _level(self, samples: Samples) -> Samples:
        """Take the mean away that the sound has had lately, in a ramp that nobody hears."""
        if not len(samples):
            return samples
        mean = float(samples.mean())
        before = mean if self._offset is None else self._offset
        share = min(1.0, len(samples) / RATE / OFFSET)
        self._offset = before + share * (mean - before)
        self._slow += min(1.0, len(samples) / RATE / SLOW) * (mean - self._slow)
        self._levelled = self._levelled or abs(self._slow) > LEAST
        if not self._levelled:
            return samples
        ramp = np.linspace(before, self._offset, len(samples), dtype=np.float32)
        return np.asarray(samples - ramp, np.float32)

    def _told(self, samples: Samples, first: int) -> list[Event]:
        end = first + len(samples)
        if len(samples) and float(samples.min()) != float(samples.max()):
            return self._sounds(first)
        if self._still_since is None:
            self._still_since = first
        if self._gone or end - self._still_since < self._patience * RATE:
            return []
        self._gone = True
        return [DeviceLost(end / RATE, "microphone", "It is there, and gives no sound.")]

    def _sounds(self, first: int) -> list[Event]:
        since, self._still_since = self._still_since, None
        if since is not None and first - since >= SPELL * RATE:
            self._patience = GATED
        elif self._patience == NEVER:
            self._patience = ZEROS
        if not self._gone:
            return []
        self._gone = False
        return [DeviceReturned(first / RATE, "microphone")]
