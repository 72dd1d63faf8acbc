"""PortAudio itself: whether it is there, what devices it finds, and a stream opened by name."""

import threading
import time
from collections.abc import Callable, Sequence
from functools import partial
from itertools import product
from typing import Any

import numpy as np
import numpy.typing as npt

from coach.audio.sample_timeline import Timeline
from coach.errors import AudioError

#: Seconds a stream may take to close.
CLOSE = 2.0


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
        raise AudioError(f"PortAudio can't look for devices: {error}", CONNECT) from error


def find(name: str | None, kind: str) -> dict[str, Any]:
    """The device of that name (whole, else a part of it), or the system's own for None."""
    sounddevice = library()
    try:
        if name is None:
            return dict(sounddevice.query_devices(kind=kind))
        able = [d for d in sounddevice.query_devices() if d[f"max_{kind}_channels"] > 0]
    except (sounddevice.PortAudioError, ValueError) as error:
        raise AudioError(f"There is no {_WORD[kind]}: {error}", CONNECT) from error
    for fits in (str.__eq__, lambda whole, part: part.lower() in whole.lower()):
        for device in able:
            if fits(device["name"], name):
                return dict(device)
    there = ", ".join(d["name"] for d in able) or "none"
    raise AudioError(f"No {_WORD[kind]} is called {name!r}.", f"There are: {there}.")


_WORD = {"output": "speaker", "input": "microphone"}
CONNECT = "Connect one, or run without sound: --no-sound"


class Permit:
    """What lets the calls of one opening touch what is shared; none of them ever waits for it.

    A call says that it is inside before it looks whether it still may be, and whoever withdraws the
    leave does so before looking whether a call is inside: so one of the two always sees the other.
    """

    def __init__(self) -> None:
        self.given = True
        self.inside = False

    def withdraw(self) -> None:
        """From now on no call goes in, and none is inside any more."""
        self.given = False
        end = time.monotonic() + CLOSE
        while self.inside and time.monotonic() < end:
            time.sleep(0.001)


class Stream:
    """What both ways share: opening, the time of the last call, and letting go.

    What the system calls takes no lock, writes no log, and waits for nobody.
    """

    kind = ""

    def __init__(self, name: str | None, rates: Sequence[int], timeline: Timeline) -> None:
        self.name = name
        self.lost = True
        self.last = 0.0
        """Monotonic second of the latest call; what a watchdog looks at."""
        self._rates = rates
        self._timeline = timeline
        self._stream: Any = None
        self._leave = Permit()
        self._closer: threading.Thread | None = None

    @property
    def stuck(self) -> bool:
        """Whether the system still has not let go of what was closed."""
        return self._closer is not None and self._closer.is_alive()

    def _start(self, make: Callable[..., Any], latency: float, most: int) -> int:
        """Open at the first rate that the device takes, and start; that rate.

        A device that does not take so few channels is given all that it has.
        """
        sounddevice = library()
        way = "output" if self.kind == "speaker" else "input"
        device = find(self.name, way)
        able = int(device[f"max_{way}_channels"])
        rates = dict.fromkeys([*self._rates, int(device["default_samplerate"])])
        why = ""
        for channels, rate in product(dict.fromkeys([min(most, able), able]), rates):
            leave = self._leave = Permit()
            try:
                self._stream = make(
                    device=device["index"],
                    samplerate=rate,
                    channels=channels,
                    dtype="float32",
                    latency=latency,
                    callback=partial(self._call, leave),
                )
                self._begin(rate)
                self._stream.start()
            except (sounddevice.PortAudioError, ValueError) as error:
                why = str(error)
                continue
            self.last = time.monotonic()
            return rate
        raise AudioError(f"The {self.kind} {device['name']!r} can't be opened: {why}", CONNECT)

    def _begin(self, rate: int) -> None:
        raise NotImplementedError

    def _call(
        self, leave: Permit, block: npt.NDArray[np.float32], frames: int, when: Any, status: Any
    ) -> None:
        leave.inside = True
        try:
            if leave.given:
                self._called(block, frames, when, status)
            elif self.kind == "speaker":
                block.fill(0)
        finally:
            leave.inside = False

    def _called(self, block: npt.NDArray[np.float32], frames: int, when: Any, status: Any) -> None:
        """A block to fill or to take; called by the system, on a thread of its own."""
        raise NotImplementedError

    def close(self) -> bool:
        """Let go of the device; False if the system didn't let us within CLOSE seconds."""
        self._leave.withdraw()
        stream, self._stream = self._stream, None
        if stream is None:
            return not self.stuck
        self._closer = threading.Thread(target=_close, args=(stream,), name="close", daemon=True)
        self._closer.start()
        self._closer.join(CLOSE)
        return not self.stuck


def _close(stream: Any) -> None:
    try:
        stream.abort(ignore_errors=True)
    finally:
        stream.close(ignore_errors=True)
