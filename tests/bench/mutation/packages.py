"""Which packages are tried, and by which of the tests: fast ones, that need no sound."""

import subprocess
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[3]


def _pages() -> None:
    """The journal of the kept pages."""
    from tests.days import pages

    pages.journal()


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
    longest: float = 2.0
    """Seconds of computing after which any other test is left out too."""
    ready: Callable[[], object] = _pages
    """Makes what many tests share, once for all: nothing that a mutant of the package changes."""


def _days() -> None:
    """The days that the core runs for the judges of the record."""
    from tests.bench.mutation.documents import forget, year
    from tests.bench.ten_years import LIVES, facts_of, sessions
    from tests.record import real
    from tests.record.test_recount import DIFFERENT, SESSIONS

    _pages()
    year()
    forget(real.recorded(SESSIONS, DIFFERENT) / "journal.db")
    for life in (LIVES[1], LIVES[2], LIVES[9]):
        for _, sort in sessions(life, 15):
            facts_of(sort)


#: Whole days, plans and pages as they are kept: they see most changes, and are run first.
KEPT = "tests/days/test_kept.py"
DOCUMENTS = "tests/bench/mutation/documents.py"
EAR = ("asking", "bands", "endpoint", "judging", "looks", "marks", "vocabulary")

PACKAGES = {
    "model": Package(
        (
            "tests/model",
            "tests/language",
            "tests/planning",
            "tests/screen/test_keys.py",
            DOCUMENTS,
            KEPT,
        ),
        0.95,
        without=("test_simulated.py", "test_budget.py", "test_published.py"),
    ),
    "planning": Package(
        ("tests/planning", DOCUMENTS, KEPT),
        0.95,
        without=("test_simulated.py", "test_budget.py", "test_published.py"),
    ),
    "session": Package(("tests/session", DOCUMENTS, KEPT), 0.95, without=("test_killed.py",)),
    "group": Package(("tests/group", DOCUMENTS, KEPT), 0.95),
    "language": Package(("tests/language", DOCUMENTS, KEPT), 0.95),
    "record": Package(
        (
            "tests/record",
            "tests/exports/test_drawings.py",
            "tests/exports/test_year_page.py",
            "tests/cli/test_suggested.py",
            "tests/cli/test_standing.py",
            DOCUMENTS,
            KEPT,
        ),
        0.95,
        without=("test_commands.py",),
        longest=6.0,
        ready=_days,
    ),
    "hearing": Package(
        tuple(f"tests/hearing/test_{name}.py" for name in EAR),
        0.85,
        ("endpoint", "listener", "vocabulary", "bands"),
    ),
    "web": Package(
        ("tests/web", "tests/screen/test_codes.py", "tests/group/test_privacy.py", KEPT),
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
