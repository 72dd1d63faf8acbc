"""Ways to leave a running session: Ctrl-C, a closed terminal, a log-out, a polite kill.

All end alike: at its next wait the session stops, and what was announced stays on the record.
"""

import os
import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

#: SIGINT also where the parent has it ignored, as shells do for what they run in the background.
_ALWAYS = ("SIGINT", "SIGTERM")
#: A closed terminal. Who started us by nohup, away from any terminal, asked that it be ignored;
#: on a terminal nothing could be read or shown any more once it is gone.
_UNLESS_AWAY = ("SIGHUP",)


class Leave:
    """What a signal asks for: handed on once there is somebody to take it.

    Until then the first one is remembered, and a second one interrupts what hangs; afterwards any
    number of them is one.
    """

    def __init__(self) -> None:
        self._to: Callable[[], None] | None = None
        self.asked = 0
        """How often it was asked for."""

    def to(self, leave: Callable[[], None]) -> None:
        """Hand on from now on, and at once what was asked for before."""
        self._to = leave
        if self.asked:
            leave()

    def __call__(self) -> None:
        """It is asked for: from a signal's handler."""
        self.asked += 1
        if self._to is not None:
            self._to()
        elif self.asked > 1:
            raise KeyboardInterrupt


@contextmanager
def leaving(leave: Leave) -> Iterator[None]:
    """Call `leave` for each of the signals while entered; does nothing outside the main thread.

    Once it was asked for the process is on its way out, and nothing interrupts its last words.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def left(number: int, frame: FrameType | None) -> None:
        leave()

    before = {}
    for name in (*_ALWAYS, *_UNLESS_AWAY):
        number = getattr(signal, name, None)  # not every system has all of them
        if number is None:
            continue
        away = signal.getsignal(number) is signal.SIG_IGN and not os.isatty(0)
        if name in _ALWAYS or not away:
            before[number] = signal.signal(number, left)
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler if not leave.asked else signal.SIG_IGN)
