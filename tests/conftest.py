"""How every test runs: away from the user's own files, and the same way each time in CI."""

import contextlib
import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

# As in the recogniser's own process: with more threads, products of its size take fifty times the
# processor time. Set before anything imports numpy.
os.environ.setdefault("OMP_NUM_THREADS", "1")

settings.register_profile(
    "ci", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile("here", deadline=None)
settings.load_profile("ci" if os.environ.get("CI") else "here")


#: A folder in memory, and the free bytes that it needs to hold what the tests write.
MEMORY, ROOM = Path("/dev/shm"), 2 << 30


def pytest_configure() -> None:
    """Put the tests' folders into memory: on a disk each commit of a journal waits for it.

    Where there is no such folder, or programs can't be run from it, the usual one serves.
    """
    with contextlib.suppress(OSError):
        found = os.statvfs(MEMORY)
        writable = os.access(MEMORY, os.W_OK) and not found.f_flag & os.ST_NOEXEC
        if writable and found.f_bavail * found.f_frsize >= ROOM:
            os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(MEMORY))


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Give each test a COACH_HOME of its own, so that none touches the user's journal."""
    home = tmp_path / "home"
    monkeypatch.setenv("COACH_HOME", str(home))
    return home
