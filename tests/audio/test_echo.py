"""The echo canceller: what it takes out, what it leaves alone, and that it never holds sound up."""

import sys

import numpy as np
import pytest

from coach.audio.echo import AFTER, FRAME, PATIENCE, EchoCanceller
from coach.audio.sound_device import RATE, Samples
from coach.errors import AudioError

BLOCK = RATE // 50


def voice(seconds: float, seed: int) -> Samples:
    """Noise that comes and goes like syllables."""
    rng = np.random.default_rng(seed)
    n = round(seconds * RATE)
    syllables = np.clip(np.sin(2 * np.pi * 3.1 * np.arange(n) / RATE) + 0.3, 0, 1)
    return np.asarray(rng.normal(0, 0.1, n) * syllables, np.float32)


def heard(canceller: EchoCanceller, played: Samples, at_the_microphone: Samples) -> Samples:
    """What is left, block by block."""
    left: list[Samples] = []
    for first in range(0, len(played), BLOCK):
        canceller.played(played[first : first + BLOCK], first)
        some, at = canceller.without(at_the_microphone[first : first + BLOCK], first)
        assert at == sum(map(len, left))
        left.append(some)
    return np.concatenate(left)


@pytest.mark.parametrize("block", [FRAME, 1_440, 4_800])
def test_blocks_of_any_length_give_the_same(block: int) -> None:
    played = cues(2)
    echo = echo_of(played, 0.5, 0.002)
    short = heard(EchoCanceller(), played, echo)
    canceller, left = EchoCanceller(), []
    for first in range(0, len(played), block):
        canceller.played(played[first : first + block], first)
        left.append(canceller.without(echo[first : first + block], first)[0])
    long = np.concatenate(left)
    both = min(len(short), len(long))
    assert both > len(played) - 4_800 - 3 * FRAME
    assert (short[:both] == long[:both]).all()
    assert np.mean(long[3 * RATE : 4 * RATE] ** 2) < 0.1 * np.mean(echo[3 * RATE : 4 * RATE] ** 2)


def cues(n: int) -> Samples:
    """So many cues of two seconds, with two seconds of silence before each."""
    silence = np.zeros(2 * RATE, np.float32)
    return np.concatenate([piece for seed in range(n) for piece in (silence, voice(2.0, seed))])


def echo_of(played: Samples, part: float, room: float) -> Samples:
    """What comes back of it after 25 ms, in a room with so much noise."""
    echo = np.concatenate([np.zeros(RATE // 40, np.float32), part * played])[: len(played)]
    noise = np.random.default_rng(9).normal(0, room, len(played))
    return np.asarray(echo + noise, np.float32)


def test_an_echo_is_20_db_weaker_from_the_second_cue_on() -> None:
    played = cues(3)
    echo = echo_of(played, 0.5, 0.0001)
    left = heard(EchoCanceller(), played, echo)
    second = slice(round(6.5 * RATE), 8 * RATE)
    assert np.mean(left[second] ** 2) < 0.01 * np.mean(echo[second] ** 2)


def test_first_cues_that_follow_each_other_are_taken_out_too() -> None:
    played = np.concatenate([np.zeros(RATE // 3, np.float32), *(voice(2.0, n) for n in range(4))])
    echo = echo_of(played, 0.5, 0.0001)
    left = heard(EchoCanceller(), played, echo)
    later = slice(5 * RATE, 8 * RATE)
    assert np.mean(left[later] ** 2) < 0.01 * np.mean(echo[later] ** 2)


def test_where_a_cue_can_hardly_be_heard_the_room_is_left_as_it_is() -> None:
    played = cues(3)
    echo = echo_of(played, 0.05, 0.005)
    left = heard(EchoCanceller(), played, echo)
    assert np.array_equal(left, echo[: len(left)])


def test_sound_away_from_our_own_is_left_as_it_is() -> None:
    speech = voice(3.0, 2)
    assert np.array_equal(
        heard(EchoCanceller(), np.zeros(len(speech), np.float32), speech),
        speech[: len(speech) - BLOCK],
    )
    played = np.zeros(len(speech), np.float32)
    played[: RATE // 2] = voice(0.5, 3)
    left = heard(EchoCanceller(), played, speech)
    after = RATE // 2 + AFTER + 2 * FRAME
    assert np.array_equal(left[after:], speech[after : len(left)])


def test_a_speaker_that_stands_still_holds_nothing_up() -> None:
    canceller = EchoCanceller()
    speech = voice(2.0, 4)
    got = 0
    for first in range(0, len(speech), BLOCK):
        got += len(canceller.without(speech[first : first + BLOCK], first)[0])
    assert got >= len(speech) - PATIENCE - FRAME


def test_after_a_gap_sound_goes_on_where_it_is() -> None:
    canceller = EchoCanceller()
    canceller.played(np.zeros(10 * RATE, np.float32), 0)
    canceller.without(voice(0.105, 5), 0)
    some, at = canceller.without(voice(0.1, 6), 5 * RATE)
    assert (len(some), at) == (RATE // 10, 5 * RATE)


def test_without_the_library_it_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "pywebrtc_audio", None)
    with pytest.raises(AudioError, match="own voice") as failed:
        EchoCanceller()
    assert "headset" in failed.value.do
