"""What a stage does with effects, on a simulated room: to the sample, and in order."""

from collections.abc import Callable

import numpy as np
import pytest

from coach.audio.sound_device import RATE, Samples
from coach.audio.tones import tones
from coach.clock import FakeClock
from coach.errors import AudioError
from coach.model.answers import parse
from coach.model.messages import Message, message
from coach.runtime.stage import Speaker, StageListener
from coach.session.effects import CloseWindow, Cut, Effect, OpenWindow, Play, Say, Tone, WakeAt
from coach.session.events import (
    Answered,
    DeviceLost,
    DeviceReturned,
    Event,
    SoundEnded,
    SoundStarted,
)
from tests.audio.simulated_room import SimulatedRoom
from tests.audio.simulated_stage import SimulatedStage

REST = message("rest")
GO = message("go")


def words(what: Message) -> str:
    return what.key


class Steady:
    """A voice whose every sentence is half a second of the same sound, ready or not."""

    def __init__(self) -> None:
        self.asked: dict[str, Callable[[Samples | AudioError], None]] = {}
        self.ready = True

    def sound(self, text: str) -> Samples | None:
        return np.full(RATE // 2, 0.1, np.float32) if self.ready else None

    def request(self, text: str, done: Callable[[Samples | AudioError], None]) -> None:
        self.asked[text] = done


class Notes:
    """A listener that writes down what it is told, and answers when it hears something."""

    def __init__(self) -> None:
        self.told: list[tuple[object, ...]] = []
        self.heard = 0

    def open(self, window: OpenWindow) -> None:
        self.told.append(("open", window.window))

    def close(self, window: CloseWindow) -> None:
        self.told.append(("close", window.window))

    def doubt(self) -> None:
        pass

    def sounding(self, text: str, start: float, end: float | None) -> None:
        self.told.append((text, start, end))

    def feed(self, samples: Samples, first: int) -> list[Event]:
        assert first == self.heard
        self.heard += len(samples)
        if not samples.any():
            return []
        return [Answered(self.heard / RATE, parse("done"), onset=first / RATE)]


class Theatre:
    """A started stage and its parts."""

    def __init__(self, voice: Speaker | None, listener: StageListener | None = None) -> None:
        self.heard: list[Samples] = []
        self.room = SimulatedRoom(FakeClock(), heard=lambda block: self.heard.append(block.copy()))
        self.stage = SimulatedStage(self.room, voice, tones(), words, listener)
        self.stage.start()

    def events(self, until: float) -> list[Event]:
        happened = []
        while (event := self.stage.wait(until)) is not None:
            happened.append(event)
        return happened

    def loud(self) -> list[int]:
        return np.flatnonzero(np.concatenate(self.heard)).tolist()


def test_a_cue_sounds_at_its_time_and_is_told_as_it_sounds() -> None:
    play = Theatre(Steady())
    play.stage.carry_out(Say(7, REST, 1.2345))
    assert play.events(3.0) == [
        SoundStarted(1.2345, 7, REST, 0.5),
        SoundEnded(1.7345, 7, cut=False),
    ]
    start = round(1.2345 * RATE)
    assert play.loud() == list(range(start, start + RATE // 2))


def test_a_tone_sounds_at_its_time_and_carries_its_name() -> None:
    play = Theatre(Steady())
    play.stage.carry_out(Play(3, Tone.START, 0.5))
    started = play.events(2.0)[0]
    assert isinstance(started, SoundStarted)
    assert (started.at, started.what) == (0.5, message("tone", name="start"))
    assert started.seconds == pytest.approx(len(tones()[Tone.START]) / RATE)


def test_a_cut_silences_what_sounds_and_what_waits_but_what_it_keeps() -> None:
    play = Theatre(Steady())
    for sound, at in ((1, 0.0), (2, 5.0), (3, 0.2)):
        play.stage.carry_out(Say(sound, REST, at))
    play.events(0.3)
    play.stage.carry_out(Cut(keep=3))
    ended = {e.sound: e.cut for e in play.events(6.0) if isinstance(e, SoundEnded)}
    assert ended == {1: True, 2: True, 3: False}


def test_a_cue_that_is_not_rendered_yet_starts_as_soon_as_it_is() -> None:
    voice = Steady()
    voice.ready = False
    play = Theatre(voice)
    play.stage.carry_out(Say(1, REST, 0.5))
    assert play.events(1.0) == []
    voice.asked["rest"](np.full(RATE // 4, 0.1, np.float32))
    assert play.events(2.0) == [SoundStarted(1.0, 1, REST, 0.25), SoundEnded(1.25, 1)]


def test_a_cue_that_is_ready_ahead_of_its_time_waits_for_it() -> None:
    voice = Steady()
    voice.ready = False
    play = Theatre(voice)
    play.stage.carry_out(Say(1, REST, 0.5))
    voice.asked["rest"](np.full(RATE // 4, 0.1, np.float32))
    assert play.events(2.0)[0].at == 0.5


def test_a_cut_before_it_is_rendered_ends_it_unheard() -> None:
    voice = Steady()
    voice.ready = False
    play = Theatre(voice)
    play.stage.carry_out(Say(1, REST, 0.5))
    play.stage.carry_out(Say(2, GO, 0.5))
    play.stage.carry_out(Cut(keep=2))
    for done in voice.asked.values():
        done(np.full(RATE // 4, 0.1, np.float32))
    happened = play.events(2.0)
    assert SoundEnded(0.0, 1, cut=True) in happened
    assert [e.sound for e in happened if isinstance(e, SoundStarted)] == [2]


def test_a_voice_that_fails_is_told_once_and_the_session_goes_on_in_silence() -> None:
    voice = Steady()
    voice.ready = False
    play = Theatre(voice)
    for sound, what in ((1, REST), (2, GO)):
        play.stage.carry_out(Say(sound, what, 0.5))
        voice.asked[what.key](AudioError("It broke.", "Mend it."))
    play.stage.carry_out(Say(3, message("third"), 4.0))
    voice.asked["third"](np.full(RATE // 4, 0.1, np.float32))
    happened = play.events(6.0)
    assert sum(isinstance(e, DeviceLost) for e in happened) == 1
    assert sum(isinstance(e, DeviceReturned) for e in happened) == 1
    assert [e.sound for e in happened if isinstance(e, SoundEnded)] == [1, 2, 3]
    assert min(play.loud()) == 4 * RATE


def test_without_a_voice_cues_last_as_long_as_they_would() -> None:
    play = Theatre(None)
    play.stage.carry_out(Say(1, message("three words here"), 0.5))
    started, ended = play.events(5.0)
    assert ended.at - started.at > 0.5
    assert play.loud() == []


def test_the_ear_hears_every_sample_and_is_told_what_sounds() -> None:
    ear = Notes()
    play = Theatre(Steady(), ear)
    play.stage.carry_out(Say(1, REST, 0.5))
    play.stage.carry_out(OpenWindow(4, ("done", "skip"), 1.0))
    play.room.speak(np.resize(np.array([0.5, -0.5], np.float32), 480), 1.5)
    happened = play.events(2.0)
    play.stage.carry_out(CloseWindow(4, 2.0))
    answered = [e for e in happened if isinstance(e, Answered)]
    assert [(e.onset, e.at) for e in answered] == [(1.5, 1.52)]
    assert ear.told == [("open", 4), ("rest", 0.5, None), ("rest", 0.5, 1.0), ("close", 4)]
    assert ear.heard == 2 * RATE


def test_stop_and_hurt_overtake_what_else_is_due() -> None:
    play = Theatre(Steady())
    for key in ("done", "count:3", "stop", "hurt"):
        play.stage.post(Answered(0.1, parse(key)))
    keys = [e.answer.key for e in play.events(1.0) if isinstance(e, Answered)]
    assert keys == ["stop", "hurt", "done", "count:3"]


def test_an_event_is_given_out_when_it_is_due_and_not_before() -> None:
    play = Theatre(Steady())
    play.stage.post(DeviceLost(0.7, "microphone", "test"))
    assert play.stage.wait(0.6) is None
    assert play.stage.wait(0.8) == DeviceLost(0.7, "microphone", "test")
    assert play.stage.now() == pytest.approx(0.7, abs=0.021)


def test_watchers_see_effects_and_events_in_their_order() -> None:
    play = Theatre(Steady())
    seen: list[Effect | Event] = []
    play.stage.watch(seen.append)
    say = Say(1, REST, 0.5)
    play.stage.carry_out(say)
    happened = play.events(2.0)
    assert seen == [say, *happened]


def test_an_effect_that_makes_no_sound_is_refused() -> None:
    with pytest.raises(TypeError, match="WakeAt"):
        Theatre(None).stage.carry_out(WakeAt(1.0))


def test_waiting_for_what_never_comes_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tests.audio.simulated_stage.A_DAY", 5.0)
    with pytest.raises(RuntimeError, match="nothing happened"):
        Theatre(None).stage.wait(None)


def test_what_nobody_answers_sounds_louder_for_the_room_and_is_never_clipped() -> None:
    """6 dB for a quiet voice; one near full scale stays 1 dB below it."""
    heights = []
    for height in (0.1, 0.8):
        for room in (False, True):
            voice = Steady()
            voice.ready = False
            play = Theatre(voice)
            play.stage.carry_out(Say(1, REST, 0.5, for_the_room=room))
            play.events(0.6)
            tone = height * np.sin(2 * np.pi * 440.0 * np.arange(RATE // 2) / RATE)
            voice.asked["rest"](tone.astype(np.float32))
            play.events(2.0)
            heights.append(float(np.abs(np.concatenate(play.heard)).max()))
    quiet, quiet_room, high, high_room = heights
    assert 20 * np.log10(quiet_room / quiet) == pytest.approx(6.02, abs=0.1)
    assert high < high_room <= 10 ** (-1 / 20)


def test_a_ready_cue_is_louder_for_the_room_too() -> None:
    play = Theatre(Steady())
    play.stage.carry_out(Say(1, REST, 0.5, for_the_room=True))
    play.events(2.0)
    assert float(np.abs(np.concatenate(play.heard)).max()) == pytest.approx(0.2, abs=0.01)
