"""Emphasis lifts its band alone; nothing leaves over -1 dBTP."""

import numpy as np
import pytest

from coach.audio.sound_device import RATE, Samples
from coach.speech.shape import CEILING, emphasised, limited, true_peak


def tone(hertz: float, level: float = 0.1, phase: float = 0.0) -> Samples:
    t = np.arange(RATE) / RATE
    return (level * np.sin(2 * np.pi * hertz * t + phase)).astype(np.float32)


@pytest.mark.parametrize(("hertz", "gain"), [(300, 0), (2500, 6), (3500, 6), (9000, 0)])
def test_emphasis_lifts_its_band_by_what_it_says(hertz: float, gain: float) -> None:
    before, after = tone(hertz), emphasised(tone(hertz), 6.0)
    assert 20 * np.log10(np.std(after) / np.std(before)) == pytest.approx(gain, abs=0.1)


def test_the_peak_between_samples_counts() -> None:
    """A quarter of the rate at 45 degrees: samples at 0.707 of the peak (BS.1770-5, annex 2)."""
    sound = tone(RATE / 4, 1.0, np.pi / 4)
    assert np.abs(sound).max() == pytest.approx(0.707, abs=0.001)
    assert true_peak(sound[1000:-1000]) == pytest.approx(1.0, abs=0.03)


def test_limiting_brings_every_peak_under_the_ceiling_and_leaves_the_rest() -> None:
    rng = np.random.default_rng(3)
    sound = tone(440, 0.5)
    sound[20_000:20_040] += rng.normal(0, 2, 40).astype(np.float32)
    made = limited(sound)
    assert true_peak(made) <= CEILING
    assert made[:19_000] == pytest.approx(sound[:19_000], abs=1e-6)
    assert limited(sound[:19_000]) is not made
    quiet = tone(440, 0.5)
    assert limited(quiet) is quiet
