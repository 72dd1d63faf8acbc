"""`coach routines` and `coach paths`."""

import json
from pathlib import Path

import pytest

from coach.errors import ExitCode
from tests.cli.conftest import Coach


def test_the_list_tells_name_and_least_minutes(coach: Coach) -> None:
    names = {one["name"]: one for one in json.loads(coach("routines", "list", "--json").out)}

    assert names["full"]["minutes"] == 90
    assert names["mat-and-board"]["least_minutes"] <= 30


def test_a_copy_of_ones_own_is_listed_shown_and_verified(coach: Coach, home: Path) -> None:
    path = Path(coach("routines", "copy", "full", "evenings").out.strip())

    assert path == home / "data" / "routines" / "evenings.toml"
    assert "evenings" in coach("routines", "list").out
    assert coach("routines", "show", "evenings").out.startswith("Full session: 90 min")
    assert f"good  {path}" in coach("routines", "verify").out


def test_a_copy_never_overwrites(coach: Coach) -> None:
    coach("routines", "copy", "full", "evenings")

    ran = coach("routines", "copy", "mat-and-board", "evenings")

    assert ran.code == ExitCode.USAGE
    assert "is there already" in ran.err


@pytest.mark.parametrize("name", ["../evenings", "a/b", ""])
def test_a_copy_stays_in_the_folder(coach: Coach, name: str) -> None:
    assert coach("routines", "copy", "full", name).code == ExitCode.USAGE


def test_verify_tells_file_key_and_line_of_the_first_mistake_of_each_file(
    coach: Coach, home: Path
) -> None:
    path = Path(coach("routines", "copy", "full", "evenings").out.strip())
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("\nleast_minutes =", "\nleest_minutes ="), encoding="utf-8")
    line = text[: text.index("\nleast_minutes =")].count("\n") + 2

    ran = coach("routines", "verify")

    assert ran.code == ExitCode.USAGE
    assert f"{path}:{line}: leest_minutes" in ran.err
    assert "least_minutes" in ran.err
    assert str(path) not in ran.out


def test_paths_stay_below_coach_home(coach: Coach, home: Path) -> None:
    for place in json.loads(coach("paths", "--json").out).values():
        assert Path(place).is_relative_to(home)
