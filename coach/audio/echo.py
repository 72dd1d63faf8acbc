"""Takes our own voice out of what the microphone hears: an acoustic echo canceller by a library.

It knows what was played and when, so that it only works while a cue sounds and for a while after
it; all other sound passes untouched. So does all sound where the last cue could hardly be heard at
the microphone: what the library takes out with it of a loud room would then do more harm, since
the room seems to begin anew after each cue. The library learns the way from speaker to microphone
by itself; it needs what was played to come before its echo, so that it is given LEAD ahead.
"""

from collections import deque
from typing import Any

import numpy as np

from coach.audio.sound_device import RATE, Samples
from coach.errors import AudioError

#: Samples that the library takes at once: 10 ms.
FRAME = RATE // 100

#: What was played is given so much earlier than the timeline tells: times of devices are unsure.
LEAD = 2 * FRAME

#: A room sounds on, and a path may be late: so long after a cue there may be something of it.
AFTER = RATE // 2

_NOTHING: Samples = np.zeros(FRAME, np.float32)

#: By so many dB a cue has to lift the level of the room, the median of so many frames.
LIFT_DB, FRAMES = 8.0, 300

#: After so many frames of the first cue it is first known whether cues can be heard here.
SOON = 50

#: What the microphone heard waits no longer than this for what was played at that time.
PATIENCE = RATE // 5


class EchoCanceller:
    """One speaker and one microphone on one timeline.

    `played` may be called from another thread than `without`.
    """

    def __init__(self) -> None:
        """AudioError where the library is missing."""
        try:
            import pywebrtc_audio
        except ImportError as error:
            raise AudioError(
                "our own voice is not taken out of what is heard: pywebrtc-audio is missing",
                "Wear a headset, or install it: pip install pywebrtc-audio",
            ) from error
        self._library: Any = pywebrtc_audio.EchoCanceller(sample_rate=RATE)
        self._played: deque[tuple[int, Samples]] = deque(maxlen=400)
        self._until = 0
        """One past the last sample told of."""
        self._loud_until = -AFTER
        self._waiting: Samples = np.zeros(0, np.float32)
        self._first = 0
        self._audible = self._known = False
        self._room: deque[float] = deque(maxlen=FRAMES)
        self._during: list[float] = []

    def played(self, samples: Samples, first: int) -> None:
        """Samples at RATE that leave the speaker from this index of the timeline on."""
        if np.any(samples):
            self._played.append((first, np.array(samples, np.float32)))
        self._until = first + len(samples)

    def without(self, samples: Samples, first: int) -> tuple[Samples, int]:
        """What was heard, mono at RATE, without our own voice, and the index of its first sample.

        In whole frames: the rest comes with the next block. A gap drops what waited.
        """
        if first != self._first + len(self._waiting):
            self._waiting, self._first = np.zeros(0, np.float32), first
        self._waiting = np.concatenate([self._waiting, samples])
        begin, whole = self._first, FRAME * self._frames()
        now, self._waiting = self._waiting[:whole], self._waiting[whole:]
        if not self._played and begin >= self._loud_until + AFTER:
            # most of a session: nothing of ours sounds, and no frame needs a look of its own
            self._still(now)
            self._first += whole
            return now, begin
        cleaned = [np.zeros(0, np.float32)]
        for start in range(0, whole, FRAME):
            cleaned.append(self._frame(now[start : start + FRAME]))
            self._first += FRAME
        return np.concatenate(cleaned), begin

    def _frames(self) -> int:
        """Whole frames for which all is known that was played until LEAD after their end.

        What was played is told before how far it is known, so it is looked at after this.
        """
        end = self._first + len(self._waiting)
        if end - self._until <= PATIENCE:
            end = min(end, self._until - LEAD)
        return max(0, end - self._first) // FRAME

    def _still(self, heard: Samples) -> None:
        """Frames in which nothing of ours sounds, nor has for a while: only the room."""
        self._weigh()
        self._during.clear()
        frames = heard.reshape(-1, FRAME).astype(np.float64)
        self._room.extend((np.einsum("ij,ij->i", frames, frames) / FRAME).tolist())

    def _frame(self, heard: Samples) -> Samples:
        played = self._at(self._first + LEAD)
        if np.any(played):
            exact = heard.astype(np.float64)
            self._loud_until = self._first + LEAD + FRAME
            self._during.append(float(exact @ exact) / FRAME)
            if not self._known and len(self._during) == SOON:
                self._weigh()
        elif self._first >= self._loud_until + AFTER:
            self._still(heard)
            return heard
        cleaned = np.asarray(self._library.process(heard, played), np.float32).reshape(-1)[:FRAME]
        return cleaned if self._audible else heard

    def _weigh(self) -> None:
        """Whether the latest cue can be heard here."""
        if self._during and self._room:
            lift = np.mean(self._during) / max(float(np.median(self._room)), 1e-12)
            self._audible, self._known = bool(lift > 10 ** (LIFT_DB / 10)), True

    def _at(self, first: int) -> Samples:
        """A frame of what was played."""
        if not self._played:
            return _NOTHING
        frame = np.zeros(FRAME, np.float32)
        for start, samples in tuple(self._played):
            begin, end = max(first, start), min(first + FRAME, start + len(samples))
            if begin < end:
                frame[begin - first : end - first] = samples[begin - start : end - start]
        while self._played and self._played[0][0] + len(self._played[0][1]) <= first:
            self._played.popleft()
        return frame
