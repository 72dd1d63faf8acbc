"""Features and rate against reference libraries."""

import numpy as np
import pytest
import soxr

from coach.audio.sound_device import RATE
from coach.hearing.features import FRAMES, log_mel
from coach.hearing.rate import Downsampler
from coach.hearing.recogniser_port import HEARING_RATE
from tests.hearing.voices import say


@pytest.mark.parametrize("seconds", [0.4, 1.7, 3.0])
def test_the_features_are_those_of_faster_whisper(seconds: float) -> None:
    reference = pytest.importorskip("faster_whisper.feature_extractor").FeatureExtractor()
    sound = soxr.resample(say("my fingers are sore"), RATE, HEARING_RATE)
    sound = np.resize(sound, round(seconds * HEARING_RATE)).astype(np.float32)
    padded = np.pad(sound, (0, 3 * HEARING_RATE - len(sound)))
    np.testing.assert_allclose(log_mel(sound), reference(padded)[:, :FRAMES], atol=2e-3)


def test_of_long_sound_the_last_three_seconds_count() -> None:
    sound = np.random.default_rng(2).normal(0, 0.1, 5 * HEARING_RATE).astype(np.float32)
    np.testing.assert_array_equal(log_mel(sound), log_mel(sound[-3 * HEARING_RATE :]))


@pytest.mark.parametrize("block", [960, 480, 441, 1, 4096])
def test_the_rate_is_changed_as_by_soxr_whatever_the_blocks(block: int) -> None:
    t = np.arange(RATE // 2) / RATE
    sound = np.sin(2 * np.pi * (100 * t + 5_900 * t**2)).astype(np.float32)  # 100 Hz to 6 kHz
    down = Downsampler()
    made = np.concatenate([down.feed(sound[i : i + block]) for i in range(0, len(sound), block)])
    wanted = soxr.resample(sound, RATE, HEARING_RATE)
    n = len(made)
    assert n >= len(sound) // 3 - 17
    np.testing.assert_allclose(made[60:], wanted[60:n], atol=0.02)


def test_what_the_lower_rate_cannot_hold_is_filtered_away() -> None:
    t = np.arange(RATE // 2) / RATE
    tone = np.sin(2 * np.pi * 9_000 * t).astype(np.float32)
    assert np.abs(Downsampler().feed(tone)[60:]).max() < 0.001
