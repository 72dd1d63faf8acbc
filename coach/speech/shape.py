"""Brings what an engine gave to what the program plays: RATE, mono, no silence at either end."""

import io
import wave

import numpy as np
import soxr

from coach.audio.sound_device import RATE, Samples

#: Kept before the first and after the last sound, in seconds, so that no consonant is cut.
MARGIN = 0.01

#: Below this, relative to the loudest sample, an end counts as silent (-46 dB).
SILENT = 0.005

#: Hertz between which a profile's emphasis lifts.
BAND = (1500.0, 5000.0)

#: The loudest peak that leaves the program, -1 dBTP (EBU R 128).
CEILING = 10 ** (-1 / 20)

#: Seconds before and after a peak over which it is turned down.
LOOK_AHEAD = 0.003


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


def emphasised(sound: Samples, db: float) -> Samples:
    """The sound with BAND lifted by `db` and its edges sloping over half an octave.

    There consonants are told apart (the bands that weigh most in ANSI S3.5-1997, table 3: 1.6 to
    4 kHz), and there a hall's rumble and music are weakest.
    """
    if not db or not len(sound):
        return sound
    hertz = np.fft.rfftfreq(len(sound), 1 / RATE)
    low, high = (np.log2(np.maximum(hertz, 1.0) / edge) * 2 for edge in BAND)
    lifted = np.clip(low + 0.5, 0, 1) * np.clip(0.5 - high, 0, 1)
    spectrum = np.fft.rfft(sound.astype(np.float64)) * 10 ** (db * lifted / 20)
    return np.fft.irfft(spectrum, len(sound)).astype(np.float32)


def true_peak(sound: Samples) -> float:
    """The peak between the samples too, at four times the rate (ITU-R BS.1770-5, annex 2)."""
    if not len(sound):
        return 0.0
    return float(np.abs(soxr.resample(sound, RATE, 4 * RATE)).max(initial=0.0))


def limited(sound: Samples, ceiling: float = CEILING) -> Samples:
    """The sound, turned down around each peak over the ceiling; unchanged if there is none."""
    if true_peak(sound) <= ceiling:
        return sound
    over = np.abs(np.asarray(soxr.resample(sound, RATE, 4 * RATE), np.float32))
    over = np.pad(over, (0, -len(over) % 4))[: 4 * len(sound)].reshape(-1, 4).max(axis=1)
    over = np.pad(over, (0, len(sound) - len(over)))
    # half a decibel of room for what turning down does between the samples
    gain = np.minimum(1.0, 0.94 * ceiling / np.maximum(over, 1e-9))
    reach = round(LOOK_AHEAD * RATE)
    padded = np.pad(gain, reach, constant_values=1.0)
    least = np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1).min(axis=1)
    shape = np.hanning(2 * reach + 3)[1:-1]
    smooth = np.convolve(np.pad(least, reach, mode="edge"), shape / shape.sum(), mode="valid")
    return (sound * smooth).astype(np.float32)


def raised(sound: Samples) -> Samples:
    """The sound for the whole room: twice as high (6 dB), its peaks kept below the ceiling."""
    return limited((sound * np.float32(2.0)).astype(np.float32))


def trimmed(sound: Samples) -> Samples:
    """The sound without silence at its ends, but for MARGIN; unchanged if it is all silent."""
    loud = np.flatnonzero(np.abs(sound) > SILENT * float(np.abs(sound).max(initial=0.0)))
    if not len(loud):
        return sound
    margin = round(MARGIN * RATE)
    return sound[max(0, loud[0] - margin) : loud[-1] + 1 + margin]
