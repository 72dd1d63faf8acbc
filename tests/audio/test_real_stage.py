"""The stage in real time, on a sound server: journalled starts against what was recorded."""

import time
from itertools import pairwise

import numpy as np
import pytest

from coach.audio.portaudio import PortAudioDevice
from coach.audio.sound_device import RATE, Samples
from coach.audio.tones import tones
from coach.model.answers import parse
from coach.model.messages import Message, message
from coach.runtime.live_stage import Stage
from coach.session.effects import CloseWindow, Cut, OpenWindow, Play, Say, Tone
from coach.session.events import Answered, DeviceLost, Event, SoundEnded, SoundStarted
from tests.audio.pulse import Pulse
from tests.audio.signals import find, mark

pytestmark = pytest.mark.sound


class Marks:
    """A voice whose sentences are marks: 'mark 7' is a burst of noise that only it is."""

    def sound(self, text: str) -> Samples | None:
        return mark(int(text.split()[1]), 0.3)

    def request(self, text: str, done: object) -> None:
        raise AssertionError("every mark is ready")


class Ear:
    """Answers 'stop' at the first loud block after a window was opened; then it dies."""

    def __init__(self) -> None:
        self.opened: float | None = None
        self.answered = False

    def open(self, window: OpenWindow) -> None:
        self.opened = window.at

    def close(self, window: CloseWindow) -> None:
        raise RuntimeError("the ear fell off")

    def doubt(self) -> None:
        pass

    def sounding(self, text: str, start: float, end: float | None) -> None:
        pass

    def feed(self, samples: Samples, first: int) -> list[Event]:
        if self.answered or self.opened is None or np.abs(samples).max() < 0.1:
            return []
        self.answered = True
        return [Answered(first / RATE, parse("stop"), onset=first / RATE)]


def words(what: Message) -> str:
    return f"{what.key} {what.value('number')}"


def events(stage: Stage, until: float) -> list[Event]:
    happened = []
    while (event := stage.wait(until)) is not None:
        happened.append(event)
    return happened


def test_what_the_journal_says_is_what_was_heard(pulse: Pulse) -> None:
    ear = Ear()
    stage = Stage(PortAudioDevice(), Marks(), tones(), words, ear)
    with pulse.recording() as recording:
        stage.start()
        try:
            stage.carry_out(Play(0, Tone.SYNC, stage.now() + 0.3))
            for number in range(1, 6):
                at = stage.now() + 0.3 + 0.5 * number
                stage.carry_out(Say(number, message("mark", number=number), at))
            happened = events(stage, stage.now() + 2.9)
            stage.carry_out(Cut())
            happened += events(stage, stage.now() + 0.5)

            stage.carry_out(OpenWindow(1, ("done", "skip"), stage.now()))
            begun = time.monotonic()
            player = pulse.say(mark(50, 0.3))
            answer = stage.wait(stage.now() + 3.0)
            assert isinstance(answer, Answered)
            assert time.monotonic() - begun < 1.5
            player.wait()
            stage.carry_out(CloseWindow(1, stage.now()))
            assert isinstance(stage.wait(stage.now() + 1.0), DeviceLost)
            stage.carry_out(Play(9, Tone.HEARD, stage.now()))
            assert isinstance(stage.wait(stage.now() + 1.0), SoundStarted)
        finally:
            stage.stop()
    started = {e.sound: e.at for e in happened if isinstance(e, SoundStarted)}
    assert sorted(started) == [0, 1, 2, 3, 4, 5]
    origin = find(recording.samples(), tones()[Tone.SYNC]) / RATE - started[0]
    for number in range(1, 6):
        heard = find(recording.samples(), mark(number, 0.3)[: RATE // 20]) / RATE - origin
        assert heard == pytest.approx(started[number], abs=0.005)
    cut = {e.sound for e in happened if isinstance(e, SoundEnded) and e.cut}
    assert cut <= {5}
    assert all(a.at <= b.at for a, b in pairwise(happened))
