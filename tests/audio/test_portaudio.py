"""The real device on a real sound server: what is played is recorded, and the other way round."""

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import numpy as np
import pytest

from coach.audio.mixer import Mixer
from coach.audio.portaudio import PortAudioDevice
from coach.audio.sound_device import RATE, Samples
from coach.audio.streams import find as find_device
from coach.audio.tones import tones
from coach.errors import AudioError
from coach.session.effects import Tone
from coach.session.events import ClockJumped, DeviceLost, DeviceReturned, Event
from tests.audio.pulse import Pulse
from tests.audio.signals import find, likeness, mark

pytestmark = pytest.mark.sound

SYNC = tones()[Tone.SYNC]


class Rig:
    """A device with a mixer behind it and a memory of all that it did."""

    def __init__(self, device: PortAudioDevice) -> None:
        self.device = device
        self.mixer = Mixer()
        self.lock = threading.Lock()
        self.heard: list[tuple[int, Samples]] = []
        self.events: list[Event] = []

    def render(self, n: int) -> Samples:
        with self.lock:
            return self.mixer.render(n)[0]

    def play(self, number: int, sound: Samples, at: float) -> None:
        with self.lock:
            self.mixer.schedule(number, sound, round(at * RATE))

    def microphone(self) -> tuple[int, Samples]:
        """All that was heard since the last gap in it: index of the first sample, samples."""
        ends = [first + len(block) for first, block in self.heard]
        breaks = [k for k in range(1, len(ends)) if self.heard[k][0] != ends[k - 1]]
        start = breaks[-1] if breaks else 0
        return self.heard[start][0], np.concatenate([block for _, block in self.heard[start:]])

    def until(self, ready: Callable[[], bool], patience: float = 15.0) -> None:
        end = time.monotonic() + patience
        while not ready():
            assert time.monotonic() < end, self.events
            time.sleep(0.02)

    def saw(self, kind: type[Event]) -> bool:
        return any(isinstance(event, kind) for event in self.events)


@contextmanager
def rig(**options: object) -> Iterator[Rig]:
    made = Rig(PortAudioDevice(**options))  # type: ignore[arg-type]
    made.device.start(
        made.render, lambda s, first: made.heard.append((first, s)), made.events.append
    )
    try:
        yield made
    finally:
        made.device.stop()


def test_marks_are_recorded_where_the_timeline_says(pulse: Pulse) -> None:
    planned = {n: 0.8 + 0.31 * n for n in range(1, 7)}
    with pulse.recording() as recording, rig() as r:
        r.play(0, SYNC, 0.4)
        for number, at in planned.items():
            r.play(number, mark(number), at)
        r.until(lambda: r.device.now() > 3.1)
        assert r.device.now() < 3.6
    heard = recording.samples()
    origin = find(heard, SYNC, 0.5) - 0.4 * RATE
    # A machine that is too busy tears a mark in two; how exact the rest are is for the benchmark.
    whole = [n for n in planned if likeness(heard, mark(n)).max() > 0.7]
    assert len(whole) >= 3
    strays = [(find(heard, mark(n)) - origin) / RATE - planned[n] for n in whole]
    assert max(map(abs, strays)) < 0.05, strays


def test_a_device_at_another_rate_keeps_the_time(pulse: Pulse) -> None:
    planned = {n: 0.8 + 0.31 * n for n in range(1, 6)}
    with pulse.recording() as recording, rig(rates=(16_000,)) as r:
        r.play(0, SYNC, 0.4)
        for number, at in planned.items():
            r.play(number, mark(number), at)
        r.until(lambda: r.device.now() > 2.8)
        _, heard = r.microphone()
    origin = find(recording.samples(), SYNC, 0.5) - 0.4 * RATE
    found = [find(recording.samples(), mark(n), 0.4) - origin for n in planned]
    assert np.array(found) / RATE == pytest.approx(list(planned.values()), abs=0.002)
    assert len(heard) / RATE > 1.0
    assert r.heard[-1][0] / RATE == pytest.approx(r.device.now(), abs=0.3)


def test_a_rate_that_is_refused_gives_way_to_one_that_is_not(pulse: Pulse) -> None:
    with rig(rates=(5_000_000, 44_100)) as r:
        r.until(lambda: r.device.now() > 0.3)


def test_the_microphone_hears_where_on_the_timeline_it_was_said(pulse: Pulse) -> None:
    with rig() as r:
        r.until(lambda: r.device.now() > 1.0)
        player = pulse.say(np.concatenate([mark(77, 0.5), np.zeros(RATE // 2, np.float32)]))
        asked = r.device.now()
        player.wait()
        time.sleep(0.5)
        first, heard = r.microphone()
    said = (first + find(heard, mark(77, 0.5))) / RATE
    # The player needs a moment to connect; the server and the device buffer a moment more.
    assert asked - 0.05 < said < asked + 0.6


def test_a_stream_that_stops_calling_is_lost_and_comes_back(pulse: Pulse) -> None:
    with rig() as r:
        r.until(lambda: r.device.now() > 0.3)
        pulse.freeze(1.8)
        assert {e.device for e in r.events if isinstance(e, DeviceLost)} == {
            "speaker",
            "microphone",
        }
        before, clock = r.device.now(), time.monotonic()
        r.until(
            lambda: (
                {e.device for e in r.events if isinstance(e, DeviceReturned)}
                == {"speaker", "microphone"}
            )
        )
        passed = time.monotonic() - clock
        assert r.device.now() - before == pytest.approx(passed, abs=0.15)
        assert not r.saw(ClockJumped)
        with pulse.recording() as recording:
            at = r.device.now() + 0.5
            r.play(5, mark(5), at)
            r.until(lambda: r.device.now() > at + 0.5)
        find(recording.samples(), mark(5))


def test_time_goes_on_and_sound_returns_after_the_server_died(pulse: Pulse) -> None:
    with rig() as r:
        r.until(lambda: r.device.now() > 0.3)
        pulse.stop()
        r.until(lambda: r.saw(DeviceLost))
        r.play(3, mark(3), r.device.now())
        before = r.device.now()
        time.sleep(0.5)
        assert r.device.now() - before == pytest.approx(0.5, abs=0.1)
        assert r.mixer.idle, "cues end even when nobody can hear them"
        pulse.start()
        r.until(lambda: sum(isinstance(e, DeviceReturned) for e in r.events) == 2)
        with pulse.recording() as recording:
            at = r.device.now() + 0.5
            r.play(5, mark(5), at)
            r.until(lambda: r.device.now() > at + 0.5)
        find(recording.samples(), mark(5))


@pytest.fixture
def desktop(pulse: Pulse, monkeypatch: pytest.MonkeyPatch) -> Pulse:
    """The server with defaults that streams follow, as on a desktop, instead of names for each."""
    monkeypatch.delenv("PULSE_SINK")
    monkeypatch.delenv("PULSE_SOURCE")
    pulse.choose("speaker", "microphone.monitor")
    return pulse


def unplug_a_while(desktop: Pulse, r: Rig, device: str) -> None:
    """Two seconds without it; the time goes on, and each loss that was told is told to be over."""
    r.until(lambda: r.device.now() > 0.3)
    with desktop.unplugged(device):
        before = r.device.now()
        time.sleep(2.0)
        assert r.device.now() - before == pytest.approx(2.0, abs=0.2)
    desktop.choose("speaker", "microphone.monitor")
    lost = sum(isinstance(event, DeviceLost) for event in r.events)
    r.until(lambda: sum(isinstance(e, DeviceReturned) for e in r.events) == lost)


def test_a_speaker_that_is_unplugged_sounds_again_when_it_is_back(desktop: Pulse) -> None:
    """Either the server moves the stream to what else there is, or it is told and opened again."""
    with rig() as r:
        unplug_a_while(desktop, r, "speaker")
        with desktop.recording() as recording:
            at = r.device.now() + 0.5
            r.play(5, mark(5), at)
            r.until(lambda: r.device.now() > at + 0.5)
        find(recording.samples(), mark(5))


def test_a_microphone_that_is_unplugged_hears_again_when_it_is_back(desktop: Pulse) -> None:
    with rig() as r:
        unplug_a_while(desktop, r, "microphone")
        time.sleep(1.0)
        desktop.say(mark(78, 0.5)).wait()
        time.sleep(0.5)
        find(np.concatenate([block for _, block in r.heard]), mark(78, 0.5))


def test_an_unknown_name_is_an_error_that_lists_what_there_is(pulse: Pulse) -> None:
    with pytest.raises(AudioError, match=r"No speaker is called 'gong'[\s\S]*pulse"):
        PortAudioDevice("gong").start(lambda n: np.zeros(n, np.float32), None, lambda _: None)
    assert find_device("PUL", "output")["name"] == "pulse"
