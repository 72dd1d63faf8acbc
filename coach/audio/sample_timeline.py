"""Keeps the samples that were played in step with the machine's clock.

The session's time is samples played, and every journalled second must be where it says in a
recording of the room. A block that comes late tears a hole; here the hole is measured, and counted
as played. Pure arithmetic on times that are handed in.
"""

from collections import deque

from coach.audio.sound_device import RATE

#: Seconds by which blocks may be off without anything being done.
JITTER = 0.012

#: Seconds of blocks that are looked at together. A busy machine asks for single blocks late, but
#: after a hole every block is late: only what the earliest of them is off by is a hole.
WINDOW = 0.5

#: Seconds that the microphone's blocks may be off before their count is mended.
GAP = 0.03

#: Holes longer than this (seconds) are no hole: the machine slept or the process was stopped.
STOPPED = 1.5

#: Most that a sound card's clock is off: small differences are followed no faster than this, so
#: that small holes add up until they are believed instead of being taken for a slow card.
FOLLOW = 2e-4


class Timeline:
    """Samples given to the speaker, and when each one leaves it on the monotonic clock."""

    def __init__(self) -> None:
        self.rendered = 0.0
        """Samples given so far; a device at another rate gives fractions."""
        self.anchor: float | None = None
        """Monotonic second at which sample 0 left, or would have; None before the first block."""
        self._seen: deque[tuple[float, float]] = deque()
        self._latest = 0.0

    def now(self, clock: float) -> float:
        """Seconds on the timeline at monotonic second `clock`: never more than was given."""
        if self.anchor is not None:
            self._latest = max(self._latest, min(clock - self.anchor, self.rendered / RATE))
        return self._latest

    def index(self, clock: float) -> int | None:
        """The sample that leaves at `clock`, past or to come; None before the first block."""
        return None if self.anchor is None else round((clock - self.anchor) * RATE)

    def place(self, leaves: float, *, fresh: bool = False) -> int:
        """The next block leaves the speaker at monotonic second `leaves`, or a little before.

        Returns the samples to count as played without playing them (above 0), or the silence to
        play without counting it (below 0); 0 nearly always. `fresh` says that the stream was just
        opened, so there is nothing to wait for.
        """
        offset = leaves - self.rendered / RATE
        if self.anchor is None:
            self.anchor = offset
            return 0
        off = offset - self.anchor
        if abs(off) > STOPPED:
            self.anchor = offset
            self._seen.clear()
            return 0
        if fresh:
            self._seen.clear()
            return round(off * RATE)
        return self._believed(leaves, off)

    def _believed(self, leaves: float, off: float) -> int:
        """The hole that all blocks of the window agree on; a small one is only followed."""
        seen = self._seen
        elapsed = leaves - seen[-1][0] if seen else 0.0
        seen.append((leaves, off))
        while seen[0][0] < leaves - WINDOW:
            seen.popleft()
        if leaves - seen[0][0] < 0.8 * WINDOW:
            return 0
        least, most = min(off for _, off in seen), max(off for _, off in seen)
        if least > JITTER or most < -JITTER:
            seen.clear()
            return round((least if least > 0 else most) * RATE)
        assert self.anchor is not None
        step = FOLLOW * max(0.0, elapsed)
        self.anchor += min(step, max(-step, least))
        return 0

    def forgive(self, seconds: float) -> None:
        """Don't count these seconds: nobody played in them."""
        if self.anchor is not None:
            self.anchor += seconds


class Stamps:
    """Gives the microphone's blocks unbroken indices, and mends them after a gap."""

    def __init__(self) -> None:
        self._next: int | None = None
        self._seen: deque[tuple[int, int]] = deque()

    def stamp(self, expected: int, n: int) -> int:
        """Index for a block of n samples that by the clock begins at `expected` or earlier."""
        if self._next is None:
            self._next = expected
        off = expected - self._next
        if abs(off) > STOPPED * RATE:
            self._next, off = expected, 0
            self._seen.clear()
        self._seen.append((expected, off))
        while self._seen[0][0] < expected - WINDOW * RATE:
            self._seen.popleft()
        if expected - self._seen[0][0] >= 0.8 * WINDOW * RATE:
            # No block arrives before it was heard, so the promptest is the nearest to the truth.
            least = min(off for _, off in self._seen)
            if abs(least) > GAP * RATE:
                self._next += least
                self._seen.clear()
        first = self._next
        self._next += n
        return first
