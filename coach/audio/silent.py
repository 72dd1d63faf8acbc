"""A device without sound: time passes as if it played, for keys alone."""

import threading

from coach.audio.sound_device import RATE, Capture, Notify, Render
from coach.clock import Clock, SystemClock
from coach.session.events import ClockJumped

#: Seconds rendered at a time.
STEP = 0.02
#: A wait that took this much longer than asked means that the machine slept.
JUMP = 2.0


class SilentDevice:
    """A Device whose speaker is nobody's and whose microphone does not exist."""

    def __init__(self, clock: Clock | None = None) -> None:
        self._clock = clock or SystemClock()
        self._stopped = threading.Event()
        self._thread: threading.Thread | None = None
        self._began = 0.0
        self._position = 0

    def start(self, render: Render, capture: Capture | None, notify: Notify) -> None:
        """Let time pass on a thread of its own."""
        self._began = self._clock.monotonic()
        self._thread = threading.Thread(
            target=self._pass_time, args=(render, notify), name="silence", daemon=True
        )
        self._thread.start()

    def now(self) -> float:
        """Seconds on the timeline."""
        return self._position / RATE

    def stop(self) -> None:
        """Let time stand; safe to call twice."""
        self._stopped.set()
        thread, self._thread = self._thread, None
        if thread is not None and thread is not threading.current_thread():
            thread.join(timeout=2.0)

    def _pass_time(self, render: Render, notify: Notify) -> None:
        while not self._stopped.wait(STEP):
            due = self._clock.monotonic() - self._began - self._position / RATE
            if due > JUMP:
                self._began += due
                notify(ClockJumped(self.now(), due))
                continue
            while due >= STEP:
                render(round(STEP * RATE))
                self._position += round(STEP * RATE)
                due -= STEP
