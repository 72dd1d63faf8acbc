"""Answers that somebody read out: kept once, and found again by the bench."""

import sys
from pathlib import Path

import numpy as np
import pytest

from tests.bench.hearing import material, reading
from tests.bench.hearing.__main__ import read
from tests.bench.hearing.material import RATE
from tests.hearing.voices import say


def test_what_is_read_out_is_kept_and_tried_by_the_bench(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    folder, source = tmp_path / "kept", tmp_path / "said"
    silence = np.zeros(RATE // 2, np.float32)
    wanted = reading.left(folder, "reader")
    for phrase in wanted[3:]:
        reading.keep(material.read_by(folder, phrase, "reader"), silence)
    for phrase in wanted[:3]:
        sound = np.concatenate([silence, say(phrase)[:: 48_000 // RATE], silence])
        reading.keep(source / phrase / "1.wav", sound)
    line = ["reading", str(folder), "reader", "--from", str(source)]
    monkeypatch.setattr(sys, "argv", line)
    reading.main()
    assert capsys.readouterr().out.startswith("3 phrases")
    assert reading.left(folder, "reader") == []
    assert reading.left(folder, "another") != []
    monkeypatch.setenv("COACH_SPEECH_DIR", str(folder))
    for phrase in wanted[3:]:
        material.read_by(folder, phrase, "reader").unlink()
    found = read()
    assert sorted(spoken.phrase for spoken in found) == sorted(wanted[:3])
    assert all(0.1 < len(spoken.sound) / RATE < 3.0 for spoken in found)
    assert {spoken.speaker for spoken in found} == {"reader"}
