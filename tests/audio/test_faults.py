"""Each way in which sound fails: what is told, that time goes on, and that sound comes back."""

import itertools

import numpy as np
import pytest

from coach.audio.coming import RETRY_MOST, STEADY, Retry
from coach.audio.health import GATED, NEVER, ZEROS
from coach.audio.sound_device import RATE, Samples
from coach.audio.tones import tones
from coach.clock import FakeClock
from coach.model.messages import Message, message
from coach.session.effects import CloseWindow, OpenWindow, Say
from coach.session.events import ClockJumped, DeviceLost, DeviceReturned, Event, SoundStarted
from tests.audio.faults import Fault, FaultyRoom, Kind
from tests.audio.signals import likeness
from tests.audio.simulated_stage import SimulatedStage

#: Seconds by which a sound may be off where blocks were torn, for the stamps mend what is more; and
#: where the made-up device's own converter holds some back.
TORN = 0.045


def words(what: Message) -> str:
    return what.key


def low_mark(seed: int) -> Samples:
    """A noise under 3 kHz, which a device at 8 kHz passes on."""
    noise = np.random.default_rng(seed).standard_normal(RATE // 2)
    spectrum = np.fft.rfft(noise)
    spectrum[round(3000 * len(noise) / RATE) :] = 0
    sound = np.fft.irfft(spectrum, len(noise))
    return np.asarray(0.2 * sound / np.abs(sound).max(), np.float32)


class Ear:
    """Keeps what it hears where it was said to be."""

    def __init__(self) -> None:
        self.blocks: list[tuple[int, Samples]] = []

    def open(self, window: OpenWindow) -> None:
        pass

    def close(self, window: CloseWindow) -> None:
        pass

    def doubt(self) -> None:
        pass

    def sounding(self, text: str, start: float, end: float | None) -> None:
        pass

    def feed(self, samples: Samples, first: int) -> list[Event]:
        assert samples.ndim == 1
        assert np.isfinite(samples).all()
        self.blocks.append((first, samples))
        return []

    def between(self, begin: float, end: float) -> Samples:
        """What was heard, with zeros where nothing was."""
        first, last = round(begin * RATE), round(end * RATE)
        out = np.zeros(last - first, np.float32)
        for at, block in self.blocks:
            lo, hi = max(at, first), min(at + len(block), last)
            if lo < hi:
                out[lo - first : hi - first] = block[lo - at : hi - at]
        return out

    def heard(self, sound: Samples, at: float) -> float | None:
        """Seconds by which the sound was heard late, near `at`; None if it was not."""
        like = likeness(self.between(at - 0.5, at + 1.5), sound)
        best = int(like.argmax())
        return best / RATE - 0.5 if like[best] > 0.7 else None


class Theatre:
    def __init__(self, *faults: Fault, hum: bool = True) -> None:
        rng = np.random.default_rng(0)
        noise = rng.standard_normal(RATE).astype(np.float32) if hum else None
        self.clock = FakeClock()
        self.played: list[Samples] = []
        self.room = FaultyRoom(
            self.clock,
            faults,
            noise=noise,
            snr_db=40.0,
            heard=lambda block: self.played.append(block.copy()),
        )
        self.ear = Ear()
        self.stage = SimulatedStage(self.room, None, tones(), words, self.ear)
        self.stage.start()
        self.marks = itertools.count(1)

    def run(self, until: float) -> list[Event]:
        happened = []
        while (event := self.stage.wait(until)) is not None:
            happened.append(event)
        return happened

    def hears(self, at: float) -> float | None:
        """Say something at a time, let it pass, and tell how far off it was heard."""
        sound = low_mark(next(self.marks))
        self.room.speak(sound, at)
        self.run(at + 1.5)
        return self.ear.heard(sound, at)


def told(events: list[Event]) -> list[tuple[str, str]]:
    return [
        (type(e).__name__, e.device) for e in events if isinstance(e, DeviceLost | DeviceReturned)
    ]


LOST, BACK = "DeviceLost", "DeviceReturned"


@pytest.mark.parametrize(
    ("kind", "devices"),
    [
        (Kind.MICROPHONE_GONE, ["microphone"]),
        (Kind.SPEAKER_GONE, ["speaker"]),
        (Kind.HEADSET_GONE, ["microphone", "speaker"]),
        (Kind.HUNG, ["microphone", "speaker"]),
    ],
)
def test_what_is_gone_is_told_once_and_comes_back_by_itself(kind: Kind, devices: list[str]) -> None:
    play = Theatre(Fault(kind, 5.0, 30.0))
    happened = play.run(35.0)
    assert told(happened) == [(LOST, device) for device in devices]
    happened = play.run(35.0 + RETRY_MOST + 0.1)
    assert told(happened) == [(BACK, device) for device in devices]
    off = play.hears(60.0)
    assert off == pytest.approx(0.0, abs=0.005)


def test_time_and_cues_go_on_while_the_speaker_is_gone() -> None:
    play = Theatre(Fault(Kind.SPEAKER_GONE, 1.0, 8.0))
    play.stage.carry_out(Say(1, message("three"), 4.0))
    (started,) = [e for e in play.run(9.0) if isinstance(e, SoundStarted)]
    assert started.at == 4.0
    assert not np.concatenate(play.played).any()


def test_an_empty_battery_is_told_once_and_never_again() -> None:
    play = Theatre(Fault(Kind.HEADSET_GONE, 5.0))
    assert told(play.run(600.0)) == [(LOST, "microphone"), (LOST, "speaker")]


def test_unplugged_in_the_middle_of_a_word() -> None:
    play = Theatre(Fault(Kind.MICROPHONE_GONE, 5.25, 5.0))
    play.room.speak(low_mark(90), 5.0)
    assert told(play.run(30.0)) == [(LOST, "microphone"), (BACK, "microphone")]
    assert play.ear.heard(low_mark(90), 5.0) is None
    assert play.hears(40.0) == pytest.approx(0.0, abs=0.005)


def test_a_device_that_comes_and_goes_is_told_of_once_until_it_stays() -> None:
    faults = [Fault(Kind.MICROPHONE_GONE, 5.0 + 12.0 * n, 4.0) for n in range(8)]
    play = Theatre(*faults)
    ends = faults[-1].at + faults[-1].seconds
    # the first return is believed; after the next loss only one that lasts
    first = [(LOST, "microphone"), (BACK, "microphone"), (LOST, "microphone")]
    assert told(play.run(ends)) == first
    assert told(play.run(ends + RETRY_MOST + STEADY + 0.1)) == [(BACK, "microphone")]


def test_a_callback_that_hangs_for_less_than_a_second_loses_nothing() -> None:
    play = Theatre(Fault(Kind.HUNG, 5.0, 0.7))
    play.room.speak(low_mark(91), 5.1)
    assert told(play.run(8.0)) == []
    late = play.ear.heard(low_mark(91), 5.1)
    assert late == pytest.approx(0.0, abs=TORN)
    assert play.hears(9.0) == pytest.approx(0.0, abs=TORN)


def test_drop_outs_stop_nothing_and_time_stays_right() -> None:
    play = Theatre(Fault(Kind.DROPOUTS, 5.0, 60.0))
    assert told(play.run(66.0)) == []
    assert play.hears(68.0) == pytest.approx(0.0, abs=TORN)


def test_sleep_is_told_with_its_length_and_is_no_part_of_the_timeline() -> None:
    play = Theatre(Fault(Kind.ASLEEP, 5.0, 400.0))
    happened = play.run(10.0)
    assert [e.seconds for e in happened if isinstance(e, ClockJumped)] == [400.0]
    assert play.clock.monotonic() == pytest.approx(play.stage.now() + 400.0)
    assert play.hears(11.0) == pytest.approx(0.0, abs=0.005)


@pytest.mark.parametrize("rate", [8_000, 16_000, 44_100])
def test_the_rate_of_a_call_and_the_way_back_are_followed(rate: int) -> None:
    play = Theatre(Fault(Kind.RATE, 2.0, 10.0, rate))
    play.run(2.5)
    assert play.hears(4.0) == pytest.approx(0.0, abs=TORN)
    assert play.hears(14.0) == pytest.approx(0.0, abs=0.005)
    assert told(play.run(16.0)) == []


def test_another_default_device_is_gone_on_with() -> None:
    play = Theatre(Fault(Kind.CHANGED, 2.0, 30.0, 44_100))
    play.run(2.5)
    assert play.hears(4.0) == pytest.approx(0.0, abs=TORN)


@pytest.mark.parametrize("rate", [44_100, 16_000])
def test_a_rate_that_the_system_does_not_tell_is_found_out(rate: int) -> None:
    play = Theatre(Fault(Kind.WRONG_RATE, 2.0, 30.0, rate))
    play.run(20.0)
    assert play.hears(21.0) == pytest.approx(0.0, abs=TORN)
    play.run(50.0)
    assert play.hears(51.0) == pytest.approx(0.0, abs=TORN)


def test_drop_outs_are_not_taken_for_another_rate() -> None:
    play = Theatre(Fault(Kind.DROPOUTS, 2.0, 300.0))
    play.run(300.0)
    assert play.room._incoming is not None
    assert play.room._incoming.rate == RATE


def test_of_two_channels_one_of_which_is_dead_the_other_is_heard() -> None:
    play = Theatre(Fault(Kind.STEREO, 0.0))
    assert play.hears(2.0) == pytest.approx(0.0, abs=0.005)


@pytest.mark.parametrize("offset", [0.4, -0.05])
def test_an_offset_is_taken_away(offset: float) -> None:
    play = Theatre(Fault(Kind.OFFSET, 1.0, 60.0, offset))
    assert play.hears(5.0) == pytest.approx(0.0, abs=0.005)
    quiet = play.ear.between(7.5, 8.5)
    play.run(9.0)
    assert abs(float(play.ear.between(7.5, 8.5).mean())) < 0.001, quiet.mean()


def test_clipping_is_heard_all_the_same() -> None:
    play = Theatre(Fault(Kind.CLIPPING, 1.0, 60.0, 40.0))
    assert play.hears(5.0) == pytest.approx(0.0, abs=0.005)


def test_a_microphone_that_gives_zeros_is_gone_until_it_gives_sound() -> None:
    play = Theatre(Fault(Kind.ZEROS, 30.0, 60.0))
    assert told(play.run(30.0 + ZEROS - 0.1)) == []
    assert told(play.run(89.0)) == [(LOST, "microphone")]
    assert told(play.run(95.0)) == [(BACK, "microphone")]


def test_a_microphone_that_never_gave_anything_is_gone_after_a_while() -> None:
    play = Theatre(hum=False)
    assert told(play.run(NEVER - 0.1)) == []
    assert told(play.run(NEVER + 0.2)) == [(LOST, "microphone")]


def test_a_noise_gate_is_no_empty_battery() -> None:
    play = Theatre(hum=False)
    for at in range(2, 32, 5):
        assert play.hears(float(at)) == pytest.approx(0.0, abs=0.005)
    assert told(play.run(GATED / 2)) == []


def test_numbers_that_are_none_reach_nobody() -> None:
    play = Theatre()
    spoilt = np.full(960, np.nan, np.float32)
    spoilt[:10] = np.inf
    play.stage._captured(spoilt, 0)
    assert len(play.ear.blocks) == 1


def test_tries_come_at_growing_intervals_up_to_the_longest() -> None:
    retry = Retry(most=20.0)
    retry.begin(100.0)
    tries = [at for at in range(100, 220) if retry.due(float(at))]
    assert tries == [100, 102, 106, 114, 130, 150, 170, 190, 210]
    retry.begin(300.0)
    assert retry.due(300.0)
    assert retry.due(302.0)
