"""Puts sounds on the timeline by sample, and says exactly where each one started and ended.

The mixer alone decides what is played at a sample. It has no thread and no clock: whoever owns
the speaker calls `render`, one block after the other.
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from coach.audio.sound_device import RATE, Samples

#: Length of the fade at a cut: 5 ms, short enough to be prompt and long enough not to click.
FADE = RATE // 200

#: Above this the sum is bent instead of clipped.
KNEE = 0.8


class MixKind(StrEnum):
    """What became of a sound."""

    #: its first sample is in the block
    STARTED = "started"
    #: it was played to its end
    ENDED = "ended"
    #: it was cut, while it sounded or before it began
    CUT = "cut"


@dataclass(frozen=True, slots=True)
class MixEvent:
    """One thing that happened to a sound, on the timeline."""

    kind: MixKind
    sound: int
    at: int
    """Sample index: the first sample, one past the last, or where the fade of a cut begins."""
    late: int = 0
    """STARTED only: samples after the time it was scheduled for."""


@dataclass(slots=True)
class _Sound:
    samples: Samples
    asked: int
    """Sample it was scheduled for."""
    start: int | None = None
    """Sample it started at; None while it waits."""
    cut: int | None = None
    """Sample at which its fade begins."""


class Mixer:
    """Sums scheduled sounds into blocks.

    Each scheduled sound gives STARTED and then ENDED or CUT, or CUT alone if it never began.
    """

    def __init__(self) -> None:
        self._sounds: dict[int, _Sound] = {}
        self._position = 0
        self._begin = 0
        self._silence: Samples = np.zeros(0, np.float32)

    @property
    def position(self) -> int:
        """Index of the next sample to render."""
        return self._position

    @property
    def idle(self) -> bool:
        """Nothing sounds and nothing waits."""
        return not self._sounds

    def schedule(self, sound: int, samples: Samples, at: int) -> None:
        """Play samples (mono, at RATE) from sample `at` on; at once if that has passed.

        ValueError if a sound of that number sounds or waits.
        """
        if sound in self._sounds:
            raise ValueError(f"sound {sound} is already scheduled")
        self._sounds[sound] = _Sound(np.asarray(samples, np.float32), at)

    def cut(self, keep: int | None = None, at: int | None = None) -> None:
        """Silence, from sample `at` (else at once), all that is scheduled so far but `keep`."""
        when = max(self._position, self._position if at is None else at)
        for number, sound in self._sounds.items():
            if number != keep:
                sound.cut = when if sound.cut is None else min(sound.cut, when)

    def render(self, n: int) -> tuple[Samples, list[MixEvent]]:
        """The next n samples (read-only when silent) and what happened in them, in order."""
        begin, end = self._position, self._position + n
        self._begin, self._position = begin, end
        if not self._sounds:
            return self._still(n), []
        events: list[MixEvent] = []
        block: Samples | None = None
        for number, sound in list(self._sounds.items()):
            silent = self._follow(number, sound, end, events)
            if sound.start is not None:
                first, stop = max(begin, sound.start), min(end, silent)
                if first < stop:
                    if block is None:
                        block = np.zeros(n, np.float32)
                    block[first - begin : stop - begin] += _faded(sound, first, stop)
            if silent <= end:
                del self._sounds[number]
        events.sort(key=lambda event: event.at)
        return self._still(n) if block is None else soft_limit(block), events

    def _follow(self, number: int, sound: _Sound, end: int, events: list[MixEvent]) -> int:
        """Add what happens to one sound before `end`; the sample from which it is silent."""
        begin = sound.start
        if begin is None:
            begin = max(sound.asked, self._begin)
            if sound.cut is not None and sound.cut <= begin:
                if sound.cut < end:
                    events.append(MixEvent(MixKind.CUT, number, sound.cut))
                return sound.cut + 1
            if begin >= end:
                return begin + len(sound.samples) + 1
            sound.start = begin
            events.append(MixEvent(MixKind.STARTED, number, begin, begin - sound.asked))
        last = begin + len(sound.samples)
        if sound.cut is None or sound.cut >= last:
            if last <= end:
                events.append(MixEvent(MixKind.ENDED, number, last))
            return last
        if self._begin <= sound.cut < end:
            events.append(MixEvent(MixKind.CUT, number, sound.cut))
        return min(last, sound.cut + FADE)

    def _still(self, n: int) -> Samples:
        if len(self._silence) != n:
            self._silence = np.zeros(n, np.float32)
            self._silence.flags.writeable = False
        return self._silence


def _faded(sound: _Sound, first: int, stop: int) -> Samples:
    """Samples first to stop of the timeline, with the fade of a cut where it falls in them."""
    start = sound.start or 0
    piece = sound.samples[first - start : stop - start]
    if sound.cut is None or stop <= sound.cut:
        return piece
    along = np.clip((np.arange(first, stop) - sound.cut) / FADE, 0.0, 1.0)
    return (piece * (0.5 + 0.5 * np.cos(np.pi * along))).astype(np.float32)


def soft_limit(block: Samples) -> Samples:
    """The block with everything above KNEE bent to stay below 1; unchanged below it."""
    size = np.abs(block)
    if not len(block) or float(size.max()) <= KNEE:
        return block
    room = 1.0 - KNEE
    bent = np.sign(block) * (KNEE + room * np.tanh((size - KNEE) / room))
    return np.where(size > KNEE, bent, block).astype(np.float32)
