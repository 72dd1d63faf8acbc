"""A device that also writes what it plays to a WAV file: what would be heard."""

import logging
import queue
import threading
import wave
from contextlib import suppress
from pathlib import Path

import numpy as np

from coach.audio.sound_device import RATE, Capture, Device, Notify, Render, Samples
from coach.errors import CoachError

log = logging.getLogger(__name__)


def check_file(path: Path | None) -> None:
    """CoachError if a session could not be written there: before there is a session."""
    if path is not None:
        try:
            path.open("ab").close()
        except OSError as error:
            raise _refused(path, error) from error


def _refused(path: Path, error: OSError) -> CoachError:
    return CoachError(f"{path} can't be written: {error.strerror}", "Choose another --to-file.")


class ToFile:
    """Passes everything on to a device and keeps a copy of its sound, 16 bits, mono, at RATE."""

    def __init__(self, device: Device, path: Path) -> None:
        """CoachError if the file can't be written."""
        self._device, self._path = device, path
        try:
            # opened here, because a wave file that could not open its own fails once more later
            self._raw = path.open("wb")
        except OSError as error:
            raise _refused(path, error) from error
        self._file = wave.open(self._raw, "wb")  # noqa: SIM115 - open as long as the device
        self._file.setparams((1, 2, RATE, 0, "NONE", "not compressed"))
        self._blocks: queue.SimpleQueue[Samples | None] = queue.SimpleQueue()
        self._writer = threading.Thread(target=self._write, name="to-file", daemon=True)

    def start(self, render: Render, capture: Capture | None, notify: Notify) -> None:
        """Begin to play, capture and write; AudioError if the device can't."""

        def kept(n: int) -> Samples:
            block = render(n)
            self._blocks.put(block.copy())
            return block

        self._writer.start()
        self._device.start(kept, capture, notify)

    def now(self) -> float:
        """Seconds on the device's timeline."""
        return self._device.now()

    def stop(self) -> None:
        """Stop the device and finish the file; safe to call twice."""
        self._device.stop()
        if self._writer.is_alive():
            self._blocks.put(None)
            self._writer.join()
        with suppress(OSError):
            self._file.close()
        with suppress(OSError):
            self._raw.close()

    def _write(self) -> None:
        """Write blocks until told to stop; each leaves a file that can be played."""
        while (block := self._blocks.get()) is not None:
            samples = (np.clip(block, -1.0, 1.0) * 32767).astype("<i2")
            try:
                self._file.writeframes(samples.tobytes())
            except OSError as error:  # what was heard up to now stays, and the session goes on
                log.warning("%s takes no more sound: %s", self._path, error)
                return
