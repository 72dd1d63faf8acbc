"""What each part of the program loads, seen from outside: a linter can't see a deferred import."""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.record.days import ended, on, write

HEAVY = {"numpy", "textual", "rich", "pydantic", "sounddevice", "ctranslate2", "tokenizers", "vosk"}

OVERVIEW = """
from coach.cli import commands, diagnostics
diagnostics.guarded(commands, {line!r})
"""

EVERY_MODULE = """
import importlib, pkgutil
import coach.{package} as package
for module in pkgutil.walk_packages(package.__path__, package.__name__ + "."):
    importlib.import_module(module.name)
"""

REPORT = """
import sys
print("loaded", *sys.modules, sep="\\n")
"""


def modules_after(code: str) -> set[str]:
    """Modules that are there after a bare interpreter ran the code."""
    ran = subprocess.run(
        [sys.executable, "-c", code + REPORT], capture_output=True, text=True, encoding="utf-8"
    )
    assert ran.returncode == 0, ran.stderr
    return set(ran.stdout.split("loaded\n")[-1].splitlines())


def loaded_by(code: str) -> set[str]:
    """Top-level modules that are there after the code."""
    return {name.partition(".")[0] for name in modules_after(code)}


@pytest.mark.parametrize("line", [[], ["--help"], ["--version"], ["no-such-command"]])
def test_the_overview_loads_no_engine_and_no_screen(line: list[str]) -> None:
    assert not loaded_by(OVERVIEW.format(line=line)) & HEAVY


@pytest.mark.parametrize("line", [["history"], ["trends"]])
def test_lists_and_trends_load_no_planner_and_no_events(line: list[str], tmp_path: Path) -> None:
    path = tmp_path / "journal.db"
    write(path, [(on(0), [ended(90)])])

    added = modules_after(OVERVIEW.format(line=[*line, "--journal", str(path)]))

    assert "coach.record.entry" in added
    assert not added & {"pydantic", "coach.planning.rule_engine", "coach.session.events"}


@pytest.mark.parametrize("line", [["words"], ["words", "--help"], ["words", "teach", "--help"]])
def test_the_words_are_listed_without_what_only_sound_needs(line: list[str]) -> None:
    loaded = loaded_by(OVERVIEW.format(line=line))

    assert "pydantic" in loaded, "the command itself was loaded"
    assert not loaded & (HEAVY - {"pydantic"})


@pytest.mark.parametrize("package", ["model", "planning", "session", "group", "language", "record"])
def test_a_pure_package_loads_only_the_standard_library(package: str) -> None:
    added = loaded_by(EVERY_MODULE.format(package=package)) - loaded_by("")

    assert added - sys.stdlib_module_names == {"coach"}
