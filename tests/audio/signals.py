"""Finding known sounds in recordings, and noise to tell samples apart by."""

import numpy as np

from coach.audio.port import RATE, Samples
from coach.audio.simulated import convolve


def mark(seed: int, seconds: float = 0.1, level: float = 0.2) -> Samples:
    """A burst of noise that is like no other: it correlates with itself in one sample only."""
    rng = np.random.default_rng(seed)
    return (rng.standard_normal(round(seconds * RATE)) * level).clip(-0.9, 0.9).astype(np.float32)


def likeness(recording: Samples, sound: Samples) -> Samples:
    """How like the sound the recording is from each sample on: 1 for the same at any level."""
    valid = len(recording) - len(sound) + 1
    match = convolve(recording, sound[::-1])[len(sound) - 1 :][:valid]
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
