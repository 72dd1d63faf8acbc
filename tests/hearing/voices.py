"""Synthetic voices for the tests: real sound from two engines, rendered when it is needed."""

import io
import os
import shutil
import subprocess
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
import soundfile
import soxr

from coach.audio.sound_device import RATE

Floats = npt.NDArray[np.float32]

#: Engine and voice.
VOICES = (
    ("espeak-ng", "en-gb"),
    ("espeak-ng", "en-us+f3"),
    ("flite", "slt"),
    ("flite", "rms"),
)

#: Level of speech, in dB re full scale.
SPEECH_DB = -26.0

SPEECH_DIR = os.environ.get("COACH_SPEECH_DIR", "")

needs_speech = pytest.mark.skipif(
    not Path(SPEECH_DIR or "/nowhere").is_dir(),
    reason="COACH_SPEECH_DIR names no folder with recordings of people",
)


def needs(engine: str) -> None:
    """Skip where an engine is not installed."""
    if shutil.which(engine) is None:
        pytest.skip(f"{engine} is not installed: apt install {engine}")


@cache
def say(text: str, engine: str = "espeak-ng", voice: str = "en-gb") -> Floats:
    """A sentence at RATE, without silence around it, at SPEECH_DB."""
    needs(engine)
    if engine == "espeak-ng":
        command = ["espeak-ng", "-v", voice, "-s", "160", "--stdout", text]
    else:
        command = ["flite", "-voice", voice, "-t", text, "-o", "/dev/stdout"]
    sound = subprocess.run(command, capture_output=True, check=True).stdout
    samples, rate = soundfile.read(io.BytesIO(sound), dtype="float32")
    return levelled(trimmed(soxr.resample(samples, rate, RATE)))


def trimmed(samples: Floats) -> Floats:
    """Without the silence before and after."""
    loud = np.flatnonzero(np.abs(samples) > 0.02 * np.abs(samples).max())
    return samples[max(0, loud[0] - RATE // 100) : loud[-1] + RATE // 50]


def levelled(samples: Floats, db: float = SPEECH_DB) -> Floats:
    """With an RMS of so many dB re full scale."""
    rms = float(np.sqrt(np.mean(samples.astype(np.float64) ** 2)))
    return (samples * (10 ** (db / 20) / rms)).astype(np.float32)


def recording(path: Path) -> Floats:
    """A recording at RATE, levelled."""
    samples, rate = soundfile.read(path, dtype="float32")
    return levelled(trimmed(soxr.resample(samples, rate, RATE)))


def track(seconds: float, *sounds: tuple[float, Floats], noise_db: float = -70.0) -> Floats:
    """A quiet room of so many seconds, with each sound from its second on."""
    rng = np.random.default_rng(1)
    room = rng.normal(0.0, 10 ** (noise_db / 20), round(seconds * RATE)).astype(np.float32)
    for at, sound in sounds:
        begin = round(at * RATE)
        room[begin : begin + len(sound)] += sound[: len(room) - begin]
    return room
