"""`coach soundcheck`: what it finds, and which way of listening it says will work."""

import json
from pathlib import Path

import numpy as np
import pytest

from coach.audio.port import RATE, Samples
from coach.cli.checks import Check
from coach.cli.listening import Heard, Mode, measured, mode
from coach.errors import ExitCode
from coach.journal import Journal
from tests.cli.conftest import Coach

ALL = [Check(name, True, "") for name in ("speaker", "microphone", "recogniser", "weights")]


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
    checks = [Check(one.name, one.name != missing, "") for one in ALL]

    assert mode(Heard(-60.0, -40.0, -30.0), checks) is Mode.KEYS


def test_each_thing_is_told_with_what_would_mend_it(coach: Coach) -> None:
    found = json.loads(coach("soundcheck", "--silent", "--json").out)

    names = [check["name"] for check in found["checks"]]
    assert names == [
        *("speaker", "microphone", "voice", "recogniser", "weights"),
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
