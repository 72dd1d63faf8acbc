"""A room that isn't there: a speaker, a microphone and the air between, on a fake clock.

It *advances* the clock block by block, so that an hour of session is heard in a moment and every
run with the same seed is the same to the sample.
"""

from collections.abc import Callable

import numpy as np

from coach.audio.sound_device import RATE, Capture, Notify, Render, Samples
from coach.clock import FakeClock

#: Samples in a step: 20 ms.
BLOCK = RATE // 50

#: Active level of a person's speech at the microphone, in dB re full scale.
SPEECH_DB = -26.0

#: Active level of our own cues at the speaker, in dB re full scale; echo is set against it.
CUE_DB = -20.0


class SimulatedRoom:
    """A Device that plays into the air and hears what was scripted.

    `echo_db` is the level of our own voice at the microphone relative to a person's speech, None
    for a headset that lets nothing through; `snr_db` is the level of speech over `noise`, which is
    looped from a place that the seed chooses; `rt60` is the reverberation time in seconds, 0 for
    none; `heard` takes each block that left the speaker.
    """

    def __init__(
        self,
        clock: FakeClock,
        *,
        block: int = BLOCK,
        echo_db: float | None = None,
        echo_delay: float = 0.02,
        rt60: float = 0.0,
        noise: Samples | None = None,
        snr_db: float = 20.0,
        seed: int = 0,
        heard: Callable[[Samples], None] | None = None,
    ) -> None:
        self._clock = clock
        self._block = block
        self._rng = np.random.default_rng(seed)
        self._echo = None if echo_db is None else _gain(SPEECH_DB - CUE_DB + echo_db)
        self._delay = round(echo_delay * RATE)
        self._air = room_response(rt60, self._rng) if rt60 > 0 else None
        self._noise = None if noise is None else _scaled_noise(noise, SPEECH_DB - snr_db)
        self._noise_from = 0 if noise is None else int(self._rng.integers(len(noise)))
        self._heard = heard
        self._coming: list[tuple[int, Samples]] = []
        self._position = 0
        self._render: Render | None = None
        self._capture: Capture | None = None

    def start(self, render: Render, capture: Capture | None, notify: Notify) -> None:
        """Take the speaker's and the microphone's other ends; nothing runs until `step`."""
        self._render, self._capture = render, capture

    def now(self) -> float:
        """Seconds played."""
        return self._position / RATE

    def stop(self) -> None:
        """Let go of both ends."""
        self._render = self._capture = None

    def speak(self, samples: Samples, at: float, level_db: float = SPEECH_DB) -> None:
        """Somebody says samples (at RATE) from `at` seconds on, at an active level of level_db.

        ValueError for a time that has passed or for silence.
        """
        start = round(at * RATE)
        if start < self._position:
            raise ValueError(f"{at} s has passed: it is {self.now()} s")
        level = active_level(samples)
        if level == -np.inf:
            raise ValueError("these samples are silent")
        self._arrive(start, samples * np.float32(_gain(level_db - level)))

    def step(self) -> None:
        """Play and hear one block, and move the clock by it; RuntimeError before `start`."""
        if self._render is None:
            raise RuntimeError("the room was not started")
        begin = self._position
        self._plays(self._render(self._block), begin)
        self._position += self._block
        self._clock.advance(self._block / RATE)
        if self._capture is not None:
            self._hears(self._microphone(begin), begin)

    def _plays(self, played: Samples, begin: int) -> None:
        """A block leaves the speaker."""
        if self._heard is not None:
            self._heard(played)
        if self._echo is not None and played.any():
            self._arrive(begin + self._delay, played * np.float32(self._echo))

    def _hears(self, block: Samples, begin: int) -> None:
        """A block reaches the microphone."""
        assert self._capture is not None
        self._capture(block, begin)

    def _arrive(self, start: int, sound: Samples) -> None:
        if self._air is not None:
            sound = convolve(sound, self._air)
        self._coming.append((start, np.asarray(sound, np.float32)))

    def _microphone(self, begin: int) -> Samples:
        end = begin + self._block
        block = np.zeros(self._block, np.float32)
        if self._noise is not None:
            where = (self._noise_from + begin) % len(self._noise)
            block += np.take(self._noise, np.arange(where, where + self._block), mode="wrap")
        for start, sound in self._coming:
            first, stop = max(begin, start), min(end, start + len(sound))
            if first < stop:
                block[first - begin : stop - begin] += sound[first - start : stop - start]
        self._coming = [(s, sound) for s, sound in self._coming if s + len(sound) > end]
        return np.clip(block, -1.0, 1.0)


def active_level(samples: Samples) -> float:
    """Level in dB re full scale of the 20 ms pieces within 25 dB of the loudest; -inf for silence.

    A simple stand-in for the active speech level of ITU-T P.56, which leaves out pauses likewise.
    """
    piece = RATE // 50
    padded = np.pad(samples.astype(np.float64), (0, -len(samples) % piece))
    power = np.mean(padded.reshape(-1, piece) ** 2, axis=1)
    if not len(power) or power.max() <= 0:
        return -float("inf")
    return float(10 * np.log10(np.mean(power[power > power.max() * 10**-2.5])))


def room_response(rt60: float, rng: np.random.Generator, direct_db: float = 3.0) -> Samples:
    """Impulse response of a diffuse room: the direct sound, then noise that falls 60 dB in rt60 s.

    `direct_db` is the energy of the direct sound over that of the tail.
    """
    t = np.arange(round(rt60 * RATE)) / RATE
    tail = rng.standard_normal(len(t)) * 10 ** (-3 * t / rt60)
    tail[: round(0.002 * RATE)] = 0.0
    tail *= 10 ** (-direct_db / 20) / np.sqrt(np.sum(tail**2))
    tail[0] = 1.0
    return tail.astype(np.float32)


def convolve(sound: Samples, response: Samples) -> Samples:
    """The full convolution, by FFT."""
    n = len(sound) + len(response) - 1
    size = 1 << (n - 1).bit_length()
    product = np.fft.rfft(sound, size) * np.fft.rfft(response, size)
    return np.fft.irfft(product, size)[:n].astype(np.float32)


def _gain(db: float) -> float:
    return float(10 ** (db / 20))


def _scaled_noise(noise: Samples, level_db: float) -> Samples:
    rms = float(np.sqrt(np.mean(noise.astype(np.float64) ** 2)))
    if rms == 0:
        raise ValueError("the noise is silent")
    return (noise * (_gain(level_db) / rms)).astype(np.float32)
