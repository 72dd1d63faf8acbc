"""The tones: as loud as each other, unlike each other, and soft at both ends."""

from itertools import combinations

import numpy as np
import pytest

from coach.audio.sound_device import RATE, Samples
from coach.audio.tones import TONE_DB, tones
from coach.session.effects import Tone
from tests.audio.simulated_room import convolve

ALL = tones()


def correlate(a: Samples, b: Samples) -> Samples:
    """Their full cross-correlation; b lies at sample k of a where it is len(b) - 1 + k."""
    return convolve(a, b[::-1])


def likeness(a: Samples, b: Samples) -> float:
    """Highest normalised cross-correlation, 1 for the same sound at any delay."""
    return float(np.abs(correlate(a, b)).max() / np.sqrt((a @ a) * (b @ b)))


def test_there_is_a_sound_for_every_tone() -> None:
    assert set(ALL) == set(Tone)


@pytest.mark.parametrize("tone", Tone)
def test_a_tone_is_short_soft_edged_and_at_its_level(tone: Tone) -> None:
    sound = ALL[tone]
    assert 0.05 < len(sound) / RATE <= 0.4
    assert np.abs(sound[[0, -1]]).max() < 0.02
    assert 20 * np.log10(np.sqrt(np.mean(sound**2))) == pytest.approx(TONE_DB, abs=0.01)
    assert np.abs(sound).max() < 0.8


@pytest.mark.parametrize(("one", "other"), list(combinations(Tone, 2)))
def test_no_two_tones_are_alike(one: Tone, other: Tone) -> None:
    assert likeness(ALL[one], ALL[other]) < 0.5


def test_the_sync_sweep_marks_one_sample_even_under_noise() -> None:
    sweep = ALL[Tone.SYNC]
    noise = np.random.default_rng(1).standard_normal(3 * RATE).astype(np.float32) * 0.06
    noise[50_000 : 50_000 + len(sweep)] += sweep
    found = int(correlate(noise, sweep).argmax()) - (len(sweep) - 1)
    assert abs(found - 50_000) <= 1
    own = np.abs(correlate(sweep, sweep))
    middle = len(sweep) - 1
    away = np.abs(np.arange(len(own)) - middle) > RATE // 1000
    assert own[away].max() < 0.3 * own[middle]
