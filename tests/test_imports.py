"""What each part of the program loads, seen from outside: a linter can't see a deferred import."""

import subprocess
import sys

import pytest

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


def loaded_by(code: str) -> set[str]:
    """Top-level modules that the code adds to a bare interpreter."""
    ran = subprocess.run(
        [sys.executable, "-c", code + REPORT], capture_output=True, text=True, encoding="utf-8"
    )
    assert ran.returncode == 0, ran.stderr
    names = ran.stdout.split("loaded\n")[-1].splitlines()
    return {name.partition(".")[0] for name in names}


@pytest.mark.parametrize("line", [[], ["--help"], ["--version"], ["no-such-command"]])
def test_the_overview_loads_no_engine_and_no_screen(line: list[str]) -> None:
    assert not loaded_by(OVERVIEW.format(line=line)) & HEAVY


@pytest.mark.parametrize("package", ["model", "planning", "session", "group", "language", "record"])
def test_a_pure_package_loads_only_the_standard_library(package: str) -> None:
    added = loaded_by(EVERY_MODULE.format(package=package)) - loaded_by("")

    assert added - sys.stdlib_module_names == {"coach"}
