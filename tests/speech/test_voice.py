"""A voice: ready ahead of need, equally loud, and never in the way of what plays."""

import queue
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from coach.audio.sound_device import RATE, Samples
from coach.errors import AudioError
from coach.speech.cache import Cache
from coach.speech.espeak import EspeakNg
from coach.speech.loudness import integrated
from coach.speech.synthesiser_port import VoiceProfile
from coach.speech.voice import Voice
from tests.speech.profiles import BRISK, CALM

CUES = ("Rest now.", "Easy boulder, feet quiet.", "How do your fingers feel?", "Ten more seconds.")


class Counting(EspeakNg):
    """The real engine, and how often it was asked."""

    def __init__(self) -> None:
        super().__init__()
        self.rendered: list[str] = []
        self.broken = False

    def render(self, text: str, profile: VoiceProfile) -> Samples:
        self.rendered.append(text)
        if self.broken:
            raise AudioError("The engine is broken.", "Mend it.")
        return super().render(text, profile)


@pytest.fixture
def engine() -> Counting:
    return Counting()


@pytest.mark.parametrize("profile", [CALM, BRISK])
def test_cues_joined_are_as_loud_as_the_profile_asks(
    profile: VoiceProfile, engine: Counting, tmp_path: Path
) -> None:
    voice = Voice(engine, profile, Cache(tmp_path))
    joined = np.concatenate([voice.render(text) for text in CUES])
    assert integrated(joined) == pytest.approx(profile.loudness_lufs, abs=1.0)


def test_nothing_is_ready_until_it_was_asked_for(engine: Counting, tmp_path: Path) -> None:
    voice = Voice(engine, CALM, Cache(tmp_path))
    assert voice.sound("Rest now.") is None
    assert engine.rendered == []
    voice.warm(CUES)
    voice.settle()
    assert all(voice.sound(text) is not None for text in CUES)
    voice.close()


def test_the_next_day_nothing_is_rendered_again(engine: Counting, tmp_path: Path) -> None:
    today = Voice(engine, CALM, Cache(tmp_path))
    before = [today.render(text) for text in CUES]
    engine.rendered.clear()
    tomorrow = Voice(engine, CALM, Cache(tmp_path))
    after = [tomorrow.sound(text) for text in CUES]
    assert engine.rendered == []
    for old, new in zip(before, after, strict=True):
        assert new is not None
        assert new == pytest.approx(old, abs=2e-4)


def test_what_is_on_disk_is_not_read_before_it_is_asked_for(
    engine: Counting, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    today = Voice(engine, CALM, Cache(tmp_path))
    for text in CUES:
        today.render(text)
    read: list[str] = []
    get = Cache.get

    def noted(self: Cache, key: str) -> Samples | None:
        read.append(key)
        return get(self, key)

    monkeypatch.setattr(Cache, "get", noted)
    tomorrow = Voice(engine, CALM, Cache(tmp_path))
    tomorrow.warm(CUES)
    tomorrow.settle()
    assert read == []
    assert tomorrow.sound(CUES[0]) is not None
    tomorrow.close()


def test_a_damaged_sentence_is_rendered_again(engine: Counting, tmp_path: Path) -> None:
    Voice(engine, CALM, Cache(tmp_path)).render("Rest now.")
    for path in tmp_path.iterdir():
        path.write_bytes(path.read_bytes()[:-2])
    voice = Voice(engine, CALM, Cache(tmp_path))
    assert voice.sound("Rest now.") is None
    assert len(voice.render("Rest now.")) > RATE // 4


def test_a_request_calls_back_before_what_is_only_warmed(engine: Counting, tmp_path: Path) -> None:
    voice = Voice(engine, CALM, Cache(tmp_path))
    voice.render("One.")
    engine.rendered.clear()
    done: queue.Queue[Samples | AudioError] = queue.Queue()
    voice.warm([f"Later sentence {n}." for n in range(8)])
    voice.request("Now.", done.put)
    assert isinstance(done.get(timeout=10), np.ndarray)
    assert engine.rendered.index("Now.") <= 2
    voice.close()


def test_a_broken_engine_is_told_to_who_asked_and_the_voice_recovers(
    engine: Counting, tmp_path: Path
) -> None:
    voice = Voice(engine, CALM, Cache(tmp_path))
    engine.broken = True
    done: queue.Queue[Samples | AudioError] = queue.Queue()
    voice.warm(["Ahead."])
    voice.request("Now.", done.put)
    assert isinstance(done.get(timeout=10), AudioError)
    engine.broken = False
    voice.request("Now.", done.put)
    assert isinstance(done.get(timeout=10), np.ndarray)
    voice.close()


def test_a_cache_that_cannot_be_written_still_speaks(engine: Counting, tmp_path: Path) -> None:
    (tmp_path / "cues").write_text("in the way")
    voice = Voice(engine, CALM, Cache(tmp_path / "cues"))
    assert len(voice.render("Rest now.")) > RATE // 4
    assert voice.sound("Rest now.") is not None


def test_seconds_are_those_of_the_sound(engine: Counting, tmp_path: Path) -> None:
    voice = Voice(engine, CALM, Cache(tmp_path))
    assert voice.seconds("Rest now.") == len(voice.render("Rest now.")) / RATE


def test_how_loud_it_is_made_is_measured_once_for_each_loudness(
    engine: Counting, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cache, soft = Cache(tmp_path), replace(CALM, loudness_lufs=-30.0, emphasis_db=0.0)
    profiles = (soft, replace(soft, emphasis_db=6.0), replace(soft, loudness_lufs=-36.0))
    measured = [Voice(engine, one, cache).render(CUES[0]) for one in profiles]
    assert integrated(measured[0]) - integrated(measured[2]) == pytest.approx(6.0, abs=0.01)

    monkeypatch.setattr("coach.speech.voice.integrated", None)
    known = [Voice(engine, one, cache).sound(CUES[0]) for one in profiles]
    for one, other in zip(measured, known, strict=True):
        assert other is not None
        assert other == pytest.approx(one, abs=2e-4)
