"""The stage in real time: the device plays on its own thread, the listener has another."""

import logging
import queue
import threading
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from coach.audio.sound_device import RATE, Device, Samples
from coach.model.messages import Message
from coach.model.voice_profile import seconds
from coach.runtime.stage import Echo, Speaker, StageCore, StageListener
from coach.session.effects import Tone
from coach.session.events import DeviceLost, DeviceReturned, Event

log = logging.getLogger(__name__)

#: Blocks of the microphone that may wait for the ear; beyond them (seconds of sound) new ones are
#: not heard until it has caught up.
BACKLOG = 400

#: Seconds that an ear which failed is left alone; doubled each time, up to the last.
EAR_RESTS, EAR_RESTS_MOST = 2.0, 60.0

#: Longest single wait in seconds, so that a jump of the timeline is noticed.
NAP = 0.25


class Left(Exception):
    """The person left the session: with Ctrl-C, or by closing the terminal."""


class Stage(StageCore):
    """What one session plays and hears on a device; any thread may carry out and post."""

    def __init__(
        self,
        device: Device,
        voice: Speaker | None,
        tones: dict[Tone, Samples],
        words: Callable[[Message], str],
        listener: StageListener | None,
        silent_seconds: Callable[[str], float] = seconds,
        notes: Path | None = None,
        echo: Echo | None = None,
    ) -> None:
        super().__init__(device, voice, tones, words, listener, silent_seconds, notes, echo)
        self._calls: queue.SimpleQueue[Callable[[StageListener], None] | None] = queue.SimpleQueue()
        self._ear: threading.Thread | None = None
        self._left = False
        self._behind = False
        self._failed = False
        self._ear_rests_until = 0.0

    def start(self) -> None:
        """Begin to play and listen; AudioError if the device can't."""
        if self._listener is not None:
            self._ear = threading.Thread(
                target=self._listen, args=(self._listener,), name="ear", daemon=True
            )
            self._ear.start()
        super().start()

    def stop(self) -> None:
        """Stop and let go of the device; safe to call twice."""
        super().stop()
        ear, self._ear = self._ear, None
        if ear is not None:
            self._calls.put(None)
            ear.join(timeout=2.0)

    def leave(self) -> None:
        """Let whoever waits have Left; from any thread, and from a signal's handler."""
        self._left = True
        self._posted.put(None)

    def wait(self, until: float | None = None) -> Event | None:
        """The next event as soon as it is due; None once the timeline has reached `until`.

        Left, from then on, once `leave` was called.
        """
        while True:
            if self._left:
                raise Left
            now = self.now()
            event = self._due(now)
            if event is not None:
                break
            if until is not None and now >= until:
                return None
            times = [t for t in (until, self._inbox.next_at()) if t is not None]
            self.tell_late()
            with suppress(queue.Empty):
                self._take_in(
                    self._posted.get(timeout=min([NAP, *(max(0.001, t - now) for t in times)]))
                )
        for watcher in self._watchers:
            watcher(event)
        return event

    def _aside(self, job: Callable[[], None]) -> None:
        threading.Thread(target=job, name="note").start()

    def _tell(self, call: Callable[[StageListener], None]) -> None:
        if self._listener is not None:
            self._calls.put(call)

    def _captured(self, samples: Samples, first: int) -> None:
        waiting = self._calls.qsize()
        if waiting < BACKLOG:
            super()._captured(samples, first)
        if (waiting >= BACKLOG) if not self._behind else (waiting == 0):
            self._behind = not self._behind
            now = first / RATE
            lost = DeviceLost(now, "recogniser", "It does not keep up.")
            self.post(lost if self._behind else DeviceReturned(now, "recogniser"))

    def _hear(self, samples: Samples, first: int) -> None:
        if first / RATE >= self._ear_rests_until:
            self._tell(lambda ear: self._fed(ear, samples, first))

    def _fed(self, ear: StageListener, samples: Samples, first: int) -> None:
        events = self._feed(ear, samples, first)
        if self._failed:
            self._failed = False
            self.post(DeviceReturned(first / RATE, "recogniser"))
        self._heard(events)

    def _listen(self, listener: StageListener) -> None:
        """What the ear does; where it fails, it hears nothing for a while and is used again."""
        rest = EAR_RESTS
        while (call := self._calls.get()) is not None:
            try:
                call(listener)
            except Exception as error:
                log.exception("the listener failed")
                now = self.now()
                self._failed, self._ear_rests_until = True, now + rest
                rest = min(2 * rest, EAR_RESTS_MOST)
                self.post(DeviceLost(now, "recogniser", f"{type(error).__name__}: {error}"))
