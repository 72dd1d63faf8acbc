"""The engines themselves, and engines that are missing, hang, die or talk nonsense."""

import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from coach.audio.sound_device import RATE
from coach.errors import AudioError
from coach.speech.engines import engine
from coach.speech.espeak import EspeakNg
from coach.speech.pyttsx import Pyttsx
from tests.speech.profiles import CALM, NEURAL, SYSTEM

TEXT = "Both hands on the edge."


@pytest.mark.parametrize("name", ["hibari", "espeak-ng", "pyttsx3"])
def test_an_engine_says_a_sentence_at_our_rate_without_silence_around_it(name: str) -> None:
    made = engine(name)
    try:
        profile = {"hibari": NEURAL, "espeak-ng": CALM, "pyttsx3": SYSTEM}[name]
        first, second = made.render(TEXT, profile), made.render(TEXT, profile)
        quicker = made.render(TEXT, replace(profile, words_per_minute=220))
        longer = made.render(f"{TEXT} And breathe out.", profile)
        slower = made.render(TEXT, replace(profile, words_per_minute=90))
    finally:
        made.close()
    assert first.dtype == np.float32
    assert len(first) == pytest.approx(len(second), rel=0.01)
    assert 0.8 < len(first) / RATE < 2.5
    assert len(quicker) < len(first) * 0.85
    assert len(longer) > len(first) * 1.3
    assert len(slower) > len(first) * 1.3
    loud = np.flatnonzero(np.abs(first) > 0.05 * np.abs(first).max())
    assert loud[0] < 0.1 * RATE
    assert len(first) - loud[-1] < 0.2 * RATE


@pytest.mark.parametrize("name", ["hibari", "espeak-ng", "pyttsx3"])
def test_a_profile_of_another_engine_is_said_with_the_engines_own_voice(name: str) -> None:
    made = engine(name)
    try:
        foreign = replace(CALM, engine="another", voice="com.another.voice")
        assert len(made.render(TEXT, foreign)) > RATE // 2
    finally:
        made.close()


def test_both_engines_tell_their_version() -> None:
    assert "1." in EspeakNg().version
    pyttsx = Pyttsx()
    pyttsx.close()
    assert pyttsx.version.startswith("2.")


def test_an_unknown_engine_is_an_error_that_lists_the_names() -> None:
    with pytest.raises(AudioError, match="hibari, espeak-ng, pyttsx3"):
        engine("gramophone")


def test_a_missing_program_says_what_to_install() -> None:
    with pytest.raises(AudioError, match="apt install espeak-ng"):
        EspeakNg("espeak-that-is-not-there")


def test_an_unknown_voice_says_how_to_list_them() -> None:
    with pytest.raises(AudioError, match="--voices"):
        EspeakNg().render(TEXT, replace(CALM, voice="nobody"))


def script(path: Path, body: str) -> str:
    path.write_text(f"#!/bin/sh\n{body}\n")
    path.chmod(0o755)
    return str(path)


def test_an_espeak_that_hangs_is_ended(tmp_path: Path) -> None:
    hung = EspeakNg(script(tmp_path / "espeak", "exec sleep 60"), patience=0.3)
    begin = time.monotonic()
    with pytest.raises(AudioError, match=r"did not answer within 0\.3 s"):
        hung.render(TEXT, CALM)
    assert time.monotonic() - begin < 3


def test_an_espeak_that_dies_once_is_tried_again(tmp_path: Path) -> None:
    body = f'if mkdir {tmp_path}/died 2>/dev/null; then kill -9 $$; fi; exec espeak-ng "$@"'
    assert len(EspeakNg(script(tmp_path / "espeak", body)).render(TEXT, CALM)) > RATE // 2


@pytest.mark.parametrize("output", ["", "echo nonsense", "printf 'RIFF\\1\\0\\0\\0WAVE'"])
def test_an_espeak_that_gives_no_wav_is_an_error(tmp_path: Path, output: str) -> None:
    with pytest.raises(AudioError, match="no usable sound"):
        EspeakNg(script(tmp_path / "espeak", output or ":")).render(TEXT, CALM)


def child(path: Path, body: str) -> tuple[str, ...]:
    path.write_text(f"import os, sys, time\nfolder = {str(path.parent)!r}\n{body}")
    return (sys.executable, str(path))


READY = "print('{\"ready\": true}', flush=True)\n"
REAL = "from coach.speech.pyttsx_child import main\nmain()\n"
ONCE = "fresh = not os.path.exists(folder + '/once')\nopen(folder + '/once', 'w').close()\n"


def test_a_pyttsx_child_that_hangs_once_is_replaced(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONPATH", str(Path.cwd()))
    body = f"{ONCE}if fresh:\n    {READY}    time.sleep(60)\n{REAL}"
    made = Pyttsx(patience=3.0, child=child(tmp_path / "child.py", body))
    try:
        assert len(made.render(TEXT, SYSTEM)) > RATE // 2
    finally:
        made.close()


def test_a_pyttsx_child_that_dies_every_time_is_an_error(tmp_path: Path) -> None:
    made = Pyttsx(patience=3.0, child=child(tmp_path / "child.py", f"{READY}sys.stdin.readline()"))
    with pytest.raises(AudioError, match="died"):
        made.render(TEXT, SYSTEM)
    made.close()


def test_a_pyttsx_child_without_an_engine_says_why_and_what_to_install(tmp_path: Path) -> None:
    body = 'print(\'{"error": "OSError: libespeak.so.1"}\', flush=True)\n'
    with pytest.raises(AudioError, match=r"libespeak\.so\.1[\s\S]*apt install"):
        Pyttsx(child=child(tmp_path / "child.py", body))


def test_what_pyttsx_prints_goes_to_the_log_and_never_to_the_screen(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    made = Pyttsx(tmp_path / "log")
    made.render(TEXT, SYSTEM)
    made.close()
    assert capfd.readouterr() == ("", "")
    assert "Audio saved" in (tmp_path / "log").read_text()
