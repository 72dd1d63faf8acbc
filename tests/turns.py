"""Whose turn it is where several processes run the tests: many at once, or one alone.

A test in real time is measured in milliseconds: beside another that computes it would tell how
busy the machine is.
"""

import fcntl
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class Turns:
    """Turns among the processes that share a folder."""

    def __init__(self, folder: Path) -> None:
        self._door = (folder / "door").open("w")
        self._room = (folder / "room").open("w")

    @contextmanager
    def turn(self, *, alone: bool) -> Iterator[None]:
        """Wait for a turn and have it while entered.

        Who waits to be alone stands in the door, so that nobody else comes in before.
        """
        fcntl.flock(self._door, fcntl.LOCK_EX)
        fcntl.flock(self._room, fcntl.LOCK_EX if alone else fcntl.LOCK_SH)
        fcntl.flock(self._door, fcntl.LOCK_UN)
        try:
            yield
        finally:
            fcntl.flock(self._room, fcntl.LOCK_UN)

    def close(self) -> None:
        """Give up every turn."""
        self._door.close()
        self._room.close()
