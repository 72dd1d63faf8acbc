"""No two files and no two classes of the program have one name for different things."""

import re
import subprocess
from collections import defaultdict
from collections.abc import Iterable
from pathlib import Path

import pytest

from coach.cli import COMMANDS

HOME = Path(__file__).parents[1] / "coach"
#: Every package has one, and it is read with the package's name.
PACKAGE = "__init__.py"
#: The file of a command is found by the command's name, and may share it with what it shows.
OF_COMMANDS = {HOME / "cli" / f"{name}.py" for name in COMMANDS}


def doubles(named: Iterable[tuple[str, Path]]) -> dict[str, list[str]]:
    """What stands twice, with the files."""
    found: dict[str, list[str]] = defaultdict(list)
    for name, file in named:
        found[name].append(str(file.relative_to(HOME)))
    return {name: files for name, files in found.items() if len(files) > 1}


def files() -> list[Path]:
    return sorted(HOME.rglob("*.py"))


def test_no_two_files_have_one_name() -> None:
    named = [(file.name, file) for file in files() if file not in OF_COMMANDS]
    assert doubles(pair for pair in named if pair[0] != PACKAGE) == {}


def test_no_two_classes_have_one_name() -> None:
    classes = re.compile(r"^class (\w+)", re.MULTILINE)
    assert not doubles(
        (name, file) for file in files() for name in classes.findall(file.read_text("utf-8"))
    )


def test_no_file_is_longer_than_400_lines() -> None:
    lines = {file: file.read_text("utf-8").count("\n") for file in files()}
    assert {file for file, count in lines.items() if count > 400} == set()


#: What stands at the top; folders by their name, and nothing beside but dot-files.
TOP = {"coach", "voices", "routines", "tests", "docs", "README.md", "DEVELOPERS.md",
       "pyproject.toml"}  # fmt: skip


def test_nothing_else_is_kept_at_the_top_and_no_recording_anywhere() -> None:
    listed = subprocess.run(
        ["git", "-C", str(HOME.parent), "ls-files"], capture_output=True, text=True, check=False
    )
    if listed.returncode:
        pytest.skip("not a checkout: nothing tells what is kept")
    kept = [Path(line) for line in listed.stdout.splitlines()]
    assert {one.parts[0] for one in kept if one.parts[0][0] != "."} == TOP
    assert [one for one in kept if one.suffix in (".wav", ".flac", ".ogg", ".mp3")] == []
