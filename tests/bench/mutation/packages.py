"""Which packages are tried, and by which of the tests: fast ones, that need no sound."""

import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[3]


@dataclass(frozen=True, slots=True)
class Package:
    """A package with what judges it."""

    tests: tuple[str, ...]
    goal: float
    """The share that is to be killed."""
    modules: tuple[str, ...] = ()
    """Only these decide something; all of them where none is named."""
    without: tuple[str, ...] = ()
    """Tests that take too long to be run for each mutant."""


EAR = ("asking", "bands", "endpoint", "judging", "looks", "marks", "vocabulary")

PACKAGES = {
    "model": Package(
        ("tests/model", "tests/language", "tests/planning", "tests/screen/test_keys.py"),
        0.95,
        without=("test_simulated.py", "test_budget.py", "test_published.py"),
    ),
    "planning": Package(
        ("tests/planning",),
        0.95,
        without=("test_simulated.py", "test_budget.py", "test_published.py"),
    ),
    "session": Package(("tests/session",), 0.95, without=("test_killed.py",)),
    "group": Package(("tests/group",), 0.95),
    "language": Package(("tests/language",), 0.95),
    "record": Package(
        ("tests/record", "tests/exports/test_drawings.py"), 0.95, without=("test_commands.py",)
    ),
    "hearing": Package(
        tuple(f"tests/hearing/test_{name}.py" for name in EAR),
        0.85,
        ("endpoint", "listener", "vocabulary", "bands"),
    ),
    "web": Package(
        ("tests/web", "tests/screen/test_codes.py", "tests/group/test_privacy.py"),
        0.85,
        without=("test_browser.py",),
    ),
}


def sources(name: str) -> Iterator[Path]:
    """The source files of a package that decide something."""
    package, folder = PACKAGES[name], ROOT / "coach" / name
    for path in sorted(folder.rglob("*.py")):
        if path.stem != "__init__" and (not package.modules or path.stem in package.modules):
            yield path


def package_of(path: Path) -> str | None:
    """The package of a source file, if it is tried."""
    return next((name for name in PACKAGES if path in set(sources(name))), None)


def changed(base: str) -> dict[Path, set[int]]:
    """The lines of our sources that differ from a commit, by file."""
    shown = subprocess.run(
        ["git", "diff", "--unified=0", "--no-color", base, "--", "coach"],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    found: dict[Path, set[int]] = {}
    path = ROOT
    for line in shown.splitlines():
        if line.startswith("+++ "):
            path = ROOT / line.removeprefix("+++ b/")
        elif line.startswith("@@"):
            first, _, count = line.split()[2].lstrip("+").partition(",")
            lines = range(int(first), int(first) + int(count or 1))
            found.setdefault(path, set()).update(lines)
    return {path: lines for path, lines in found.items() if package_of(path) is not None}
