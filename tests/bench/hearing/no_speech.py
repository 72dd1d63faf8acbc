"""Loud sounds of a hall that nobody says: breath, claps, falls, rubbing, knocks, a hum.

Made here, mono at 16 kHz and as loud as speech, so that only their kind tells them apart.
"""

from collections.abc import Callable

import numpy as np

from tests.bench.hearing.material import RATE, Floats, levelled

Make = Callable[[np.random.Generator], Floats]


def sounds(count: int, seed: int = 1) -> list[tuple[str, Floats]]:
    """So many of each kind, with its name."""
    rng = np.random.default_rng(seed)
    return [(name, levelled(make(rng))) for name, make in _KINDS.items() for _ in range(count)]


def _hiss(rng: np.random.Generator, seconds: float, low: float, high: float) -> Floats:
    """Noise of a band of Hz."""
    n = round(seconds * RATE)
    spectrum = np.fft.rfft(rng.normal(0, 1, n))
    at = np.fft.rfftfreq(n, 1 / RATE)
    spectrum[(at < low) | (at > high)] = 0
    return np.fft.irfft(spectrum, n).astype(np.float32)


def _dying(sound: Floats, rate: float) -> Floats:
    """It falls by e `rate` times a second."""
    return sound * np.exp(-rate * np.arange(len(sound)) / RATE, dtype=np.float32)


def _breath(rng: np.random.Generator) -> Floats:
    sound = _hiss(rng, rng.uniform(0.8, 1.6), 200, 3000)
    return sound * np.hanning(len(sound)).astype(np.float32)


def _rubbing(rng: np.random.Generator) -> Floats:
    strokes = [_dying(_hiss(rng, rng.uniform(0.1, 0.3), 300, 7000), 6) for _ in range(4)]
    return np.concatenate(strokes)


def _knocks(rng: np.random.Generator) -> Floats:
    return np.concatenate([_dying(_hiss(rng, 0.125, 100, 2000), 50) for _ in range(2)])


def _hum(rng: np.random.Generator) -> Floats:
    t = np.arange(RATE) / RATE
    tone = np.sin(2 * np.pi * rng.uniform(80, 300) * t) * np.hanning(RATE)
    return np.asarray(tone, np.float32)


_KINDS: dict[str, Make] = {
    "breath": _breath,
    "clap": lambda rng: _dying(_hiss(rng, 0.25, 500, 6000), 40),
    "fall": lambda rng: _dying(_hiss(rng, 0.5, 40, 250), 14),
    "rubbing": _rubbing,
    "knocks": _knocks,
    "hum": _hum,
}
