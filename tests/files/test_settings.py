"""Remembered settings: written whole, comments kept, mistakes told with their line."""

import os
from pathlib import Path

import pytest

from coach.errors import CoachError, ExitCode, FileError
from coach.files.places import load_place
from coach.files.settings import Settings, check_settings, load_settings, save_settings
from coach.model.person import AgeBand

EVERYTHING = Settings(
    age=AgeBand.ADULT,
    place="tarnwick",
    comfortable="marble",
    edge="medium",
    voice="steady",
    minutes=90,
    call="trainer",
)


def refused(path: Path) -> FileError:
    with pytest.raises(FileError) as caught:
        load_settings(path)
    assert caught.value.code is ExitCode.USAGE
    assert caught.value.path == path
    return caught.value


def test_without_a_file_nothing_is_remembered(tmp_path: Path) -> None:
    assert load_settings(tmp_path / "config.toml") == Settings()


def test_what_is_saved_is_loaded(tmp_path: Path) -> None:
    path = tmp_path / "new" / "config.toml"
    save_settings(path, EVERYTHING)
    assert load_settings(path) == EVERYTHING
    save_settings(path, Settings())
    assert load_settings(path) == Settings()


def test_comments_and_order_stay(tmp_path: Path) -> None:
    path = tmp_path / "config.toml"
    path.write_text('# my notes\nminutes = 60  # weekdays\nplace = "tarnwick"\n', "utf-8")
    save_settings(path, EVERYTHING)
    text = path.read_text("utf-8")
    assert text.startswith("# my notes\nminutes = 90  # weekdays\nplace = ")
    assert load_settings(path) == EVERYTHING


def test_an_unknown_key_is_told_with_the_nearest(tmp_path: Path) -> None:
    path = tmp_path / "config.toml"
    path.write_text('\nplce = "tarnwick"\n', "utf-8")
    error = refused(path)
    assert (error.line, error.key) == (2, "plce")
    assert "Did you mean 'place'?" in error.do


@pytest.mark.parametrize(
    ("line", "key", "said"),
    [
        ('age = "under-61"', "age", "Did you mean 'under-16'?"),
        ("minutes = 0", "minutes", "must be at least 1, not 0"),
        ("minutes = 301", "minutes", "must be at most 300, not 301"),
        ('minutes = "90"', "minutes", "must be a whole number, not the text '90'"),
        ("minutes = true", "minutes", "must be a whole number, not true"),
        ("minutes = 9.5", "minutes", "9.5"),
        ("place = 7", "place", "must be a text in quotes, not 7"),
        ("voice = [1]", "voice", "must be a text in quotes, not an array"),
        ("edge = { a = 1 }", "edge", "must be a text in quotes, not a table"),
    ],
)
def test_wrong_values_are_told(tmp_path: Path, line: str, key: str, said: str) -> None:
    path = tmp_path / "config.toml"
    path.write_text(f"# first\n{line}\n", "utf-8")
    error = refused(path)
    assert (error.line, error.key) == (2, key)
    assert said in str(error)


def test_a_file_with_a_mistake_is_not_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "config.toml"
    path.write_text("plce = 1\n", "utf-8")
    with pytest.raises(FileError):
        save_settings(path, EVERYTHING)
    assert path.read_text("utf-8") == "plce = 1\n"


def test_a_failed_write_leaves_the_old_file_and_no_litter(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "config.toml"
    save_settings(path, EVERYTHING)

    def full_disk(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full_disk)
    with pytest.raises(CoachError, match="can't be written: No space left"):
        save_settings(path, Settings())
    assert load_settings(path) == EVERYTHING
    assert list(tmp_path.glob("*config*")) == [path]


@pytest.mark.parametrize(
    ("text", "key", "meant"),
    [('comfortable = "marbel"', "comfortable", "marble"), ('edge = "medum"', "edge", "medium")],
)
def test_a_circuit_or_edge_that_the_place_lacks(
    tmp_path: Path, text: str, key: str, meant: str
) -> None:
    path = tmp_path / "config.toml"
    path.write_text(f'place = "tarnwick"\n{text}\n', "utf-8")
    with pytest.raises(FileError) as caught:
        check_settings(path, load_settings(path), load_place("tarnwick"))
    assert (caught.value.line, caught.value.key) == (2, key)
    assert f"Did you mean {meant!r}?" in caught.value.do


def test_known_circuits_and_edges_pass(tmp_path: Path) -> None:
    path = tmp_path / "config.toml"
    save_settings(path, EVERYTHING)
    check_settings(path, EVERYTHING, load_place("tarnwick"))
