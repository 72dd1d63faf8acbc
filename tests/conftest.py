"""How every test runs: away from the user's own files, and the same way each time in CI."""

import contextlib
import os
import tempfile
import tomllib
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from coach.files import document
from tests.turns import Turns

# As in the recogniser's own process: with more threads, products of its size take fifty times the
# processor time. Set before anything imports numpy.
os.environ.setdefault("OMP_NUM_THREADS", "1")

# Most tests load the shipped files, of which TOML is four fifths: each text is read once. The
# values are only looked at.
vars(document)["loads"] = lru_cache(maxsize=64)(tomllib.loads)

# How busy the machine is says nothing about the program.
settings.register_profile("here", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("ci", settings.get_profile("here"), derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "here")

PURE = ("model", "planning", "session", "group", "language", "record")

#: A folder in memory, and the free bytes that it needs to hold what the tests write.
MEMORY, ROOM = Path("/dev/shm"), 2 << 30

TURNS = pytest.StashKey[Turns]()


def pytest_configure(config: pytest.Config) -> None:
    """Put the tests' folders into memory: on a disk each commit of a journal waits for it.

    Where there is no such folder, or programs can't be run from it, the usual one serves.
    """
    with contextlib.suppress(OSError):
        found = os.statvfs(MEMORY)
        writable = os.access(MEMORY, os.W_OK) and not found.f_flag & os.ST_NOEXEC
        if writable and found.f_bavail * found.f_frsize >= ROOM:
            os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(MEMORY))
    if hasattr(config, "workerinput"):  # one of several processes, each with a folder beside
        config.stash[TURNS] = Turns(Path(config.getoption("basetemp")).parent)


def pytest_unconfigure(config: pytest.Config) -> None:
    """Leave the others alone."""
    if TURNS in config.stash:
        config.stash[TURNS].close()


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int | None:
    """All tests run in a process for each core; some of them, by name, in this one."""
    return 0 if config.getoption("file_or_dir") else None


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """First what runs alone, then what takes long: the many short ones fill up the end.

    Where the branches of pure packages are counted, only those packages' own tests count: they
    have to reach all of them, and no other test is slowed down by counting.
    """
    tests = Path(__file__).parent
    items.sort(key=lambda item: (not _alone(item), tests / "hearing" not in item.path.parents))
    counted = set(config.getoption("cov_source", None) or ())
    if counted and counted <= {f"coach.{name}" for name in PURE}:
        for item in items:
            if item.path.relative_to(tests).parts[0] not in PURE:
                item.add_marker(pytest.mark.no_cover)


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[None]:
    """A test in real time runs while no other process runs one; its time starts with its turn."""
    turns = item.config.stash.get(TURNS, None)
    with turns.turn(alone=_alone(item)) if turns else contextlib.nullcontext():
        return (yield)


def _alone(item: pytest.Item) -> bool:
    return item.get_closest_marker("sound") is not None


@pytest.fixture
def disk() -> Iterator[Path]:
    """A folder that is not in memory, for tests of what is written while a process is killed."""
    with tempfile.TemporaryDirectory() as folder:
        yield Path(folder)


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Give each test a COACH_HOME of its own, so that none touches the user's journal."""
    home = tmp_path / "home"
    monkeypatch.setenv("COACH_HOME", str(home))
    return home
