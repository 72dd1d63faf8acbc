"""Spoken notes on a simulated room: what is kept, until when, and what it sounds like again."""

import wave
from pathlib import Path

import numpy as np
import pytest

from coach.audio import note_files
from coach.audio.note_files import NoteTaker, load, path_of, save
from coach.audio.sound_device import RATE, Samples
from coach.audio.tones import tones
from coach.clock import FakeClock
from coach.session.effects import EndNote, KeepNote, PlayNote
from coach.session.events import DeviceLost, Event, NoteKept, SoundEnded, SoundStarted
from tests.audio.simulated_room import SimulatedRoom
from tests.audio.simulated_stage import SimulatedStage

BLOCK = RATE // 50


def speech(seconds: float, level: float = 0.2) -> Samples:
    t = np.arange(round(seconds * RATE)) / RATE
    return (level * np.sin(2 * np.pi * 220.0 * t)).astype(np.float32)


def silence(seconds: float) -> Samples:
    return np.zeros(round(seconds * RATE), np.float32)


def kept(folder: Path, sound: Samples, at: float = 0.0, most: float = 20.0) -> NoteKept | None:
    """What became of a note while the microphone heard this."""
    done: list[NoteKept] = []
    taker = NoteTaker(folder, done.append, lambda job: job())
    taker.begin(KeepNote("one", at, most))
    for first in range(0, len(sound), BLOCK):
        taker.feed(sound[first : first + BLOCK], first)
    assert len(done) <= 1
    return done[0] if done else None


def test_a_note_ends_with_the_quiet_after_it(tmp_path: Path) -> None:
    sound = np.concatenate([silence(1.0), speech(3.0), silence(4.0)])
    note = kept(tmp_path, sound)
    assert note is not None
    assert note.why == "silence"
    assert note.seconds == pytest.approx(1.0 + 3.0 + note_files.QUIET, abs=0.03)
    assert note.at == pytest.approx(note.seconds)
    heard = load(tmp_path, "one")
    assert np.allclose(heard, sound[: len(heard)], atol=1e-3)
    assert [path.name for path in tmp_path.iterdir()] == ["one.wav"]


def test_it_begins_to_the_sample_and_ends_after_its_most(tmp_path: Path) -> None:
    sound = np.concatenate([speech(0.507), speech(30.0, 0.4)])
    note = kept(tmp_path, sound, at=0.507, most=20.0)
    assert note is not None
    assert (note.why, note.seconds) == ("full", 20.0)
    assert np.abs(load(tmp_path, "one")).max() == pytest.approx(0.4, abs=0.01)
    with wave.open(str(path_of(tmp_path, "one"))) as file:
        assert (file.getframerate(), file.getnchannels(), file.getsampwidth()) == (RATE, 1, 2)


def test_a_breath_does_not_end_it(tmp_path: Path) -> None:
    sound = np.concatenate([speech(1.0), silence(1.0), speech(1.0), silence(3.0)])
    note = kept(tmp_path, sound)
    assert note is not None
    assert note.seconds == pytest.approx(3.0 + note_files.QUIET, abs=0.03)


def test_where_nobody_speaks_nothing_is_kept(tmp_path: Path) -> None:
    note = kept(tmp_path, silence(10.0))
    assert note is not None
    assert (note.seconds, note.why) == (0.0, "silence")
    assert note.at == pytest.approx(note_files.FIRST, abs=0.03)
    assert list(tmp_path.iterdir()) == []


def test_a_disk_that_takes_nothing_leaves_nothing(tmp_path: Path) -> None:
    (tmp_path / "full").write_text("no folder")
    note = kept(tmp_path / "full", np.concatenate([speech(1.0), silence(3.0)]))
    assert note is not None
    assert (note.seconds, note.why) == (0.0, "disk")


def test_half_a_file_is_taken_away_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(self: Path, target: Path) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(OSError, match="No space"):
        save(tmp_path, "one", speech(1.0))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("content", [None, b"", b"RIFF and nothing"])
def test_a_note_that_is_not_there_or_damaged_is_no_sound(
    tmp_path: Path, content: bytes | None
) -> None:
    if content is not None:
        path_of(tmp_path, "one").write_bytes(content)
    assert len(load(tmp_path, "one")) == 0


# on a stage


def stage(folder: Path | None, coming: Samples) -> tuple[SimulatedStage, SimulatedRoom]:
    room = SimulatedRoom(FakeClock())
    room.speak(coming, 0.5)
    made = SimulatedStage(room, None, tones(), lambda what: what.key, None, notes=folder)
    made.start()
    return made, room


def events(on: SimulatedStage, until: float) -> list[Event]:
    found = []
    while (event := on.wait(until)) is not None:
        found.append(event)
    return found


def test_a_stage_keeps_a_note_and_plays_it_again(tmp_path: Path) -> None:
    on, _ = stage(tmp_path, speech(2.0))
    on.carry_out(KeepNote("one", 0.4, 20.0))
    (note,) = events(on, 10.0)
    assert isinstance(note, NoteKept)
    assert note.seconds == pytest.approx(0.1 + 2.0 + note_files.QUIET, abs=0.05)
    on.carry_out(PlayNote(7, "one", 10.5))
    began, ended = events(on, 20.0)
    assert isinstance(began, SoundStarted)
    assert isinstance(ended, SoundEnded)
    assert (began.at, began.sound, ended.sound) == (10.5, 7, 7)
    assert ended.at - began.at == pytest.approx(note.seconds)


def test_nothing_is_stored_but_between_begin_and_end(tmp_path: Path) -> None:
    on, _ = stage(tmp_path, speech(5.0))
    events(on, 2.0)
    on.carry_out(KeepNote("one", 2.0, 20.0))
    events(on, 3.0)
    on.carry_out(EndNote())
    (note,) = events(on, 6.0)
    assert isinstance(note, NoteKept)
    assert note.why == "ended"
    assert note.seconds == pytest.approx(1.0, abs=0.05)
    on.carry_out(EndNote())
    assert events(on, 7.0) == []
    assert len(load(tmp_path, "one")) == pytest.approx(RATE, abs=RATE // 20)


def test_a_microphone_that_is_lost_keeps_what_there_is(tmp_path: Path) -> None:
    on, _ = stage(tmp_path, speech(5.0))
    on.carry_out(KeepNote("one", 0.5, 20.0))
    events(on, 2.0)
    on.post(DeviceLost(2.0, "microphone", "unplugged"))
    found = {type(event): event for event in events(on, 3.0)}
    note = found[NoteKept]
    assert isinstance(note, NoteKept)
    assert note.why == "microphone"
    assert note.seconds == pytest.approx(1.5, abs=0.05)
    assert DeviceLost in found


def test_without_a_folder_nothing_is_kept_and_a_note_that_is_gone_ends_at_once(
    tmp_path: Path,
) -> None:
    on, _ = stage(None, speech(1.0))
    on.carry_out(KeepNote("one", 0.5, 20.0))
    on.carry_out(EndNote())
    (note,) = events(on, 1.0)
    assert isinstance(note, NoteKept)
    assert note.seconds == 0.0
    on.carry_out(PlayNote(7, "one", 2.0))
    began, ended = events(on, 3.0)
    assert ended.at - began.at < 0.001
