"""Letting go of a stream: what takes long is tried again once the system has let go."""

import threading

import numpy as np
import pytest

from coach.audio.playing import SampleSource
from coach.audio.sample_timeline import Timeline
from coach.audio.speaker import SpeakerStream


class Hangs:
    """A stream whose driver does not return from closing until it is told to."""

    def __init__(self) -> None:
        self.free = threading.Event()
        self.closed = threading.Event()

    def abort(self, ignore_errors: bool) -> None:
        self.free.wait()

    def close(self, ignore_errors: bool) -> None:
        self.closed.set()


def test_a_stream_that_the_system_does_not_let_go_of_is_stuck_only_as_long_as_that(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("coach.audio.streams.CLOSE", 0.05)
    source = SampleSource(lambda n: np.zeros(n, np.float32))
    stream = SpeakerStream(None, (48_000,), Timeline(), source, {})
    driver = Hangs()
    stream._stream = driver
    assert not stream.close()
    assert not stream.close(), "it is not opened again meanwhile"
    driver.free.set()
    assert driver.closed.wait(2.0)
    stream._closer.join()  # type: ignore[union-attr]
    assert stream.close()
