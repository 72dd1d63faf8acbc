"""`coach soundcheck`: what it finds, and which way of listening it says will work."""

import json
from pathlib import Path

import numpy as np
import pytest

from coach.audio.sound_device import RATE, Samples
from coach.errors import ExitCode
from coach.files.settings import load_settings
from coach.journal import Journal
from coach.runtime.device_checks import DeviceCheck
from coach.runtime.listening import Heard, Mode, measured, mode
from tests.cli.conftest import Coach

ALL = [DeviceCheck(name, True, "") for name in ("speaker", "microphone", "recogniser", "weights")]


def noise(seconds: float, level_db: float, seed: int = 1) -> Samples:
    """White noise at an RMS level in dB below full scale."""
    dice = np.random.default_rng(seed)
    sound = dice.standard_normal(round(seconds * RATE)) * 10 ** (level_db / 20)
    return sound.astype(np.float32)


def with_burst(sound: Samples, at: float, seconds: float, level_db: float) -> Samples:
    """The sound with a louder stretch in it."""
    burst = noise(seconds, level_db, seed=2)
    start = round(at * RATE)
    sound = sound.copy()
    sound[start : start + len(burst)] += burst
    return sound


def test_levels_are_told_within_a_decibel() -> None:
    quiet = with_burst(noise(3.0, -60.0), 1.5, 0.16, -40.0)
    speaking = with_burst(noise(4.0, -60.0), 1.0, 1.5, -30.0)

    heard = measured(quiet, speaking)

    assert heard.room == pytest.approx(-60.0, abs=1.0)
    assert heard.echo == pytest.approx(-40.0, abs=1.0)
    assert heard.speech == pytest.approx(-30.0, abs=1.0)


def test_who_said_nothing_was_not_measured() -> None:
    assert measured(noise(3.0, -60.0), noise(4.0, -60.0, seed=3)).speech is None


def test_a_dead_microphone_is_no_number_that_breaks_anything() -> None:
    heard = measured(np.zeros(RATE, np.float32), np.zeros(RATE, np.float32))

    assert (heard.room, heard.speech) == (-100.0, None)


@pytest.mark.parametrize(
    ("heard", "expected"),
    [
        (Heard(-60.0, -40.0, -35.0), Mode.OPEN),
        (Heard(-60.0, -20.0, -35.0), Mode.NEAR),
        (Heard(-60.0, -50.0, -45.0), Mode.NEAR),
        (Heard(-60.0, -50.0, -55.0), Mode.HEADSET),
        (Heard(-60.0, -50.0, None), Mode.UNKNOWN),
        (None, Mode.UNKNOWN),
    ],
)
def test_the_mode_follows_from_what_stands_out(heard: Heard | None, expected: Mode) -> None:
    assert mode(heard, ALL) is expected


@pytest.mark.parametrize("missing", ["microphone", "recogniser", "weights"])
def test_without_an_ear_there_are_keys(missing: str) -> None:
    checks = [DeviceCheck(one.name, one.name != missing, "") for one in ALL]

    assert mode(Heard(-60.0, -40.0, -30.0), checks) is Mode.KEYS


def test_each_thing_is_told_with_what_would_mend_it(coach: Coach) -> None:
    found = json.loads(coach("soundcheck", "--silent", "--json").out)

    names = [check["name"] for check in found["checks"]]
    assert names == [
        *("speaker", "microphone", "voice", "recogniser", "weights", "echo"),
        *("journal", "terminal", "awake"),
    ]
    assert all(check["good"] or check["do"] for check in found["checks"])
    assert found["mode"] in {one.value for one in Mode}


def test_a_journal_that_is_none_is_told(coach: Coach, home: Path) -> None:
    path = home / "data" / "journal.db"
    path.parent.mkdir(parents=True)
    path.write_text("not a journal", encoding="utf-8")

    ran = coach("soundcheck", "--silent")

    assert "missing  journal" in ran.out
    assert path.read_text(encoding="utf-8") == "not a journal"


def test_the_journal_is_only_read(coach: Coach, home: Path) -> None:
    path = home / "data" / "journal.db"
    assert coach("soundcheck", "--silent").code in (ExitCode.OK, ExitCode.AUDIO)
    assert not path.exists()

    with Journal.open(path, write=True):
        assert "0 sessions" in coach("soundcheck", "--silent").out


def test_a_model_that_is_not_there_is_told_with_how_to_get_one(coach: Coach, home: Path) -> None:
    (home / "config").mkdir(parents=True)
    settings = 'recogniser = "vosk"\nmodel = "mine"\n'
    (home / "config" / "config.toml").write_text(settings, encoding="utf-8")

    checks = json.loads(coach("soundcheck", "--silent", "--json").out)["checks"]

    (weights,) = [check for check in checks if check["name"] == "weights"]
    assert not weights["good"]
    assert weights["do"] == "coach words model fetch LANGUAGE"


def test_a_headset_s_delay_is_kept_under_its_name(
    coach: Coach, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def measured_as(late: float | None) -> None:
        monkeypatch.setattr("coach.cli.soundcheck.delay", lambda paths: ("headset", late))

    file = home / "config" / "config.toml"
    measured_as(0.1834)
    assert "0.18 s late" in coach("soundcheck", "--delay").out
    assert load_settings(file).delays == {"headset": 0.183}
    measured_as(None)
    assert coach("soundcheck", "--delay").code == ExitCode.AUDIO
    assert load_settings(file).delays == {"headset": 0.183}
    measured_as(0.004)
    assert coach("soundcheck", "--delay").code == ExitCode.OK
    assert load_settings(file).delays is None


def speech() -> Samples:
    return with_burst(noise(4.0, -60.0), 1.0, 1.5, -30.0)


@pytest.mark.parametrize(
    ("sound", "word"),
    [
        (np.zeros(4 * RATE, np.float32), "muted"),
        (np.clip(speech() * 300.0, -1.0, 1.0), "too loud"),
        (speech() + np.float32(0.2), "zero line"),
    ],
)
def test_what_is_wrong_with_a_microphone_is_told(sound: Samples, word: str) -> None:
    sentences = measured(sound, sound).sentences()
    assert any(word in sentence for sentence in sentences)


def test_of_a_microphone_that_is_well_nothing_is_told() -> None:
    assert measured(noise(3.0, -60.0), speech()).wrong == ()
