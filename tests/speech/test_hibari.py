"""The neural voice: the same samples for the same sentence, refusals, and a child that fails."""

import hashlib
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from coach.audio.sound_device import RATE
from coach.errors import AudioError
from coach.speech import hibari
from coach.speech.engines import suiting
from coach.speech.hibari import Hibari
from tests.speech.profiles import CALM, NEURAL

TEXT = "Both hands on the edge."


def digest(samples: np.ndarray) -> str:
    return hashlib.sha256(samples.tobytes()).hexdigest()


def test_a_sentence_gives_the_same_samples_in_another_process() -> None:
    made = Hibari()
    try:
        first = made.render(TEXT, NEURAL)
        made.rest()
        again = made.render(TEXT, NEURAL)
    finally:
        made.close()
    assert digest(first) == digest(again)
    assert 0.8 < len(first) / RATE < 2.5


def test_it_leaves_nothing_behind_and_has_nothing_to_send(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What runs the voice can keep a number for the machine and send its use: it is not let."""
    for name in ("CI", "ORT_DISABLE_TELEMETRY"):
        monkeypatch.delenv(name, raising=False)
    for name in ("HOME", "TMPDIR", "XDG_CACHE_HOME"):
        monkeypatch.setenv(name, str(tmp_path))
    made = Hibari()
    try:
        made.render(TEXT, NEURAL)
    finally:
        made.close()
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


def test_pace_is_the_profiles_and_pitch_moves_the_voice_not_the_pace() -> None:
    made = Hibari()
    try:
        usual = made.render(TEXT, NEURAL)
        quicker = made.render(TEXT, replace(NEURAL, words_per_minute=220))
        lower = made.render(TEXT, replace(NEURAL, pitch=28))
    finally:
        made.close()
    assert len(quicker) < len(usual) * 0.85
    assert len(lower) == pytest.approx(len(usual), rel=0.08)
    assert centre(lower) < centre(usual) * 0.95


def centre(sound: np.ndarray) -> float:
    """Hertz around which the power lies."""
    power = np.abs(np.fft.rfft(sound)) ** 2
    return float((np.fft.rfftfreq(len(sound), 1 / RATE) * power).sum() / power.sum())


def test_other_voices_and_languages_are_refused_without_asking_the_network() -> None:
    made = Hibari()
    try:
        with pytest.raises(AudioError, match="would be downloaded"):
            made.render(TEXT, replace(NEURAL, voice="emma"))
        with pytest.raises(AudioError, match="as if it were English"):
            made.render("Beide Hände an die Leiste.", replace(NEURAL, language="de"))
        assert len(made.render(TEXT, replace(CALM, voice="en-gb+f2"))) > RATE // 2
    finally:
        made.close()


def test_weights_that_were_not_measured_are_refused(tmp_path: Path) -> None:
    weights = tmp_path / "hibari.onnx"
    weights.write_bytes(hibari.installed().read_bytes()[:-1] + b"\0")
    with pytest.raises(AudioError, match="not the weights that were measured"):
        hibari.checked(weights)


def test_another_version_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(hibari, "VERSION", "0.2.0")
    with pytest.raises(AudioError, match="not the version that was measured"):
        Hibari()


def child(path: Path, body: str) -> tuple[str, ...]:
    path.write_text(f"import json, os, sys, time\nfolder = {str(path.parent)!r}\n{body}")
    return (sys.executable, "-u", str(path))


READY = "print(json.dumps({'ready': True}))\n"
BEATS = "while True:\n    print(json.dumps({'beat': True}))\n    time.sleep(0.1)\n"
REAL = "from coach.speech.hibari_child import main\nmain()\n"
ONCE = "fresh = not os.path.exists(folder + '/once')\nopen(folder + '/once', 'w').close()\n"


def test_a_child_that_falls_silent_once_is_replaced(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONPATH", str(Path.cwd()))
    body = f"{ONCE}if fresh:\n    {READY}    time.sleep(60)\n{REAL}"
    made = Hibari(child=child(tmp_path / "child.py", body))
    try:
        assert len(made.render(TEXT, NEURAL)) > RATE // 2
    finally:
        made.close()


def test_a_child_that_beats_and_never_answers_is_ended(tmp_path: Path) -> None:
    made = Hibari(child=child(tmp_path / "child.py", READY + BEATS), silent=0.5, longest=1.0)
    with pytest.raises(AudioError, match="did not render a sentence within"):
        made.render(TEXT, NEURAL)
    made.close()


def test_a_child_that_dies_every_time_is_an_error(tmp_path: Path) -> None:
    made = Hibari(child=child(tmp_path / "child.py", f"{READY}sys.stdin.readline()"))
    with pytest.raises(AudioError, match="died"):
        made.render(TEXT, NEURAL)
    made.close()


def test_who_stands_in_for_whom() -> None:
    assert suiting(NEURAL) == ("hibari", "espeak-ng", "pyttsx3")
    assert suiting(replace(CALM, language="de")) == ("espeak-ng", "pyttsx3")
    assert suiting(CALM) == ("espeak-ng", "hibari", "pyttsx3")
