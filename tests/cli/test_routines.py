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
    shown = json.loads(coach("routines", "show", "evenings", "--json").out)
    assert [block["name"] for block in shown["blocks"]][:2] == ["pulse", "mat"]
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


def test_verify_tells_each_broken_file_once_and_goes_on_with_the_others(
    coach: Coach, home: Path
) -> None:
    folder = home / "data" / "routines"
    own = {
        "movements/mine.toml": 'family = "mat"\n[movements.x]\nunit = "minutes"\n',
        "movements/yours.toml": 'famly = "mat"\n',
        "places/shed.toml": 'title = "Shed"\ncircuits = [{ name = "a", grades = ["6a", "6B"] }]\n',
    }
    for name, text in own.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")

    ran = coach("routines", "verify", "--json")

    assert ran.code == ExitCode.USAGE
    found = json.loads(ran.out)
    broken = [(Path(one["file"]).name, one["key"], one["line"]) for one in found["mistakes"]]
    assert broken == [
        ("mine.toml", "movements.x.unit", 3),
        ("yours.toml", "famly", 1),
        ("shed.toml", "circuits[1].grades[1]", 2),
    ]
    good = {Path(path).name for path in found["checked"]}
    assert {"mat.toml", "tarnwick.toml", "steady.toml"} <= good
    assert "full.toml" not in good


def test_verify_tells_a_mistake_between_two_movements_in_the_file_that_has_it(
    coach: Coach, home: Path
) -> None:
    shipped = Path(__file__).parents[2] / "routines" / "movements" / "focus.toml"
    path = home / "data" / "routines" / "movements" / "focus.toml"
    path.parent.mkdir(parents=True)
    text = shipped.read_text(encoding="utf-8")
    path.write_text(text.replace('"easy-traverse"', '"easy-travers"', 1), encoding="utf-8")

    ran = coach("routines", "verify")

    assert ran.code == ExitCode.USAGE
    assert f"{path}:" in ran.err
    assert "Did you mean 'easy-traverse'?" in ran.err
    assert str(path) not in ran.out
    assert "tarnwick.toml" in ran.out


def test_verify_can_look_at_one_file_that_stands_anywhere(coach: Coach, tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text('extends = "full"\ntitle.en = "Mine"\nminutes = 80\n', encoding="utf-8")
    assert coach("routines", "verify", str(path)).out == f"good  {path}\n"

    path.write_text('extends = "ful"\ntitle.en = "Mine"\n', encoding="utf-8")
    ran = coach("routines", "verify", str(path))
    assert ran.code == ExitCode.USAGE
    assert f"{path}:1: extends" in ran.err
    assert "Did you mean 'full'?" in ran.err


def test_ones_own_routine_wins_by_name_and_may_extend_ours(coach: Coach, home: Path) -> None:
    path = home / "data" / "routines" / "full.toml"
    path.parent.mkdir(parents=True)
    path.write_text(
        'extends = "full"\ntitle.en = "My evening"\nminutes = 80\nwithout = ["hard"]\n',
        encoding="utf-8",
    )

    assert coach("routines", "show", "full").out.startswith("My evening: 80 min")
    assert "My evening" in coach("routines", "list").out
    plan = json.loads(coach("plan", "--age", "adult", "--json").out)
    assert plan["minutes"] == 80
    assert all(step["kind"] != "try" for step in plan["steps"])


def test_routines_that_extend_each_other_are_refused_with_file_key_and_line(
    coach: Coach, home: Path
) -> None:
    folder = home / "data" / "routines"
    folder.mkdir(parents=True)
    (folder / "a.toml").write_text('title.en = "A"\nextends = "b"\n', encoding="utf-8")
    (folder / "b.toml").write_text('title.en = "B"\n\nextends = "a"\n', encoding="utf-8")

    for line in (["plan", "a"], ["routines", "show", "a"], ["start", "a", "--plain"]):
        ran = coach(*line)
        assert ran.code == ExitCode.USAGE
        assert f"{folder / 'b.toml'}:3: extends" in ran.err
        assert ran.out == ""
    listed = coach("routines", "list")
    assert listed.code == ExitCode.USAGE
    assert "full-150" in listed.out
    assert f"{folder / 'b.toml'}:3: extends" in listed.err


def test_paths_stay_below_coach_home(coach: Coach, home: Path) -> None:
    for place in json.loads(coach("paths", "--json").out).values():
        assert Path(place).is_relative_to(home)
