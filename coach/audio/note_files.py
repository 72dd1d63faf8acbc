"""Spoken notes: what the microphone hears between two tones, as a file of its own, and back.

A `NoteTaker` holds no sound but while a note is being kept; nothing else from the microphone is
ever stored. Notes are WAV files, 16 bits, mono, at RATE.
"""

import threading
import wave
from collections.abc import Callable
from pathlib import Path

import numpy as np

from coach.audio.sound_device import RATE, Samples
from coach.session.effects import KeepNote
from coach.session.events import NoteKept

#: Seconds of quiet that end a note, and that may pass before its first word.
QUIET = 1.5
FIRST = 4.0
#: A block counts as quiet when it is this much weaker than the loudest so far (-20 dB). In a noise
#: that is louder than that nothing is quiet, and the note ends by its length.
FAINT = 0.1
#: RMS below which nothing is speech (-60 dB re full scale).
FLOOR = 0.001

Done = Callable[[NoteKept], None]


class NoteTaker:
    """Keeps one note at a time; `feed` is called by whoever captures."""

    def __init__(
        self, folder: Path, done: Done, aside: Callable[[Callable[[], None]], None]
    ) -> None:
        """`aside` has a file written where `feed` must not wait for it."""
        self._folder = folder
        self._done = done
        self._aside = aside
        self._lock = threading.Lock()
        self._note: KeepNote | None = None
        self._blocks: list[Samples] = []
        self._kept = 0
        self._loudest = 0.0
        self._quiet = 0

    def begin(self, note: KeepNote) -> None:
        """Keep what comes from note.at on; a note that is being kept ends."""
        self.end("ended")
        with self._lock:
            self._note, self._blocks = note, []
            self._kept, self._loudest, self._quiet = 0, 0.0, 0

    def feed(self, samples: Samples, first: int) -> None:
        """Take a block of the microphone, whose first sample has this index."""
        with self._lock:
            note = self._note
            if note is None:
                return
            block = samples[max(round(note.at * RATE) - first, 0) :]
            if not len(block):
                return
            block = block[: round(note.most * RATE) - self._kept].copy()
            self._blocks.append(block)
            self._kept += len(block)
            why = self._why(note, block)
            if why:
                self._note = None
        if why:
            self._aside(lambda: self._write(note, why))

    def _why(self, note: KeepNote, block: Samples) -> str:
        """Why the note ends here, '' where it goes on."""
        if self._kept >= round(note.most * RATE):
            return "full"
        rms = float(np.sqrt(np.mean(np.square(block, dtype=np.float64))))
        self._loudest = max(self._loudest, rms)
        self._quiet = 0 if rms > max(self._loudest * FAINT, FLOOR) else self._quiet + len(block)
        patience = QUIET if self._loudest > FLOOR else FIRST
        return "silence" if self._quiet >= patience * RATE else ""

    def end(self, why: str) -> None:
        """Write what there is; nothing where no note is being kept. From any thread."""
        with self._lock:
            note, self._note = self._note, None
        if note is not None:
            self._write(note, why)

    def _write(self, note: KeepNote, why: str) -> None:
        with self._lock:
            blocks, self._blocks = self._blocks, []
            spoken = self._loudest > FLOOR
            at = note.at + self._kept / RATE
        seconds = 0.0
        if spoken:
            try:
                seconds = save(self._folder, note.name, np.concatenate(blocks))
            except OSError:
                why = "disk"
        self._done(NoteKept(at, note.name, seconds, why))


def path_of(folder: Path, name: str) -> Path:
    """Where a note is."""
    return folder / f"{name}.wav"


def list_notes(folder: Path) -> list[str]:
    """The names of all notes, the earliest first."""
    return sorted(path.stem for path in folder.glob("*.wav"))


def save(folder: Path, name: str, samples: Samples) -> float:
    """Write a note, whole or not at all; its seconds. OSError where it can't be written."""
    folder.mkdir(parents=True, exist_ok=True)
    path, part = path_of(folder, name), folder / f"{name}.part"
    try:
        with part.open("wb") as raw, wave.open(raw, "wb") as file:
            file.setparams((1, 2, RATE, 0, "NONE", "not compressed"))
            file.writeframes((np.clip(samples, -1.0, 1.0) * 32767).astype("<i2").tobytes())
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
    return len(samples) / RATE


def load(folder: Path, name: str) -> Samples:
    """A note's samples; none where there is no such note any more, or where it is damaged."""
    try:
        with wave.open(str(path_of(folder, name)), "rb") as file:
            raw = file.readframes(file.getnframes())
    except (OSError, EOFError, wave.Error):
        return np.zeros(0, np.float32)
    samples = np.frombuffer(raw[: len(raw) // 2 * 2], "<i2").astype(np.float32)
    return samples / np.float32(32767)
