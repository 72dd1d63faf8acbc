"""Cues and tones of every shipped voice are about as loud as each other."""

from pathlib import Path

import pytest

from coach.audio.tones import tones
from coach.errors import AudioError
from coach.files.voices import list_voices, load_voice
from coach.speech.cache import Cache
from coach.speech.engines import engine
from coach.speech.voice import Voice
from tests.audio.simulated_room import active_level
from tests.bench.loudness import CUES, loudness

#: Loudness units, or decibels, by which one may differ from what the profile says: our own choice.
EVEN = 3.0


@pytest.mark.parametrize("name", list_voices())
def test_each_cue_and_each_tone_is_as_loud_as_the_profile_says(name: str, tmp_path: Path) -> None:
    profile = load_voice(name)
    try:
        voice = Voice(engine(profile.engine), profile, Cache(tmp_path))
        cues = [voice.render(text) for text in CUES]
    except AudioError as error:
        pytest.skip(error.what)
    voice.close()
    joined, each = loudness(cues)
    assert joined == pytest.approx(profile.loudness_lufs, abs=0.5)
    assert each == pytest.approx([profile.loudness_lufs] * len(each), abs=EVEN)
    for sound in tones(profile.loudness_lufs).values():
        assert active_level(sound) == pytest.approx(profile.loudness_lufs, abs=EVEN)
        assert abs(sound).max() < 0.8, "it is not bent by the mixer"
