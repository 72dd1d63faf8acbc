"""Files that can't be read as TOML at all, and errors of every kind in our own words."""

from pathlib import Path

import pytest

from coach.errors import ExitCode, FileError
from coach.files.document import read
from coach.files.file_checks import verify_file
from coach.files.names import advice, nearest

VOICE = """language = "en"
engine = "espeak-ng"
voice = "en-gb"
words_per_minute = 150
pitch = 50
loudness_lufs = -20.0
"""


def refused(path: Path) -> FileError:
    with pytest.raises(FileError) as caught:
        verify_file(path)
    assert caught.value.code is ExitCode.USAGE
    return caught.value


@pytest.mark.parametrize(
    ("data", "line", "said"),
    [
        (b"a = 1\nb = [\n", 3, "is not TOML"),
        (b"a = 1\nb = = 2\n", 2, "is not TOML"),
        (b"a = 1\na = 2\n", 2, "Cannot overwrite a value"),
        (b'a = 1\r\n\r\nb = "\xff"\r\n', 3, "is not UTF-8 text"),
    ],
)
def test_what_is_not_toml(tmp_path: Path, data: bytes, line: int, said: str) -> None:
    path = tmp_path / "mine.toml"
    path.write_bytes(data)
    error = refused(path)
    assert error.line == line
    assert said in str(error)
    assert "(at line" not in str(error)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    assert "can't be read: No such file" in str(refused(tmp_path / "none.toml"))


def test_lines_are_right_with_windows_line_ends(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_bytes(b"a = 1\r\n[b]\r\nc = 2\r\n")
    document = read(path)
    assert document.error(("b", "c"), "wrong").line == 3
    assert document.error(("b", "missing"), "wrong").line == 2
    assert document.error(("nowhere",), "wrong").line == 1


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("pitch = 50", "pitch = 101", "must be at most 100, not 101"),
        ("pitch = 50", "pitch = 50.0", "must be a whole number"),
        ("words_per_minute = 150", "words_per_minute = 60", "must be at least 80, not 60"),
        ("loudness_lufs = -20.0", "loudness_lufs = inf", "inf"),
        ("loudness_lufs = -20.0", 'loudness_lufs = "loud"', "must be a number, not the text"),
        ('language = "en"', 'language = "english"', "two small letters"),
        ('engine = "espeak-ng"', 'engine = ""', "must not be empty"),
        ("pitch = 50\n", "", "pitch: is missing"),
    ],
)
def test_mistakes_in_our_own_words(tmp_path: Path, old: str, new: str, said: str) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(VOICE.replace(old, new), "utf-8")
    error = str(refused(path))
    assert said in error
    assert "pydantic" not in error
    assert "Input should" not in error


def test_of_two_mistakes_the_first_in_the_file_is_told(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(VOICE.replace("150", "1").replace('"en"', '"EN"'), "utf-8")
    assert refused(path).line == 1


def test_a_misspelt_key_is_told_rather_than_the_missing_one(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(VOICE.replace("pitch", "ptich"), "utf-8")
    error = refused(path)
    assert (error.line, error.key) == (5, "ptich")
    assert "Did you mean 'pitch'?" in error.do


def test_the_nearest_name() -> None:
    assert nearest("fingrs", ["fingers", "hips"]) == "fingers"
    assert nearest("zzz", ["fingers", "hips"]) is None
    assert advice("zzz", ["fingers", "hips"]) == "Valid here: fingers, hips."
    assert advice("zzz", []) == "Leave it out, or add what it names."
    assert advice("zzz", [f"name{n}" for n in range(99)]) == "Leave it out, or add what it names."
