"""Keeps the samples that were played in step with the machine's clock.

The session's time is samples played, and every journalled second must be where it says in a
recording of the room. A block that comes late tears a hole; here the hole is measured, and counted
as played. Pure arithmetic on times that are handed in.
"""

from coach.audio.port import RATE

#: Seconds by which a block may seem off without anything being done.
JITTER = 0.02

#: Blocks in a row that must be off before a hole is believed.
BELIEVED = 3

#: Holes longer than this (seconds) are no hole: the machine slept or the process was stopped.
STOPPED = 1.5

#: Share of a small difference that is taken up each block: follows a sound card whose clock is off
#: by some parts in 10,000, and smooths what the system's estimates jitter.
FOLLOW = 0.02


class Timeline:
    """Samples given to the speaker, and when each one leaves it on the monotonic clock."""

    def __init__(self) -> None:
        self.rendered = 0.0
        """Samples given so far; a device at another rate gives fractions."""
        self.anchor: float | None = None
        """Monotonic second at which sample 0 left, or would have; None before the first block."""
        self._off = 0
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
        """The next block leaves the speaker at monotonic second `leaves`.

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
            self.anchor, self._off = offset, 0
            return 0
        if abs(off) < JITTER and not fresh:
            self.anchor += FOLLOW * off
            self._off = 0
            return 0
        self._off += 1
        if self._off < BELIEVED and not fresh:
            return 0
        self._off = 0
        return round(off * RATE)

    def forgive(self, seconds: float) -> None:
        """Don't count these seconds: nobody played in them."""
        if self.anchor is not None:
            self.anchor += seconds


class Stamps:
    """Gives the microphone's blocks unbroken indices, and mends them after a gap."""

    def __init__(self) -> None:
        self._next: int | None = None
        self._off = 0

    def stamp(self, expected: int, n: int) -> int:
        """Index for a block of n samples that by the clock begins at `expected`."""
        if self._next is not None and abs(expected - self._next) > JITTER * RATE:
            self._off += 1
        else:
            self._off = 0
        if self._next is None or self._off >= BELIEVED:
            self._next, self._off = expected, 0
        first = self._next
        self._next += n
        return first
