"""How every test runs: away from the user's own files, and the same way each time in CI."""

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


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Give each test a COACH_HOME of its own, so that none touches the user's journal."""
    home = tmp_path / "home"
    monkeypatch.setenv("COACH_HOME", str(home))
    return home
