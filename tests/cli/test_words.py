"""`coach words`: what may be said, taught and forgotten."""

import json
import wave
from pathlib import Path

import numpy as np
import pytest

from coach.audio import portaudio
from coach.audio.sound_device import Capture, Notify, Render
from coach.cli import teach
from coach.errors import ExitCode
from coach.files.paths import paths
from coach.files.words import own_words, own_words_file
from coach.hearing.takes import add, load_all
from coach.session.events import DeviceLost
from tests.bench.hearing import material
from tests.bench.hearing.material import RATE, Voice
from tests.cli.conftest import Coach
from tests.hearing.voices import needs

pytestmark = pytest.mark.usefixtures("home")


def recorded(folder: Path, phrase: str, *paces: int) -> None:
    """WAV files of a phrase, stereo, in a quiet room."""
    needs("espeak-ng")
    folder.mkdir(parents=True)
    rng = np.random.default_rng(1)
    for number, pace in enumerate(paces):
        sound = material.say(Voice("espeak-ng", "de", pace), phrase)
        sound = np.concatenate([np.zeros(RATE // 2, np.float32), sound])
        sound = sound + (1e-4 * rng.standard_normal(len(sound))).astype(np.float32)
        with wave.open(str(folder / f"{number}.wav"), "wb") as file:
            file.setparams((2, 2, RATE, 0, "NONE", "not compressed"))
            file.writeframes((np.repeat(sound, 2) * 32767).astype("<i2").tobytes())


def rows(text: str) -> dict[str, list[str]]:
    """Answer -> phrases as they are listed."""
    found = (line.split("  ", 1) for line in text.splitlines() if "  " in line)
    return {key: [one.strip() for one in some.split(",")] for key, some in found}


def test_words_lists_the_phrases_of_every_answer(coach: Coach) -> None:
    ran = coach("words")

    assert ran.code == ExitCode.OK
    assert rows(ran.out)["done"] == ["all done", "i'm done", "done"]


def test_words_as_json(coach: Coach) -> None:
    ran = coach("words", "--json")

    first = json.loads(ran.out)["pause"][0]
    assert first == {"phrase": "take a pause", "known": "by itself"}


def test_a_language_that_is_not_there_is_told(coach: Coach) -> None:
    ran = coach("words", "--language", "xx")

    assert ran.code == ExitCode.USAGE
    assert "xx" in ran.err


def test_a_word_of_ones_own_is_taught_listed_and_forgotten(coach: Coach, tmp_path: Path) -> None:
    recorded(tmp_path / "in", "genug jetzt", 150, 165, 175)
    line = ("words", "teach", "Genug jetzt!", "--answer", "done", "--from", str(tmp_path / "in"))

    ran = coach(*line)

    assert ran.code == ExitCode.OK, ran.err
    assert ran.out.splitlines()[0].split() == (
        "genug jetzt done 3 takes heard before 0 now 3".split()
    )
    assert str(paths().takes("en")) in ran.out
    assert own_words(paths().data, "en") == {"done": ("genug jetzt",)}
    assert rows(coach("words").out)["done"][-1] == "genug jetzt +"
    assert coach(*line).code == ExitCode.OK
    assert own_words(paths().data, "en") == {"done": ("genug jetzt",)}

    assert coach("words", "forget", "genug jetzt").code == ExitCode.OK

    assert load_all(paths().takes("en")) == ({}, [])
    assert rows(coach("words").out)["done"] == ["all done", "i'm done", "done"]
    assert coach("words", "forget", "genug jetzt").code == ExitCode.USAGE


def test_several_phrases_have_a_folder_each_and_all_are_forgotten_at_once(
    coach: Coach, tmp_path: Path
) -> None:
    recorded(tmp_path / "all done", "all done", 150, 165)
    recorded(tmp_path / "skip this", "skip this", 150, 165)

    ran = coach("words", "teach", "done", "skip this", "--from", str(tmp_path))

    assert ran.code == ExitCode.OK, ran.err
    assert sorted(load_all(paths().takes("en"))[0]) == ["all done", "skip this"]
    assert not own_words_file(paths().data).exists()
    assert coach("words", "forget").code == ExitCode.USAGE
    assert "2 phrases" in coach("words", "forget", "--all").out
    assert load_all(paths().takes("en"))[0] == {}


def test_what_was_gathered_since_can_be_forgotten_alone_and_goes_with_the_phrase(
    coach: Coach, tmp_path: Path
) -> None:
    recorded(tmp_path / "in", "all done", 150, 165)
    assert coach("words", "teach", "done", "--from", str(tmp_path / "in")).code == ExitCode.OK
    folder = paths().takes("en")
    take = load_all(folder)[0]["all done"][0]

    add(folder, "all done", take, gathered=True)
    assert len(load_all(folder)[0]["all done"]) == 3
    assert "What you taught stays" in coach("words", "forget", "--gathered").out
    assert len(load_all(folder)[0]["all done"]) == 2

    add(folder, "all done", take, gathered=True)
    assert coach("words", "forget", "all done").code == ExitCode.OK
    assert list(folder.iterdir()) == []


@pytest.mark.parametrize(
    ("line", "why"),
    [
        (("basta",), "is no phrase of an answer yet"),
        (("basta", "--answer", "no-such"), "no-such"),
        (("--answer", "done"), "--answer needs a phrase"),
        (("all done", "--answer", "skip"), "already means 'done'"),
        (("done", "skip", "--from", "."), "there is no such folder"),
        (("done", "--from", "."), "0 takes of 'all done' in 0 WAV files"),
    ],
)
def test_what_can_not_be_taught_is_told(
    coach: Coach,
    line: tuple[str, ...],
    why: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    ran = coach("words", "teach", *line)
    assert ran.code == ExitCode.USAGE
    assert why in ran.err
    assert load_all(paths().takes("en"))[0] == {}


def test_a_file_that_is_no_sound_is_told(coach: Coach, tmp_path: Path) -> None:
    (tmp_path / "1.wav").write_bytes(b"RIFF nothing")
    ran = coach("words", "teach", "done", "--from", str(tmp_path))
    assert ran.code == ExitCode.USAGE
    assert "1.wav" in ran.err


def test_without_a_name_what_must_not_be_missed_is_taught_first() -> None:
    assert teach.USUAL[:3] == ("stop", "pause", "hurt")


def test_a_mistake_in_words_of_ones_own_is_told_by_file_and_line(coach: Coach) -> None:
    path = own_words_file(paths().data)
    path.parent.mkdir(parents=True)
    path.write_text('[en]\nskip = ["hop"]\ndone = ["skip this"]\n')

    ran = coach("words")

    assert ran.code == ExitCode.USAGE
    assert f"{path}:3" in ran.err
    assert "'skip this' already means 'skip'" in ran.err


class Microphone:
    """A device that hears a word each half second of its own time."""

    word = "genug jetzt"
    lost = False

    def __init__(self, log: Path) -> None:
        self.log = log

    def start(self, render: Render, capture: Capture, notify: Notify) -> None:
        if self.lost:
            notify(DeviceLost(0.0, "microphone", "unplugged"))
            return
        gap = np.zeros(RATE, np.float32)
        words = [
            material.say(Voice("espeak-ng", "de", pace), self.word) for pace in (150, 165, 175)
        ]
        sound = np.concatenate([piece for word in words for piece in (gap, word)] + [gap])
        sound = np.repeat(sound, 3)
        for first in range(0, len(sound), 960):
            capture(sound[first : first + 960], first)

    def stop(self) -> None:
        """Nothing to let go of."""


def test_takes_are_asked_for_one_by_one_and_heard_by_the_microphone(
    coach: Coach, monkeypatch: pytest.MonkeyPatch
) -> None:
    needs("espeak-ng")
    monkeypatch.setattr(portaudio, "PortAudioDevice", Microphone)

    ran = coach("words", "teach", "genug jetzt", "--answer", "done")

    assert ran.code == ExitCode.OK, ran.err
    assert "Say: genug jetzt (1 of 3)" in ran.err
    assert "Say: genug jetzt (3 of 3)" in ran.err
    assert "3 takes" in ran.out
    assert [path.suffix for path in paths().takes("en").iterdir()] == [".npz"]


def test_a_microphone_that_goes_ends_the_lesson_and_nothing_is_kept(
    coach: Coach, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(portaudio, "PortAudioDevice", Microphone)
    monkeypatch.setattr(Microphone, "lost", True)

    ran = coach("words", "teach", "done")

    assert ran.code == ExitCode.AUDIO
    assert "the microphone is gone" in ran.err
    assert not paths().takes("en").exists()


def test_a_voice_brings_its_language_and_what_has_to_be_taught_is_marked(coach: Coach) -> None:
    assert coach("plan", "--voice", "ruhig", "--minutes", "60", "--hurting", "no").code == 0
    listed = coach("words", "--language", "de")
    assert listed.code == ExitCode.OK
    assert rows(listed.out)["done"] == ["bin fertig ?", "alles fertig ?", "fertig ?"]


def test_the_word_that_calls_is_taught_like_an_answer(coach: Coach, tmp_path: Path) -> None:
    recorded(tmp_path / "trainer", "trainer", 150, 165)
    recorded(tmp_path / "bin fertig", "bin fertig", 150, 165)

    line = ("words", "teach", "trainer", "done", "--language", "de", "--from", str(tmp_path))
    ran = coach(*line)

    assert ran.code == ExitCode.OK, ran.err
    assert "trainer: known before an answer that is taught as well" in ran.out
    assert sorted(load_all(paths().takes("de"))[0]) == ["bin fertig", "trainer"]
