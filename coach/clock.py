"""The one clock object. Nothing in the pure packages imports it; tests pass a FakeClock."""

import time
from datetime import UTC, datetime
from typing import Protocol


class Clock(Protocol):
    """Monotonic seconds for intervals, wall time for the record."""

    def monotonic(self) -> float:
        """Seconds since some fixed instant; never goes back."""

    def wall(self) -> datetime:
        """The time of day, with its zone."""


class SystemClock:
    """The machine's clock: CLOCK_BOOTTIME where there is one, which counts while it sleeps."""

    def __init__(self) -> None:
        self._id = getattr(time, "CLOCK_BOOTTIME", time.CLOCK_MONOTONIC)

    def monotonic(self) -> float:
        """Seconds since boot, sleep included where the system can tell."""
        return time.clock_gettime(self._id)

    def wall(self) -> datetime:
        """Now, in the local zone."""
        return datetime.now(UTC).astimezone()


class FakeClock:
    """A clock that moves only when told."""

    def __init__(self, wall: datetime | None = None) -> None:
        self._now = 0.0
        self._wall = wall or datetime(2026, 3, 3, 18, 0, tzinfo=UTC)

    def monotonic(self) -> float:
        """Seconds advanced so far."""
        return self._now

    def wall(self) -> datetime:
        """The start time plus what was advanced."""
        from datetime import timedelta

        return self._wall + timedelta(seconds=self._now)

    def advance(self, seconds: float) -> None:
        """Move forward; ValueError for a negative number."""
        if seconds < 0:
            raise ValueError(f"a clock can't go back by {-seconds} s")
        self._now += seconds
