"""What a sound device is to the rest of the program."""

from collections.abc import Callable
from typing import Protocol

import numpy as np
import numpy.typing as npt

from coach.session.events import Event

#: Samples a second on the session's timeline, both ways.
RATE = 48_000

Samples = npt.NDArray[np.float32]
"""Mono, -1 to 1."""

Render = Callable[[int], Samples]
"""Give the next n samples to play. Called in order; never blocks, allocates little."""

Capture = Callable[[Samples, int], None]
"""Take a block of the microphone; the int is the timeline index of its first sample."""

Notify = Callable[[Event], None]
"""Take a DeviceLost, DeviceReturned or ClockJumped; called from any thread."""


class Device(Protocol):
    """A speaker and a microphone on one timeline: the samples played so far."""

    def start(self, render: Render, capture: Capture | None, notify: Notify) -> None:
        """Begin to play and to capture; AudioError if it can't."""

    def now(self) -> float:
        """Seconds on the timeline: the sample that leaves the speaker now, divided by RATE."""

    def stop(self) -> None:
        """Stop and let go of the hardware; safe to call twice."""
