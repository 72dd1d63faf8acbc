# ruff: noqa: RUF001, RUF002 - phonemes are written as they are
"""Trade words, grades and units are read out as they are said, judged by phonemes.

Of "arête" by the Cambridge dictionary (UK /əˈret/); of the rest by the plain English words that
they stand for: two spellings of one thing must give the same phonemes.
"""

import subprocess
from pathlib import Path
from typing import Any

import pytest

from coach.errors import FileError
from coach.speech import spelling

EN = spelling.of("en")

#: As it is written, and in words that nobody can read wrongly.
SAME = (
    ("20 mm", "twenty millimetres"),
    ("20mm", "twenty millimetres"),
    ("1 cm", "one centimetre"),
    ("1.5 m", "one point five metres"),
    ("90 kg", "ninety kilograms"),
    ("1 kg", "one kilogram"),
    ("10 s", "ten seconds"),
    ("3 min", "three minutes"),
    ("2 h", "two hours"),
    ("5+", "five plus"),
    ("7C+", "seven C plus"),
    ("6B+ is marble", "six B plus is marble"),
    ("V4", "V four"),
    ("V10", "V ten"),
)


@pytest.fixture(scope="module")
def neural() -> Any:
    from hibari.g2p import G2P

    return G2P()


def ruled(text: str) -> str:
    said = subprocess.run(
        ["espeak-ng", "-q", "--ipa", "-v", "en-gb", text],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    return said.stdout.strip()


def unstressed(phonemes: str) -> str:
    return phonemes.replace("ˈ", "").replace("ˌ", "")


@pytest.mark.parametrize(("written", "plain"), SAME)
def test_it_is_read_as_the_words_it_stands_for(written: str, plain: str, neural: Any) -> None:
    spoken = EN.spoken(written)
    assert unstressed(neural(spoken)) == unstressed(neural(plain))
    assert unstressed(ruled(spoken)) == unstressed(ruled(plain))


def test_letters_of_a_grade_are_named_as_letters(neural: Any) -> None:
    assert neural(EN.spoken("6A+")).split()[1] in ("ˈA", "A"), "the letter, not the article"
    assert ruled(EN.spoken("6A+")).split()[1].strip("ˈ") == "eɪ"


@pytest.mark.parametrize("word", ["arête", "Arête", "arete"])
def test_arete_is_a_ret(word: str, neural: Any) -> None:
    assert neural(EN.spoken(word)) == "ɐ ɹˈɛt"
    assert ruled(EN.spoken(word)) == "ɐ ɹˈɛt"


@pytest.mark.parametrize(
    "text",
    [
        "Rest.", "A minute more.", "10 boulders, then tell me.", "About 43 minutes left.",
        "Try 2. Decide, then climb.", "I'm hurt", "half-way", "20 moves", "5-minute rest", "",
    ],
)  # fmt: skip
def test_what_holds_none_of_them_stays_as_it_was(text: str) -> None:
    assert EN.spoken(text) == text


def test_a_climbers_own_entries_win(tmp_path: Path) -> None:
    folder = tmp_path / "voices" / "spoken"
    folder.mkdir(parents=True)
    (folder / "en.toml").write_text('[words]\n"Gneissfall" = "nice fall"\narete = "arrett"\n')
    own = spelling.of("en", (tmp_path,))
    assert own.spoken("Gneissfall, by the arete, 5 kg") == "Nice fall, by the arrett, 5 kilograms"


@pytest.mark.parametrize("text", ["[words", '[words]\na = ""', "[units]\nmm = [1]", "words = 3"])
def test_a_mistake_in_a_climbers_file_names_it(text: str, tmp_path: Path) -> None:
    folder = tmp_path / "voices" / "spoken"
    folder.mkdir(parents=True)
    (folder / "en.toml").write_text(text)
    with pytest.raises(FileError, match=r"en\.toml"):
        spelling.of("en", (tmp_path,))


def test_a_language_without_a_file_is_spoken_as_it_is_written() -> None:
    assert spelling.of("xx").spoken("20 mm") == "20 mm"
