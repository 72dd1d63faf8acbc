"""Finding known sounds in recordings, and noise to tell samples apart by."""

import numpy as np
from scipy.signal import oaconvolve

from coach.audio.sound_device import RATE, Samples


def mark(seed: int, seconds: float = 0.1, level: float = 0.2) -> Samples:
    """A burst of noise that is like no other: it correlates with itself in one sample only."""
    rng = np.random.default_rng(seed)
    return (rng.standard_normal(round(seconds * RATE)) * level).clip(-0.9, 0.9).astype(np.float32)


def likeness(recording: Samples, sound: Samples) -> Samples:
    """How like the sound the recording is from each sample on: 1 for the same at any level."""
    match = oaconvolve(recording, sound[::-1], mode="valid")
    energy = np.concatenate([[0.0], np.cumsum(recording.astype(np.float64) ** 2)])
    there = energy[len(sound) :] - energy[: -len(sound)]
    like = match / np.sqrt(np.maximum(there, 1e-3) * float(sound @ sound))
    return np.asarray(like, np.float32)


def find(recording: Samples, sound: Samples, least: float = 0.7) -> int:
    """Sample at which the recording is most like the sound; AssertionError if it isn't in it."""
    like = likeness(recording, sound)
    best = int(like.argmax())
    assert like[best] >= least, f"only {like[best]:.2f} like it"
    return best


def share_found(
    recording: Samples, sound: Samples, piece: float = 0.3, least: float = 0.9
) -> float:
    """How much of a sound, cut into pieces of so many seconds, is in a recording: 0 to 1.

    The pieces have to come in their order. A moment that a busy machine dropped costs the pieces
    around it, and shifts the others; pieces without sound in them do not count.
    """
    size = round(piece * RATE)
    whole = (sound[at : at + size] for at in range(0, len(sound) - size + 1, size))
    pieces = [one for one in whole if float(np.abs(one).max()) > 0.01]
    found, begin = 0, 0
    for one in pieces:
        like = likeness(recording[begin:], one) if len(recording) - begin >= size else [0.0]
        best = int(np.argmax(like))
        if like[best] >= least:
            found, begin = found + 1, begin + best + size // 2
    return found / len(pieces)
