"""How late a speaker is heard is measured by its own sweep, and reckoned with afterwards."""

import subprocess
import time
from collections.abc import Iterator

import numpy as np
import pytest

from coach.audio.delay import END, LONGEST, Probe, actual
from coach.audio.portaudio import PortAudioDevice
from coach.audio.sound_device import RATE
from coach.clock import FakeClock
from tests.audio.pulse import Pulse
from tests.audio.simulated_room import SimulatedRoom


def probed(**options: object) -> float | None:
    room = SimulatedRoom(FakeClock(), **options)  # type: ignore[arg-type]
    probe = Probe()
    room.start(probe.render, probe.capture, lambda _: None)
    while room.now() < END + LONGEST:
        room.step()
    return probe.found()


@pytest.mark.parametrize("late", [0.0, 0.04, 0.18, 0.6])
def test_the_delay_is_found_to_the_millisecond(late: float) -> None:
    assert probed(echo_db=0.0, echo_delay=late) == pytest.approx(late, abs=0.001)


def test_it_is_found_in_a_room_with_noise() -> None:
    noise = np.random.default_rng(1).standard_normal(RATE).astype(np.float32)
    found = probed(echo_db=0.0, echo_delay=0.2, rt60=0.4, noise=noise, snr_db=10.0)
    assert found == pytest.approx(0.2, abs=0.005)


def test_what_is_not_heard_has_none() -> None:
    noise = np.random.default_rng(1).standard_normal(RATE).astype(np.float32)
    assert probed(noise=noise, snr_db=10.0) is None
    assert probed() is None
    assert probed(echo_db=0.0, echo_delay=1.4) is None


def test_the_name_is_that_of_the_device_behind_the_server(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PULSE_SINK", "headset")
    assert actual("default") == "headset"
    assert actual("USB Audio") == "USB Audio"
    monkeypatch.delenv("PULSE_SINK")
    monkeypatch.setenv("PATH", "")
    assert actual("pulse") == "pulse"


@pytest.fixture
def late_headset(pulse: Pulse) -> Iterator[None]:
    """What the speaker plays reaches the microphone some 300 ms later."""
    made = subprocess.run(
        [
            *("pactl", "load-module", "module-loopback", "source=speaker.monitor"),
            *("sink=microphone", "latency_msec=300"),
        ],
        capture_output=True,
        check=True,
        text=True,
    )
    yield
    subprocess.run(["pactl", "unload-module", made.stdout.strip()], check=True)


def played(delays: dict[str, float]) -> float | None:
    probe = Probe()
    device = PortAudioDevice(delays=delays)
    device.start(probe.render, probe.capture, lambda _: None)
    try:
        time.sleep(END + LONGEST)
    finally:
        device.stop()
    return probe.found()


@pytest.mark.sound
def test_a_real_delay_is_measured_and_then_reckoned_with(late_headset: None) -> None:
    late = played({})
    assert late is not None
    assert 0.2 < late < 0.6
    again = played({"speaker": late})
    assert again is not None
    assert again < 0.1
