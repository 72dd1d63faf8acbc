"""How every test runs: away from the user's own files, and the same way each time in CI."""

import contextlib
import gc
import os
import tempfile
import tomllib
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from coach.files import document

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

PURE = {f"coach.{name}" for name in "model planning session group language record".split()}

#: The tests whose branches count where those of the pure packages do, folders and files. They are
#: few and short and reach most: a test that counts takes up to three times as long.
COUNTED = """
    language model record
    group/test_remembered.py group/test_spiteful.py group/test_waiting.py
    planning/test_corners.py planning/test_rules.py planning/test_why.py
    session/test_coaching.py session/test_conversation.py session/test_injury.py
    session/test_rests_and_doses.py session/test_rests_only.py session/test_scenarios.py
    session/test_tries.py
""".split()

#: A folder in memory, and the free bytes that it needs to hold what the tests write.
MEMORY, ROOM = Path("/dev/shm"), 2 << 30

#: How much a process gives way that runs tests which compute, as `nice` counts it.
COMPUTES = 10

#: Processes beyond one for each core: so many wait at the same time, with little to compute, for
#: what runs in real time.
WAIT = 1

#: As `gc.set_threshold` takes them: at the usual pace a tenth of the time goes into looking for
#: garbage among what was imported and collected.
SELDOM = (20_000, 10, 10)

REAL_TIME = pytest.StashKey[set[Path]]()


def pytest_configure(config: pytest.Config) -> None:
    """Put the tests' folders into memory: on a disk each commit of a journal waits for it.

    Where there is no such folder, or programs can't be run from it, the usual one serves.
    """
    with contextlib.suppress(OSError):
        found = os.statvfs(MEMORY)
        writable = os.access(MEMORY, os.W_OK) and not found.f_flag & os.ST_NOEXEC
        if writable and found.f_bavail * found.f_frsize >= ROOM:
            os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(MEMORY))


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int | None:
    """All tests run in several processes; some of them, by name, in this one."""
    return 0 if config.getoption("file_or_dir") else len(os.sched_getaffinity(0)) + WAIT


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """First whole sessions in real time, then what else is, then what takes long.

    The many short ones fill up the end.
    """
    tests = Path(__file__).parent
    config.stash[REAL_TIME] = {item.path for item in items if _in_real_time(item)}
    items.sort(
        key=lambda item: (
            not _is_session(item),
            not _in_real_time(item),
            tests / "hearing" not in item.path.parents,
        )
    )
    sources = set(config.getoption("cov_source", None) or ())
    if sources and sources <= PURE:
        counted = {tests / name for name in COUNTED}
        for item in items:
            if counted.isdisjoint({item.path, *item.path.parents}):
                item.add_marker(pytest.mark.no_cover)


@pytest.hookimpl(tryfirst=True)
def pytest_sessionstart(session: pytest.Session) -> None:
    """Let what does not count be paused in each of several processes.

    There pytest-cov begins to count twice, and would go on with the first count, which nobody
    reads, while its own is paused.
    """
    if hasattr(session.config, "workerinput"):
        first = getattr(session.config.pluginmanager.getplugin("_cov"), "cov_controller", None)
        if first is not None:
            first.pause()


def pytest_collection_finish() -> None:
    """What is there by now stays to the end, and nobody looks for garbage in it."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(*SELDOM)


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_protocol(item: pytest.Item) -> None:
    """What computes makes room for what runs in real time beside it.

    A process that has come to its first file without such tests has none of them before it any
    more. With the rest at this priority every test in real time has passed at a load of nine on two
    cores.
    """
    several = hasattr(item.config, "workerinput")
    if several and item.path not in item.config.stash[REAL_TIME] and os.nice(0) < COMPUTES:
        os.nice(COMPUTES - os.nice(0))


@pytest.hookimpl(wrapper=True)
def pytest_runtest_setup(item: pytest.Item) -> Iterator[None]:
    """What is made for a test that does not count does not count either."""
    counting = getattr(item.config.pluginmanager.getplugin("_cov"), "cov_controller", None)
    if counting is None or item.get_closest_marker("no_cover") is None:
        return (yield)
    counting.pause()
    try:
        return (yield)
    finally:
        counting.resume()


def _in_real_time(item: pytest.Item) -> bool:
    return item.get_closest_marker("sound") is not None


def _is_session(item: pytest.Item) -> bool:
    """Whether it waits minutes for a whole session by voice."""
    marker = item.get_closest_marker("sound")
    return marker is not None and marker.kwargs.get("session", False)


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
