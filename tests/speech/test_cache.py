"""The cache gives back what was put in, or nothing; never something damaged."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.speech.cache import Cache, key
from tests.speech.profiles import CALM

SOUND = np.linspace(-1, 1, 1000, dtype=np.float32)


def test_what_was_put_comes_back_to_16_bits(tmp_path: Path) -> None:
    cache = Cache(tmp_path / "cues")
    cache.put("one", SOUND)
    back = cache.get("one")
    assert back is not None
    assert back == pytest.approx(SOUND, abs=1 / 32767)
    assert cache.get("two") is None


@given(where=st.integers(0, 10_000), flip=st.integers(1, 255))
def test_a_damaged_entry_is_as_good_as_absent_and_removed(
    tmp_path_factory: pytest.TempPathFactory, where: int, flip: int
) -> None:
    folder = tmp_path_factory.mktemp("cache")
    cache = Cache(folder)
    cache.put("one", SOUND)
    (path,) = folder.iterdir()
    data = bytearray(path.read_bytes())
    data[where % len(data)] ^= flip
    path.write_bytes(data)
    assert cache.get("one") is None
    assert not path.exists()


@pytest.mark.parametrize("kept", [0, 10, 32, 33, 1001])
def test_a_truncated_entry_is_as_good_as_absent(tmp_path: Path, kept: int) -> None:
    cache = Cache(tmp_path)
    cache.put("one", SOUND)
    (path,) = tmp_path.iterdir()
    path.write_bytes(path.read_bytes()[:kept])
    assert cache.get("one") is None


def test_a_folder_that_is_a_file_is_an_error_and_leaves_nothing(tmp_path: Path) -> None:
    (tmp_path / "cues").write_text("")
    with pytest.raises(OSError, match="cues"):
        Cache(tmp_path / "cues").put("one", SOUND)


def test_the_key_tells_apart_whatever_changes_the_sound() -> None:
    keys = {
        key("espeak-ng", "1.51", CALM, "Rest."),
        key("pyttsx3", "1.51", CALM, "Rest."),
        key("espeak-ng", "1.52", CALM, "Rest."),
        key("espeak-ng", "1.51", CALM, "Rest"),
        *(
            key("espeak-ng", "1.51", replace(CALM, **change), "Rest.")
            for change in (
                {"voice": "en"},
                {"words_per_minute": 151},
                {"pitch": 43},
                {"language": "de"},
            )
        ),
    }
    assert len(keys) == 8


def test_the_key_leaves_out_what_is_applied_later() -> None:
    louder = replace(CALM, loudness_lufs=-12.0, name="loud")
    assert key("e", "1", louder, "Rest.") == key("e", "1", CALM, "Rest.")


@pytest.mark.parametrize("text", ["", "0.5", "0 0.5", "\xe9 0.5"])
def test_a_number_comes_back_exactly_and_a_damaged_one_is_absent(tmp_path: Path, text: str) -> None:
    cache = Cache(tmp_path)
    cache.put_number("gain", 0.1 + 0.2)
    assert cache.number("gain") == 0.1 + 0.2
    assert cache.number("other") is None
    (tmp_path / "gain.number").write_text(text, "latin-1")
    assert cache.number("gain") is None
