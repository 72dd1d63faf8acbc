"""What the system calls for each block waits for nobody: no lock, no log, no file, and no two draw.

The judge stands outside: every lock that is made notes who takes it, and every log line who wrote
it; the threads are those on which the system called.
"""

import builtins
import logging
import threading
import time
from collections.abc import Callable, Iterator
from types import SimpleNamespace, TracebackType
from typing import Any, ClassVar

import numpy as np
import pytest

from coach.audio.mixer import Mixer
from coach.audio.playing import SampleSource
from coach.audio.portaudio import PortAudioDevice
from coach.audio.sample_timeline import Timeline
from coach.audio.sound_device import RATE, Samples
from coach.audio.speaker import SpeakerStream
from coach.audio.streams import Stream
from coach.audio.tones import tones
from coach.model.messages import message
from coach.runtime.live_stage import Stage
from coach.session.effects import Cut, Play, Say, Tone
from tests.audio.pulse import Pulse
from tests.audio.test_real_stage import Ear, Marks, words

real_lock = threading.Lock


class Watched:
    """A lock that notes the threads that take it."""

    takers: ClassVar[set[int]] = set()

    def __init__(self) -> None:
        self._lock = real_lock()

    def acquire(self, *how: Any, **more: Any) -> bool:
        self.takers.add(threading.get_ident())
        return self._lock.acquire(*how, **more)

    def release(self) -> None:
        self._lock.release()

    def locked(self) -> bool:
        return self._lock.locked()

    def __enter__(self) -> bool:
        return self.acquire()

    def __exit__(
        self, kind: type | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.release()


class Calls:
    """Who was called by the system, who took a lock, wrote a log line, or opened a file."""

    def __init__(self) -> None:
        self.threads: set[int] = set()
        self.blocks = 0
        self.loggers: set[int] = set()
        self.openers: set[int] = set()

    def guilty(self) -> dict[str, set[int]]:
        """The system's own threads among each of them."""
        found = {"lock": Watched.takers, "log": self.loggers, "file": self.openers}
        return {what: self.threads & who for what, who in found.items()}


@pytest.fixture
def calls(monkeypatch: pytest.MonkeyPatch) -> Iterator[Calls]:
    seen = Calls()
    call, opens = Stream._call, builtins.open

    def watched(self: Stream, *what: Any) -> None:
        seen.threads.add(threading.get_ident())
        seen.blocks += 1
        call(self, *what)

    def opened(*what: Any, **more: Any) -> Any:
        seen.openers.add(threading.get_ident())
        return opens(*what, **more)

    class Log(logging.Handler):
        def handle(self, record: logging.LogRecord) -> bool:
            seen.loggers.add(record.thread or 0)
            return True

    Watched.takers = set()
    for name in ("Lock", "RLock"):
        monkeypatch.setattr(threading, name, Watched)
    monkeypatch.setattr(Stream, "_call", watched)
    monkeypatch.setattr(builtins, "open", opened)
    handler, root = Log(), logging.getLogger()
    level = root.level
    root.addHandler(handler)
    root.setLevel(logging.DEBUG)
    yield seen
    root.removeHandler(handler)
    root.setLevel(level)


@pytest.mark.sound
def test_the_systems_calls_take_no_lock_and_write_nothing(pulse: Pulse, calls: Calls) -> None:
    stage = Stage(PortAudioDevice(), Marks(), tones(), words, Ear())
    stage.start()
    try:
        stage.carry_out(Play(0, Tone.SYNC, stage.now() + 0.3))
        for number in range(1, 5):  # the last is late, which is logged, elsewhere
            at = stage.now() + (0.3 * number if number < 4 else -1.0)
            stage.carry_out(Say(number, message("mark", number=number), at))
        end = stage.now() + 1.5
        while stage.wait(end) is not None:
            pass
        stage.carry_out(Cut())
        stage.wait(stage.now() + 0.3)
    finally:
        stage.stop()
    assert calls.blocks > 100
    assert calls.loggers, "something is logged, so that the judge has something to see"
    assert calls.guilty() == {"lock": set(), "log": set(), "file": set()}


@pytest.mark.sound
@pytest.mark.parametrize("sin", ["lock", "log", "file"])
def test_the_judge_sees_who_sins(pulse: Pulse, calls: Calls, sin: str) -> None:
    lock, log = threading.Lock(), logging.getLogger("sin")
    sins: dict[str, Callable[[], object]] = {
        "lock": lambda: lock.acquire(timeout=0.0),
        "log": lambda: log.debug("now"),
        "file": lambda: open("/dev/null").close(),  # noqa: PTH123
    }
    mixer = Mixer()

    def render(n: int) -> Samples:
        sins[sin]()
        return mixer.render(n)[0]

    device = PortAudioDevice()
    device.start(render, None, lambda event: None)
    device.stop()
    assert calls.guilty()[sin]


class Drawn:
    """A source's renderer that lets something happen while it draws."""

    def __init__(self) -> None:
        self.samples = 0
        self.meanwhile: Callable[[], object] = lambda: None

    def __call__(self, n: int) -> Samples:
        self.samples += n
        meanwhile, self.meanwhile = self.meanwhile, lambda: None
        meanwhile()
        return np.ones(n, np.float32)


FRAMES = 48


class Driver:
    """A speaker whose device is called by the test."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("coach.audio.speaker._SETTLE", 0.0)  # its times are believed at once
        self.drawn = Drawn()
        timeline = Timeline()
        timeline.anchor = time.monotonic()
        self.speaker = SpeakerStream(None, (RATE,), timeline, SampleSource(self.drawn), {})
        self.speaker._stream = SimpleNamespace(latency=0.05, time=0.0)
        self.leave = self.speaker._leave

    def call(self) -> bool:
        """The system asks for a block; whether it was given sound."""
        block = np.full((FRAMES, 2), 0.5, np.float32)
        when = SimpleNamespace(outputBufferDacTime=0.0)
        self.speaker._call(self.leave, block, FRAMES, when, None)
        return bool(block.any())

    def pass_on(self) -> bool:
        """Go on a little as if nobody played; whether anything was drawn for that."""
        before = self.drawn.samples
        self.speaker.pass_unheard(time.monotonic() + 3600.0)
        return self.drawn.samples > before


def test_a_device_that_begins_while_time_is_passed_on_waits_for_its_next_block(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    driver, given = Driver(monkeypatch), []
    driver.drawn.meanwhile = lambda: given.append(driver.call())
    assert driver.pass_on()
    assert given == [False], "two would have drawn at once"
    assert driver.call(), "then it begins"


def test_nobody_passes_time_on_while_a_device_plays(monkeypatch: pytest.MonkeyPatch) -> None:
    driver, passed = Driver(monkeypatch), []
    driver.drawn.meanwhile = lambda: passed.append(driver.pass_on())
    assert driver.call()
    assert passed == [False]
    driver.speaker.disown()
    assert driver.pass_on(), "once it is gone, time goes on without it"


def test_whoever_disowns_a_device_waits_until_it_is_out(monkeypatch: pytest.MonkeyPatch) -> None:
    driver = Driver(monkeypatch)
    inside, out = threading.Event(), threading.Event()

    def held() -> None:
        inside.set()
        out.wait(5.0)

    driver.drawn.meanwhile = held
    caller = threading.Thread(target=driver.call)
    caller.start()
    assert inside.wait(5.0)
    letter = threading.Timer(0.1, out.set)
    letter.start()
    driver.speaker.disown()
    assert out.is_set(), "it drew until then"
    caller.join()
    drawn = driver.drawn.samples
    assert not driver.call(), "an old device that calls once more plays silence"
    assert driver.drawn.samples == drawn
