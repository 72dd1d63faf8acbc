"""One PortAudio stream each way: opened by name, at whatever rate the device takes."""

import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import soxr

from coach.audio.playing import Source
from coach.audio.port import RATE, Capture
from coach.audio.timeline import Stamps, Timeline
from coach.errors import AudioError

#: Seconds of sound asked of the system's buffer on the way out: enough for a busy machine, and a
#: third of the lead that sounds are scheduled with.
OUT_LATENCY = 0.1

#: Seconds asked on the way in.
IN_LATENCY = 0.05

#: A stream's times are believed once they have agreed within 3 ms for 0.1 s.
_AGREE, _SETTLE = 0.003, 0.1

#: Seconds a stream may take to begin, and to close.
BEGIN, CLOSE = 5.0, 2.0


def library() -> Any:
    """The sounddevice module; AudioError with what to install where it or PortAudio is missing."""
    try:
        import sounddevice
    except ImportError as error:
        raise AudioError(
            "The sounddevice package is not installed.", "Install it with: pip install sounddevice"
        ) from error
    except OSError as error:
        raise AudioError(
            f"The PortAudio library is missing: {error}",
            "Install it with: apt install libportaudio2   (or run without sound: --no-sound)",
        ) from error
    return sounddevice


def names(kind: str) -> list[str]:
    """Names of the devices that can play ('output') or capture ('input')."""
    found = library().query_devices()
    return [str(device["name"]) for device in found if device[f"max_{kind}_channels"] > 0]


def restart_library() -> None:
    """Have PortAudio look for devices anew; every stream must have been closed before.

    AudioError if it can't.
    """
    sounddevice = library()
    try:
        sounddevice._terminate()  # noqa: SLF001 - the library's only way to refresh its list
        sounddevice._initialize()  # noqa: SLF001
    except sounddevice.PortAudioError as error:
        raise AudioError(f"PortAudio can't look for devices: {error}", _CONNECT) from error


def find(name: str | None, kind: str) -> dict[str, Any]:
    """The device of that name (whole, else a part of it), or the system's own for None."""
    sounddevice = library()
    try:
        if name is None:
            return dict(sounddevice.query_devices(kind=kind))
        able = [d for d in sounddevice.query_devices() if d[f"max_{kind}_channels"] > 0]
    except (sounddevice.PortAudioError, ValueError) as error:
        raise AudioError(f"There is no {_WORD[kind]}: {error}", _CONNECT) from error
    for fits in (str.__eq__, lambda whole, part: part.lower() in whole.lower()):
        for device in able:
            if fits(device["name"], name):
                return dict(device)
    there = ", ".join(d["name"] for d in able) or "none"
    raise AudioError(f"No {_WORD[kind]} is called {name!r}.", f"There are: {there}.")


_WORD = {"output": "speaker", "input": "microphone"}
_CONNECT = "Connect one, or run without sound: --no-sound"


class Stream:
    """What both ways share: opening, the time of the last call, and letting go."""

    kind = ""

    def __init__(self, name: str | None, rates: Sequence[int], timeline: Timeline) -> None:
        self.name = name
        self.lost = True
        self.turn = threading.Lock()
        self.last = 0.0
        """Monotonic second of the latest call; what a watchdog looks at."""
        self._rates = rates
        self._timeline = timeline
        self._stream: Any = None
        self._generation = 0

    def _start(self, make: Callable[..., Any], latency: float, most: int) -> int:
        """Open at the first rate that the device takes, and start; that rate."""
        sounddevice = library()
        way = "output" if self.kind == "speaker" else "input"
        device = find(self.name, way)
        channels = min(most, device[f"max_{way}_channels"])
        why = ""
        generation = self._generation
        for rate in dict.fromkeys([*self._rates, int(device["default_samplerate"])]):
            try:
                self._stream = make(
                    device=device["index"],
                    samplerate=rate,
                    channels=channels,
                    dtype="float32",
                    latency=latency,
                    callback=lambda *what: self._called(generation, *what),
                )
                self._begin(rate)
                self._stream.start()
            except (sounddevice.PortAudioError, ValueError) as error:
                why = str(error)
                continue
            self.last = time.monotonic()
            return rate
        raise AudioError(f"The {self.kind} {device['name']!r} can't be opened: {why}", _CONNECT)

    def _begin(self, rate: int) -> None:
        raise NotImplementedError

    def _called(
        self, generation: int, block: npt.NDArray[np.float32], frames: int, when: Any, _: Any
    ) -> None:
        raise NotImplementedError

    def close(self) -> bool:
        """Let go of the device; False if the system didn't let us within CLOSE seconds."""
        with self.turn:
            self._generation += 1
        stream, self._stream = self._stream, None
        if stream is None:
            return True
        closer = threading.Thread(target=_close, args=(stream,), name="close", daemon=True)
        closer.start()
        closer.join(CLOSE)
        return not closer.is_alive()


def _close(stream: Any) -> None:
    try:
        stream.abort(ignore_errors=True)
    finally:
        stream.close(ignore_errors=True)


@dataclass(slots=True)
class _Agreed:
    since: float
    """Monotonic second since which the times agree."""
    leaves: float
    """When the stream's first sample left, as the system estimates."""
    called: float
    """When its first sample would have been asked for, by the promptest call."""


class SpeakerStream(Stream):
    """Plays a Source and keeps the Timeline."""

    kind = "speaker"

    def __init__(
        self, name: str | None, rates: Sequence[int], timeline: Timeline, source: Source
    ) -> None:
        super().__init__(name, rates, timeline)
        self._source = source
        self._settled = threading.Event()
        self._agreed: _Agreed | None = None
        self._lead = 0.0
        self._silent = 0
        self._hole = 0
        self._hold = 0
        self.holes = 0
        """Samples that were counted and not played."""
        self.heard_until = 0.0
        """Monotonic second at which the latest sound that was no silence was given out."""

    @property
    def playing(self) -> bool:
        """Whether the stream draws from the source, so that nobody else may."""
        return self._settled.is_set()

    def disown(self) -> None:
        """Draw no more from the source, even if the device calls again before it is closed."""
        with self.turn:
            self._generation += 1
            self._settled.clear()

    def close(self) -> bool:
        """Let go of the device; False if the system didn't let us within CLOSE seconds."""
        self.disown()
        return super().close()

    def open(self) -> None:
        """Open and start, and wait until its times are steady; AudioError if they never are."""
        self._settled.clear()
        self._start(library().OutputStream, OUT_LATENCY, 2)
        if not self._settled.wait(BEGIN):
            self.close()
            raise AudioError(f"The speaker did not begin within {BEGIN:g} s.", _CONNECT)
        self.lost = False

    def _begin(self, rate: int) -> None:
        self._source.at_rate(rate)
        self._agreed, self._silent, self._hole, self._hold = None, 0, 0, 0

    def _called(
        self, generation: int, block: npt.NDArray[np.float32], frames: int, when: Any, _: Any
    ) -> None:
        with self.turn:
            if generation != self._generation or self._stream is None:
                block.fill(0)
                return
            self.last = time.monotonic()
            if not self._settled.is_set():
                lead = self._stream.latency
                if when.outputBufferDacTime > 0:
                    lead = when.outputBufferDacTime - self._stream.time
                if not self._steady(lead, frames):
                    block.fill(0)
                    return
            block[:] = self._fill(frames)[:, None]

    def _steady(self, lead: float, frames: int) -> bool:
        """Whether the stream's times, this block `lead` seconds ahead, can be believed by now.

        From then on only the times of the calls are looked at: after a hole a sound server's own
        estimates are off by more than the hole for many seconds.
        """
        given = self._silent / self._source.rate
        leaves, called = self.last + lead - given, self.last - given
        self._silent += frames
        if self._agreed is None or abs(leaves - self._agreed.leaves) > _AGREE:
            self._agreed = _Agreed(self.last, leaves, called)
        self._agreed.called = min(called, self._agreed.called)
        if self.last - self._agreed.since < _SETTLE:
            return False
        self._lead = self._agreed.leaves - self._agreed.called
        self._timeline.rendered = float(self._source.position)
        self._hole = self._timeline.place(self._agreed.leaves + given, fresh=True)
        self._settled.set()
        return True

    def _fill(self, frames: int) -> npt.NDArray[np.float32]:
        source, timeline = self._source, self._timeline
        leaves = self.last + self._lead
        if self._hold == 0:
            hole, self._hole = self._hole or timeline.place(leaves), 0
            if hole > 0:
                source.skip(hole)
                timeline.rendered += hole
                self.holes += hole
            else:
                self._hold = round(-hole * source.rate / RATE)
        held = min(frames, self._hold)
        self._hold -= held
        samples = source.take(frames - held)
        timeline.rendered += (frames - held) * RATE / source.rate
        if samples.any():
            self.heard_until = leaves + frames / source.rate
        return np.concatenate([np.zeros(held, np.float32), samples]) if held else samples


class MicrophoneStream(Stream):
    """Passes on what it hears, with its place on the Timeline."""

    kind = "microphone"

    def __init__(
        self, name: str | None, rates: Sequence[int], timeline: Timeline, capture: Capture
    ) -> None:
        super().__init__(name, rates, timeline)
        self._capture = capture
        self._rate = RATE
        self._convert: soxr.ResampleStream | None = None
        self._owed = 0.0
        self._stamps = Stamps()

    def open(self) -> None:
        """Open and start; AudioError if it can't."""
        self._start(library().InputStream, IN_LATENCY, 1)
        self.lost = False

    def _begin(self, rate: int) -> None:
        self._rate, self._owed, self._stamps = rate, 0.0, Stamps()
        self._convert = None if rate == RATE else soxr.ResampleStream(rate, RATE, 1, "float32")

    def _called(
        self, generation: int, block: npt.NDArray[np.float32], frames: int, when: Any, _: Any
    ) -> None:
        with self.turn:
            if generation != self._generation or self._stream is None:
                return
            self.last = time.monotonic()
            expected = self._timeline.index(self.last - frames / self._rate)
            if expected is None:
                return
            heard = block[:, 0].copy()
            if self._convert is not None:
                # The converter keeps some samples back: the next ones out began that much earlier.
                expected -= round(self._owed)
                self._owed += frames * RATE / self._rate
                heard = self._convert.resample_chunk(heard)
                self._owed -= len(heard)
            if len(heard):
                self._capture(heard, self._stamps.stamp(expected, len(heard)))
