"""Where takes come from that are taught: the microphone, or WAV files."""

import queue
import wave
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
import soxr

from coach.audio.sound_device import RATE, Samples
from coach.cli import diagnostics
from coach.errors import AudioError, UsageError
from coach.files.paths import Paths
from coach.hearing.listener import clean
from coach.hearing.rate import Downsampler
from coach.hearing.recogniser_port import HEARING_RATE, Spoken
from coach.hearing.teaching import Cutter, takes_in
from coach.session.events import DeviceLost

#: Seconds in which a take has to be said, and how often one is asked for again.
PATIENCE, AGAIN = 8.0, 3


def spoken_of(
    phrases: Sequence[str], takes: int, fewest: int, folder: Path | None, known: Paths
) -> Iterator[list[Spoken]]:
    """The takes of each phrase in turn: so many from the microphone, or those of the files.

    UsageError where a folder has fewer than `fewest`, AudioError where nothing is heard.
    """
    if folder is None:
        yield from _said(phrases, takes, known)
        return
    for phrase in phrases:
        inside = folder / phrase
        if not inside.is_dir() and len(phrases) > 1:
            raise UsageError(f"{inside}: there is no such folder", "One folder for each phrase.")
        files = sorted((inside if inside.is_dir() else folder).glob("*.wav"))
        found = [spoken for file in files for spoken in takes_in(_wav(file))[:1]]
        if len(found) < fewest:
            raise UsageError(
                f"{inside if inside.is_dir() else folder}: {len(found)} takes of {phrase!r} "
                f"in {len(files)} WAV files",
                f"At least {fewest} are needed, with one phrase in each.",
            )
        yield found


def _wav(path: Path) -> Samples:
    """A WAV file at the rate of hearing, mono; UsageError where it is none."""
    try:
        with wave.open(str(path), "rb") as file:
            if file.getsampwidth() != 2:
                raise UsageError(f"{path}: not 16 bits a sample", "Save it as 16-bit WAV.")
            raw = file.readframes(file.getnframes())
            channels, rate = file.getnchannels(), file.getframerate()
    except (OSError, EOFError, wave.Error) as error:
        raise UsageError(f"{path}: can't be read as WAV ({error})", "Save it again.") from error
    samples = np.frombuffer(raw[: len(raw) // (2 * channels) * 2 * channels], "<i2")
    sound = clean(samples.reshape(-1, channels).astype(np.float32) / np.float32(32768))
    return np.asarray(soxr.resample(sound, rate, HEARING_RATE), np.float32)


def _said(phrases: Sequence[str], takes: int, known: Paths) -> Iterator[list[Spoken]]:
    """Takes from the microphone, each asked for by a line."""
    from coach.audio.portaudio import PortAudioDevice

    blocks: queue.SimpleQueue[Samples | AudioError] = queue.SimpleQueue()
    device = PortAudioDevice(log=known.log)
    device.start(
        lambda n: np.zeros(n, np.float32),
        lambda block, first: blocks.put(block.copy()),
        lambda event: (
            blocks.put(AudioError("the microphone is gone", "Plug it in again."))
            if isinstance(event, DeviceLost)
            else None
        ),
    )
    ears, down = Cutter(), Downsampler()
    try:
        for phrase in phrases:
            found: list[Spoken] = []
            tries = 0
            while len(found) < takes:
                diagnostics.note(f"Say: {phrase} ({len(found) + 1} of {takes})")
                one = _one(blocks, ears, down)
                tries = 0 if one else tries + 1
                if one is not None:
                    found.append(one)
                elif tries == AGAIN:
                    raise AudioError(
                        "nothing was heard", "'coach soundcheck' looks at the microphone."
                    )
            yield found
    finally:
        device.stop()


def _one(
    blocks: queue.SimpleQueue[Samples | AudioError], ears: Cutter, down: Downsampler
) -> Spoken | None:
    """The next thing said, or None where nobody spoke in time."""
    left = round(PATIENCE * RATE)
    while left > 0:
        try:
            block = blocks.get(timeout=PATIENCE)
        except queue.Empty:
            return None
        if isinstance(block, AudioError):
            raise block
        left -= len(block)
        for spoken in ears.feed(down.feed(clean(block))):
            return spoken
    return None
