"""Loudness against published values: EBU Tech 3341 and the Recommendation itself."""

import numpy as np
import pytest

from coach.audio.sound_device import RATE, Samples
from coach.speech.loudness import integrated


def tone(level_db: float, seconds: float, hertz: float = 1000.0) -> Samples:
    t = np.arange(round(seconds * RATE)) / RATE
    return (10 ** (level_db / 20) * np.sin(2 * np.pi * hertz * t)).astype(np.float32)


# EBU Tech 3341 gives stereo signals; two equal channels add 10 log10 2 = 3.01 LU, one has none.
STEREO = 10 * np.log10(2)


def test_a_full_scale_sine_of_997_hz_on_one_channel_is_minus_3_01() -> None:
    """ITU-R BS.1770-5, annex 1."""
    assert integrated(tone(0.0, 3, 997.0)) == pytest.approx(-3.01, abs=0.02)


@pytest.mark.parametrize("level", [-23.0, -33.0])
def test_ebu_tech_3341_cases_1_and_2(level: float) -> None:
    assert integrated(tone(level, 20)) + STEREO == pytest.approx(level, abs=0.1)


def test_ebu_tech_3341_case_3_a_quiet_lead_is_gated_out() -> None:
    sound = np.concatenate([tone(-36, 10), tone(-23, 60), tone(-36, 10)])
    assert integrated(sound) + STEREO == pytest.approx(-23.0, abs=0.1)


def test_ebu_tech_3341_case_4_silence_is_gated_out() -> None:
    sound = np.concatenate([tone(x, 10) for x in (-72, -36)] + [tone(-23, 60)])
    sound = np.concatenate([sound, tone(-36, 10), tone(-72, 10)])
    assert integrated(sound) + STEREO == pytest.approx(-23.0, abs=0.1)


def test_silence_has_none_and_a_short_sound_is_refused() -> None:
    assert integrated(np.zeros(RATE, np.float32)) == -np.inf
    with pytest.raises(ValueError, match=r"0\.4 s"):
        integrated(tone(-20, 0.39))
