"""The simulated room: levels, delays and the clock are what was asked for."""

import numpy as np
import pytest

from coach.audio.mixer import Mixer
from coach.audio.sound_device import RATE, Samples
from coach.clock import FakeClock
from tests.audio.simulated_room import (
    BLOCK,
    CUE_DB,
    SPEECH_DB,
    SimulatedRoom,
    active_level,
    room_response,
)


def babble(seconds: float, seed: int = 0) -> Samples:
    return np.random.default_rng(seed).standard_normal(round(seconds * RATE)).astype(np.float32)


def hear(room: SimulatedRoom, seconds: float, mixer: Mixer | None = None) -> Samples:
    mixer = mixer or Mixer()
    blocks: list[Samples] = []

    def capture(samples: Samples, first: int) -> None:
        assert first == sum(len(block) for block in blocks)
        blocks.append(samples)

    room.start(lambda n: mixer.render(n)[0], capture, lambda _: None)
    for _ in range(round(seconds * RATE / BLOCK)):
        room.step()
    return np.concatenate(blocks)


def level(samples: Samples) -> float:
    return float(10 * np.log10(np.mean(samples.astype(np.float64) ** 2)))


def test_the_clock_moves_with_the_samples() -> None:
    clock = FakeClock()
    room = SimulatedRoom(clock)
    hear(room, 3.0)
    assert clock.monotonic() == pytest.approx(3.0)
    assert room.now() == pytest.approx(3.0)


def test_speech_arrives_when_it_was_said_at_the_level_of_speech() -> None:
    room = SimulatedRoom(FakeClock())
    room.speak(babble(0.5), 1.0)
    heard = hear(room, 2.0)
    assert np.flatnonzero(heard)[[0, -1]].tolist() == [RATE, RATE + RATE // 2 - 1]
    assert level(heard[RATE : RATE + RATE // 2]) == pytest.approx(SPEECH_DB, abs=0.1)


def test_speech_in_the_past_and_silence_are_refused() -> None:
    room = SimulatedRoom(FakeClock())
    hear(room, 1.0)
    with pytest.raises(ValueError, match="passed"):
        room.speak(babble(0.1), 0.5)
    with pytest.raises(ValueError, match="silent"):
        room.speak(np.zeros(100, np.float32), 2.0)


def test_our_own_voice_comes_back_late_and_at_the_echo_level() -> None:
    room = SimulatedRoom(FakeClock(), echo_db=-20.0, echo_delay=0.03)
    mixer = Mixer()
    cue = babble(0.5)
    mixer.schedule(1, cue * np.float32(10 ** ((CUE_DB - level(cue)) / 20)), RATE)
    heard = hear(room, 2.0, mixer)
    late = RATE + round(0.03 * RATE)
    assert np.flatnonzero(heard)[0] == pytest.approx(late, abs=1)
    assert level(heard[late : late + RATE // 2]) == pytest.approx(SPEECH_DB - 20.0, abs=0.3)


def test_a_headset_hears_nothing_of_us() -> None:
    mixer = Mixer()
    mixer.schedule(1, babble(0.5) * np.float32(0.1), 0)
    assert not hear(SimulatedRoom(FakeClock()), 1.0, mixer).any()


def test_noise_is_below_speech_by_the_ratio_and_looped() -> None:
    room = SimulatedRoom(FakeClock(), noise=babble(0.7), snr_db=10.0)
    heard = hear(room, 2.1)
    assert level(heard) == pytest.approx(SPEECH_DB - 10.0, abs=0.1)
    loop = round(0.7 * RATE)
    assert heard[:loop] == pytest.approx(heard[loop : 2 * loop])


def test_one_seed_is_one_run_and_another_seed_another() -> None:
    def run(seed: int) -> Samples:
        room = SimulatedRoom(FakeClock(), noise=babble(1.0), rt60=0.4, echo_db=-10, seed=seed)
        room.speak(babble(0.2, 5), 0.3)
        return hear(room, 1.0)

    assert np.array_equal(run(1), run(1))
    assert not np.array_equal(run(1), run(2))


@pytest.mark.parametrize("rt60", [0.3, 0.9])
def test_the_room_decays_by_60_db_in_its_time(rt60: float) -> None:
    """Schroeder's backward integration, ISO 3382-1: the slope from -5 to -25 dB (T20)."""
    tail = room_response(rt60, np.random.default_rng(0), direct_db=-60)[1:]
    energy = np.cumsum(tail[::-1].astype(np.float64) ** 2)[::-1]
    curve = 10 * np.log10(energy / energy[0])
    fast, slow = (int(np.argmax(curve < limit)) for limit in (-5, -25))
    assert 3 * (slow - fast) / RATE == pytest.approx(rt60, rel=0.1)


def test_the_active_level_leaves_out_pauses() -> None:
    speech = babble(0.5) * np.float32(0.1)
    paused = np.concatenate([speech, np.zeros(RATE, np.float32), speech])
    assert active_level(paused) == pytest.approx(active_level(speech), abs=0.2)
    assert active_level(np.zeros(10, np.float32)) == -np.inf


def test_stepping_before_the_start_is_refused() -> None:
    with pytest.raises(RuntimeError, match="not started"):
        SimulatedRoom(FakeClock()).step()
