"""A PulseAudio server of our own, with a speaker and a microphone that nobody can hear.

The speaker is a null sink whose monitor is recorded; the microphone is the monitor of another null
sink, into which tests play. ALSA is pointed at it, so that PortAudio finds it as 'default'.
"""

import contextlib
import os
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from types import TracebackType

import numpy as np
import pytest

from coach.audio.sound_device import RATE, Samples
from coach.audio.streams import restart_library

PROGRAMS = ("pulseaudio", "parec", "pacat", "pactl")

_ALSA = """
pcm.pulse { type pulse hint { show on description "PulseAudio" } }
ctl.pulse { type pulse }
pcm.!default { type pulse }
ctl.!default { type pulse }
"""


class Pulse:
    """The server; a context manager that also sets the environment of this process for it."""

    def __init__(self) -> None:
        missing = [name for name in PROGRAMS if shutil.which(name) is None]
        if missing:
            raise RuntimeError(
                f"not installed: {', '.join(missing)} (apt install pulseaudio pulseaudio-utils)"
            )
        self._folder = Path(tempfile.mkdtemp(prefix="pulse-"))
        self.environment = {
            "HOME": str(self._folder),
            "XDG_RUNTIME_DIR": str(self._folder),
            "PULSE_RUNTIME_PATH": str(self._folder),
            "PULSE_SERVER": f"unix:{self._folder}/socket",
            "PULSE_SINK": "speaker",
            "PULSE_SOURCE": "microphone.monitor",
            "ALSA_CONFIG_PATH": str(self._folder / "asound.conf"),
        }
        self._before: dict[str, str | None] = {}
        self._server: subprocess.Popen[bytes] | None = None
        self._awake: list[subprocess.Popen[bytes]] = []

    def __enter__(self) -> "Pulse":
        """Start it, and point PortAudio's next look for devices at it."""
        (self._folder / "asound.conf").write_text(_ALSA)
        self._before = {name: os.environ.get(name) for name in self.environment}
        os.environ.update(self.environment)
        self.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Stop it and put the environment back."""
        self.stop()
        for name, value in self._before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value
        shutil.rmtree(self._folder, ignore_errors=True)

    def start(self) -> None:
        """Start the server; RuntimeError with its last words if it doesn't come up."""
        (self._folder / "socket").unlink(missing_ok=True)
        environment = {**os.environ, "PULSE_SERVER": ""}
        del environment["PULSE_SERVER"]
        modules = (
            f"module-native-protocol-unix socket={self._folder}/socket auth-anonymous=1",
            f"module-null-sink sink_name=speaker rate={RATE} channels=1",
            f"module-null-sink sink_name=microphone rate={RATE} channels=1",
        )
        with (self._folder / "server.log").open("ab") as log:
            self._server = subprocess.Popen(
                [
                    *("pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1"),
                    *("--use-pid-file=no", "--disable-shm=yes"),
                    *(part for module in modules for part in ("-L", module)),
                ],
                env=environment,
                stdout=log,
                stderr=log,
            )
        for _ in range(100):
            time.sleep(0.05)
            done = subprocess.run(["pactl", "list", "short", "sinks"], capture_output=True)
            if b"microphone" in done.stdout:
                # A null sink that nobody plays to works in pieces of two seconds, unlike any
                # sound card; an unbroken silence keeps it at short ones.
                self._awake = [play_zeros(sink) for sink in ("speaker", "microphone")]
                time.sleep(2.0)
                return
        raise RuntimeError((self._folder / "server.log").read_text()[-2000:])

    def stop(self) -> None:
        """End the server."""
        for player in self._awake:
            player.kill()
            player.wait()
        self._awake = []
        if self._server is not None:
            self._server.terminate()
            try:
                self._server.wait(timeout=5)
            except subprocess.TimeoutExpired:
                self._server.kill()
                self._server.wait()
            self._server = None

    def freeze(self, seconds: float) -> None:
        """Stop the server's clock for a while, as a driver that hangs would."""
        assert self._server is not None
        self._server.send_signal(signal.SIGSTOP)
        time.sleep(seconds)
        self._server.send_signal(signal.SIGCONT)

    def choose(self, sink: str, source: str) -> None:
        """Make these the default devices."""
        subprocess.run(["pactl", "set-default-sink", sink], check=True)
        subprocess.run(["pactl", "set-default-source", source], check=True)

    @contextlib.contextmanager
    def unplugged(self, name: str) -> Iterator[None]:
        """Without one of the two devices while entered, as if it were pulled out."""
        listed = subprocess.run(
            ["pactl", "list", "short", "modules"], capture_output=True, check=True, text=True
        ).stdout
        (number,) = [
            line.split()[0] for line in listed.splitlines() if f"sink_name={name} " in line
        ]
        subprocess.run(["pactl", "unload-module", number], check=True)
        try:
            yield
        finally:
            module = ["module-null-sink", f"sink_name={name}", f"rate={RATE}", "channels=1"]
            plugged = ["pactl", "load-module", *module]
            subprocess.run(plugged, check=True, stdout=subprocess.DEVNULL)
            self._awake.append(play_zeros(name))

    @contextlib.contextmanager
    def recording(self) -> Iterator["Recording"]:
        """Record what the speaker plays while entered."""
        recording = Recording(self._folder / "heard.raw")
        try:
            yield recording
        finally:
            recording.stop()

    def say(self, samples: Samples) -> "subprocess.Popen[bytes]":
        """Begin to play samples (at RATE) into the microphone; the process that does."""
        path = self._folder / f"said-{time.monotonic_ns()}.raw"
        path.write_bytes(samples.astype("<f4").tobytes())
        with path.open("rb") as file:
            return subprocess.Popen(
                [
                    *("pacat", "-d", "microphone", "--raw", "--format=float32le"),
                    *(f"--rate={RATE}", "--channels=1", "--latency-msec=30"),
                ],
                stdin=file,
            )


def play_zeros(sink: str) -> "subprocess.Popen[bytes]":
    """Play silence without end."""
    with Path("/dev/zero").open("rb") as zeros:
        return subprocess.Popen(
            [
                *("pacat", "-d", sink, "--raw", "--format=s16le"),
                *(f"--rate={RATE}", "--channels=1", "--latency-msec=20"),
            ],
            stdin=zeros,
            stderr=subprocess.DEVNULL,
        )


class Recording:
    """What left the speaker."""

    def __init__(self, path: Path) -> None:
        self._path = path
        with path.open("wb") as file:
            self._process = subprocess.Popen(
                [
                    *("parec", "-d", "speaker.monitor", "--raw", "--format=float32le"),
                    *(f"--rate={RATE}", "--channels=1", "--latency-msec=20"),
                ],
                stdout=file,
            )
        for _ in range(100):
            time.sleep(0.02)
            if path.stat().st_size:
                return
        raise RuntimeError("parec recorded nothing")

    def stop(self) -> None:
        """End the recording; safe to call twice."""
        time.sleep(0.3)
        self._process.terminate()
        self._process.wait()

    def samples(self) -> Samples:
        """All that was recorded so far."""
        data = self._path.read_bytes()
        return np.frombuffer(data[: len(data) // 4 * 4], "<f4")


@pytest.fixture(scope="session")
def pulse() -> Iterator[Pulse]:
    """A server for the whole run, which PortAudio has found."""
    with Pulse() as server:
        restart_library()
        yield server
