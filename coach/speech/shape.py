"""Brings what an engine gave to what the program plays: RATE, mono, no silence at either end."""

import io
import wave

import numpy as np
import soxr

from coach.audio.port import RATE, Samples

#: Kept before the first and after the last sound, in seconds, so that no consonant is cut.
MARGIN = 0.01

#: Below this, relative to the loudest sample, an end counts as silent (-46 dB).
SILENT = 0.005


def from_wav(data: bytes) -> Samples:
    """The samples at RATE of a 16-bit PCM wav; ValueError if it is none or is empty.

    The header's length is not trusted: an engine that writes to a pipe can't know it.
    """
    try:
        with wave.open(io.BytesIO(data)) as file:
            rate, channels, width = file.getframerate(), file.getnchannels(), file.getsampwidth()
            frames = file.readframes(min(file.getnframes(), len(data)))
    except (wave.Error, EOFError) as error:
        raise ValueError(f"not a wav file: {error}") from error
    if width != 2:
        raise ValueError(f"{8 * width} bits a sample, not 16")
    frames = frames[: len(frames) // (2 * channels) * 2 * channels]
    if not frames:
        raise ValueError("a wav file without a sample")
    sound = np.frombuffer(frames, "<i2").reshape(-1, channels).mean(axis=1) / 32768
    return to_rate(sound.astype(np.float32), rate)


def to_rate(sound: Samples, rate: int) -> Samples:
    """The sound, taken at `rate` samples a second, at RATE."""
    if rate == RATE:
        return sound
    return np.asarray(soxr.resample(sound, rate, RATE), np.float32)


def trimmed(sound: Samples) -> Samples:
    """The sound without silence at its ends, but for MARGIN; unchanged if it is all silent."""
    loud = np.flatnonzero(np.abs(sound) > SILENT * float(np.abs(sound).max(initial=0.0)))
    if not len(loud):
        return sound
    margin = round(MARGIN * RATE)
    return sound[max(0, loud[0] - margin) : loud[-1] + 1 + margin]
