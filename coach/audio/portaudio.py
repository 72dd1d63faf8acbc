"""The real speaker and microphone, through PortAudio, on one timeline.

A device that stops calling for a second is lost: the timeline goes on in silence, so that the
session does too, and the device is opened again by its name once it is back.
"""

import logging
import threading
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

from coach.audio.coming import PATIENCE, Retry
from coach.audio.microphone import MicrophoneStream
from coach.audio.playing import SampleSource
from coach.audio.quiet import QuietStderr
from coach.audio.sample_timeline import STOPPED, Timeline
from coach.audio.sound_device import RATE, Capture, Notify, Render
from coach.audio.speaker import SpeakerStream
from coach.audio.streams import library, restart_library
from coach.clock import Clock, SystemClock
from coach.errors import AudioError
from coach.session.events import ClockJumped, DeviceLost, DeviceReturned

log = logging.getLogger(__name__)

#: Seconds between looks at the devices.
TICK = 0.05

#: Longest seconds between two looks for new devices while one of ours still works: for that it has
#: to be closed and opened again.
ANEW = 120.0

#: Seconds on the wall that nobody played, from which on the clock counts as having jumped.
JUMP = 2.0


class PortAudioDevice:
    """A Device on whatever PortAudio finds.

    `speaker` and `microphone` are names, whole or in part, None for the system's own; `log` takes
    what the C libraries print while the device runs. Other rates than RATE are converted.
    `delays` are seconds by which speakers are heard later than the system says, by name.
    """

    def __init__(
        self,
        speaker: str | None = None,
        microphone: str | None = None,
        *,
        log: Path | None = None,
        clock: Clock | None = None,
        rates: Sequence[int] = (RATE,),
        delays: Mapping[str, float] | None = None,
    ) -> None:
        self._names = (speaker, microphone)
        self._log = log
        self._clock = clock or SystemClock()
        self._rates = tuple(rates)
        self._delays = delays or {}
        self._timeline = Timeline()
        self._speaker: SpeakerStream | None = None
        self._microphone: MicrophoneStream | None = None
        self._quiet: QuietStderr | None = None
        self._notify: Notify = lambda _: None
        self._stop = threading.Event()
        self._watcher: threading.Thread | None = None
        self._reviver: threading.Thread | None = None
        self._retry, self._anew = Retry(), Retry(ANEW)

    def start(self, render: Render, capture: Capture | None, notify: Notify) -> None:
        """Begin to play and to capture; AudioError if the speaker can't be opened.

        A microphone that can't is told as lost, and tried again like any that goes away.
        """
        self._notify = notify
        if self._log is not None:
            self._quiet = QuietStderr(self._log)
            self._quiet.__enter__()
        try:
            library()
            self._speaker = SpeakerStream(
                self._names[0], self._rates, self._timeline, SampleSource(render), self._delays
            )
            # the timeline runs from here on: what is said first is waited for meanwhile
            self._speaker.open()
            if capture is not None:
                self._microphone = MicrophoneStream(
                    self._names[1], self._rates, self._timeline, capture
                )
                try:
                    self._microphone.open()
                except AudioError as error:
                    notify(DeviceLost(0.0, "microphone", str(error)))
        except BaseException:
            self.stop()
            raise
        self._stop.clear()
        self._watcher = threading.Thread(target=self._watch, name="devices", daemon=True)
        self._watcher.start()

    def now(self) -> float:
        """Seconds on the timeline: what leaves the speaker now."""
        return self._timeline.now(time.monotonic())

    @property
    def holes(self) -> float:
        """Seconds that were counted and not played, because the machine was too busy."""
        return 0.0 if self._speaker is None else self._speaker.holes / RATE

    def stop(self) -> None:
        """Stop and let go of the hardware; safe to call twice."""
        self._stop.set()
        for thread in (self._watcher, self._reviver):
            if thread is not None:
                thread.join(timeout=PATIENCE)
        self._watcher = self._reviver = None
        for stream in (self._microphone, self._speaker):
            if stream is not None:
                stream.close()
                stream.lost = True
        if self._quiet is not None:
            self._quiet.__exit__()
            self._quiet = None

    def _streams(self) -> list[SpeakerStream | MicrophoneStream]:
        return [stream for stream in (self._speaker, self._microphone) if stream is not None]

    def _watch(self) -> None:
        """Look after the streams until told to stop."""
        latest = time.monotonic()
        gap = self._clock.monotonic() - self.now()
        while not self._stop.wait(TICK):
            clock = time.monotonic()
            if clock - latest > STOPPED:
                # The whole process stood still: a stream is only lost if it stays silent now.
                for stream in self._streams():
                    stream.last = clock
                if self._speaker is not None and self._speaker.lost:
                    self._timeline.forgive(clock - latest - TICK)
            latest = clock
            for stream in self._streams():
                if not stream.lost and clock - stream.last > PATIENCE:
                    self._lose(stream, f"It gave no sign for {PATIENCE:g} s.")
                    self._retry.begin(clock + TICK)
                    self._anew.begin(clock + TICK)
            if any(stream.lost for stream in self._streams()):
                if self._speaker is not None:
                    self._speaker.pass_unheard(clock + TICK)
                if not self._reviving() and self._retry.due(clock):
                    self._reviver = threading.Thread(
                        target=self._revive, name="revive", daemon=True
                    )
                    self._reviver.start()
            gap = self._jumped(gap)

    def _jumped(self, gap: float) -> float:
        """Tell of seconds on the wall that nobody played; the gap to compare with next time."""
        seen = self._clock.monotonic() - self.now()
        if seen - gap > JUMP:
            self._notify(ClockJumped(self.now(), seen - gap))
            return seen
        return gap + 0.01 * (seen - gap)

    def _lose(self, stream: SpeakerStream | MicrophoneStream, why: str) -> None:
        stream.lost = True
        if isinstance(stream, SpeakerStream):
            stream.disown()
        self._notify(DeviceLost(self.now(), stream.kind, why))

    def _reviving(self) -> bool:
        return self._reviver is not None and self._reviver.is_alive()

    def _revive(self) -> None:
        """Try to open what is lost; look for devices anew if that fails and nothing sounds."""
        if not self._close([stream for stream in self._streams() if stream.lost]):
            return
        if self._open_lost():
            return
        speaker = self._speaker
        silent = speaker is None or speaker.lost or speaker.heard_until + 1 < time.monotonic()
        if not silent or self._stop.is_set():
            return
        well = [stream for stream in self._streams() if not stream.lost]
        if well and not self._anew.due(time.monotonic()):
            return
        for stream in well:
            stream.lost = True
        if not self._close(well):
            return
        try:
            restart_library()
        except AudioError as error:
            log.warning("%s", error)
        self._open_lost(well)

    def _close(self, streams: Sequence[SpeakerStream | MicrophoneStream]) -> bool:
        """Close them; False while the system doesn't let us: then nothing is opened either."""
        stuck = [stream for stream in streams if not stream.close()]
        for stream in stuck:
            log.error("the %s can't be closed yet", stream.kind)
        return not stuck

    def _open_lost(self, well: Sequence[object] = ()) -> bool:
        """Open each lost stream and tell of changes; those in `well` were closed by ourselves."""
        for stream in self._streams():
            if stream.lost and not self._stop.is_set():
                try:
                    stream.open()
                except AudioError as error:
                    log.info("%s still lost: %s", stream.kind, error)
                    if stream in well:
                        self._notify(DeviceLost(self.now(), stream.kind, str(error)))
                    continue
                if stream not in well:
                    self._notify(DeviceReturned(self.now(), stream.kind))
        return not any(stream.lost for stream in self._streams())
