"""The ear of a real stage: what fails, hangs or falls behind is told, and used again."""

import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import numpy as np
import pytest

from coach.audio.sound_device import RATE, Capture, Notify, Render, Samples
from coach.audio.tones import tones
from coach.hearing.endpoint import Mark, level_db
from coach.hearing.listener import Listener, _Piece
from coach.hearing.recogniser_port import Scored
from coach.runtime.live_stage import BACKLOG, EAR_RESTS, Stage
from coach.session.effects import CloseWindow, OpenWindow
from coach.session.events import Answered, DeviceLost, DeviceReturned, Event
from tests.audio.long_session import Knows, noise_of

BLOCK = RATE // 50


class Device:
    """A device whose time and microphone a test moves by hand."""

    def __init__(self) -> None:
        self.time = 0.0
        self.capture: Capture | None = None
        self.first = 0

    def start(self, render: Render, capture: Capture | None, notify: Notify) -> None:
        self.capture = capture

    def now(self) -> float:
        return self.time

    def stop(self) -> None:
        self.capture = None

    def hear(self, blocks: int = 1) -> None:
        assert self.capture is not None
        sound = np.random.default_rng(self.first).standard_normal(BLOCK).astype(np.float32)
        for _ in range(blocks):
            self.capture(0.01 * sound, self.first)
            self.first += BLOCK
            self.time = self.first / RATE


class Ear:
    """Does with each block what the test says, and remembers windows."""

    def __init__(self, feed: Callable[[], None]) -> None:
        self._feed = feed
        self.windows: list[int] = []
        self.fed = 0

    def open(self, window: OpenWindow) -> None:
        self.windows.append(window.window)

    def close(self, window: CloseWindow) -> None:
        pass

    def doubt(self) -> None:
        pass

    def sounding(self, text: str, start: float, end: float | None) -> None:
        pass

    def feed(self, samples: Samples, first: int) -> list[Event]:
        self._feed()
        self.fed += 1
        return []


@contextmanager
def listening(ear: Ear) -> Iterator[tuple[Stage, Device]]:
    device = Device()
    stage = Stage(device, None, tones(), lambda what: what.key, ear)
    stage.start()
    try:
        yield stage, device
    finally:
        stage.stop()


def until(ready: Callable[[], object]) -> None:
    end = time.monotonic() + 10.0
    while not ready():
        assert time.monotonic() < end
        time.sleep(0.005)


def told(stage: Stage) -> list[Event]:
    events = []
    while (event := stage.wait(stage.now())) is not None:
        events.append(event)
    return events


def test_an_ear_that_fails_is_told_left_alone_and_used_again() -> None:
    broken = [True]

    def feed() -> None:
        if broken.pop():
            raise RuntimeError("it fell off")
        broken.append(False)

    ear = Ear(feed)
    with listening(ear) as (stage, device):
        device.hear()
        until(lambda: stage._failed)
        broken.append(False)
        device.hear(10)
        stage.carry_out(OpenWindow(7, ("done",), 0.1))
        until(lambda: ear.windows)
        assert ear.fed == 0, "it is left alone"
        (lost,) = told(stage)
        assert isinstance(lost, DeviceLost)
        assert (lost.device, lost.why) == ("recogniser", "RuntimeError: it fell off")
        device.hear(round((EAR_RESTS + 0.1) * 50))
        until(lambda: ear.fed)
        assert [type(event) for event in told(stage)] == [DeviceReturned]
        assert ear.windows == [7], "windows that opened meanwhile are known"


def test_an_ear_that_hangs_is_told_and_back_once_it_has_caught_up() -> None:
    free = threading.Event()

    def feed() -> None:
        free.wait()

    ear = Ear(feed)
    with listening(ear) as (stage, device):
        device.hear(BACKLOG + 50)
        (lost,) = told(stage)
        assert isinstance(lost, DeviceLost)
        assert lost.device == "recogniser"
        free.set()
        until(stage._calls.empty)
        device.hear(2)
        until(stage._calls.empty)
        assert [type(event) for event in told(stage)] == [DeviceReturned]


def test_ten_minutes_of_unbroken_speech_neither_block_an_answer_nor_fill_the_memory() -> None:
    asked = 0

    class Counts(Knows):
        def score(self, *what: Any) -> tuple[Scored, ...]:
            nonlocal asked
            asked += 1
            return super().score(*what)

    def speech(chunk: Sequence[float]) -> float:
        return float(level_db(np.asarray(chunk, np.float32)) > -56.0)

    listener = Listener(Counts(), {"done": ("all done",)}, detector=speech)
    listener.open(OpenWindow(2, ("done", "skip"), 0.0))
    dice = np.random.default_rng(1)
    quiet = 0.0005 * dice.standard_normal(4 * RATE)
    # four syllables a second: what keeps one level is a room
    syllables = 0.1 + np.abs(np.sin(4 * np.pi * np.arange(30 * RATE) / RATE))
    talk = 0.005 * syllables * dice.standard_normal(30 * RATE)
    step, at = RATE // 10, 0
    answers: list[Answered] = []

    def hear(sound: Samples) -> None:
        nonlocal at
        for begin in range(0, len(sound), step):
            block = sound[begin : begin + step]
            answers.extend(e for e in listener.feed(block, at) if isinstance(e, Answered))
            at += len(block)

    hear(quiet.astype(np.float32))
    for _ in range(20):
        hear(talk.astype(np.float32))
    assert at / RATE > 600.0
    assert answers == []
    assert listener._ears.onset is not None, "it was one piece of speech"
    assert 600 < asked < 2 * 600 + 10, "a look every half second, where none hears anything"
    assert len(listener._ears._store) < 20 * 16_000
    listener.open(OpenWindow(3, ("done", "skip"), at / RATE))
    answer = talk[: 3 * RATE].astype(np.float32)
    said = noise_of("all done")
    answer[RATE : RATE + len(said)] += said
    hear(answer)
    # the session closes the window with the first; here nobody does
    assert {(one.answer.key, one.window) for one in answers} == {("done", 3)}


class Eager(Listener):
    """Judges every look at once."""

    def _look(self, mark: Mark) -> list[Event]:
        events = super()._look(mark)
        if isinstance(self._rolling, _Piece):
            self._rolling = self._judged(self._rolling)
        return events


@pytest.mark.parametrize("seed", range(3))
def test_looks_that_are_spared_decide_nothing(seed: int) -> None:
    """Answers here and there in talk without a pause, a cue and a new window in between."""
    dice = np.random.default_rng(seed)
    talk = (0.003 * dice.standard_normal(40 * RATE)).astype(np.float32)
    talk[: 4 * RATE] *= 0.1
    for phrase in ("all done", "skip that", "all done", "skip that", "all done", "skip that"):
        said, at = noise_of(phrase), int(dice.integers(6 * RATE, 38 * RATE))
        talk[at : at + len(said)] += said
    heard: list[list[Event]] = []
    asked: list[int] = []
    for kind in (Eager, Listener):
        times = 0

        class Counts(Knows):
            def score(self, *what: Any) -> tuple[Scored, ...]:
                nonlocal times
                times += 1
                return super().score(*what)

        def speech(chunk: Sequence[float]) -> float:
            return float(level_db(np.asarray(chunk, np.float32)) > -56.0)

        phrases = {"done": ("all done",), "skip": ("skip that",)}
        listener = kind(Counts(), phrases, detector=speech, compute_seconds=0.1)
        listener.open(OpenWindow(2, ("done", "skip"), 0.0))
        events: list[Event] = []
        for first in range(0, len(talk), 960):
            if first == 20 * RATE:
                listener.open(OpenWindow(3, ("done", "skip"), 20.0))
                listener.sounding("Skip that now", 20.0, None)
            if first == 22 * RATE:
                listener.sounding("Skip that now", 20.0, 22.0)
            events += listener.feed(talk[first : first + 960], first)
        heard.append(events)
        asked.append(times)
    assert heard[1] == heard[0]
    assert sum(isinstance(event, Answered) for event in heard[0]) >= 2
    assert asked[1] < 0.8 * asked[0]
