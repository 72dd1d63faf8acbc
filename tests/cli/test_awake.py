"""The machine stays awake while a session runs: by the library, else by the system's tool."""

import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from types import ModuleType, SimpleNamespace

import pytest

from coach.runtime import awake


def library(monkeypatch: pytest.MonkeyPatch, active: bool) -> list[str]:
    """A stand-in for wakepy that writes down what it is asked."""
    asked: list[str] = []

    @contextmanager
    def presenting(on_fail: str) -> Iterator[SimpleNamespace]:
        asked.append(on_fail)
        yield SimpleNamespace(active=active)
        asked.append("let go")

    module = ModuleType("wakepy")
    module.keep = SimpleNamespace(presenting=presenting)  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "wakepy", module)
    return asked


def tools(monkeypatch: pytest.MonkeyPatch) -> list[subprocess.Popen[bytes]]:
    """Let a tool that only runs its command stand in for the system's; what was started."""
    started: list[subprocess.Popen[bytes]] = []
    begin = subprocess.Popen

    def popen(*what: object, **how: object) -> subprocess.Popen[bytes]:
        started.append(begin(*what, **how))  # type: ignore[call-overload]
        return started[-1]

    monkeypatch.setitem(awake._TOOLS, sys.platform, ["env"])
    monkeypatch.setattr("subprocess.Popen", popen)
    return started


def test_where_the_library_can_the_tool_is_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    asked, started = library(monkeypatch, active=True), tools(monkeypatch)
    with awake.awake():
        assert asked == ["pass"]
    assert asked == ["pass", "let go"]
    assert started == []


def test_where_it_cannot_the_tool_holds_until_the_end(monkeypatch: pytest.MonkeyPatch) -> None:
    library(monkeypatch, active=False)
    started = tools(monkeypatch)
    with awake.awake():
        assert started[-1].poll() is None
    assert started[-1].returncode == 0


def test_without_library_and_tool_a_session_runs_all_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(sys.modules, "wakepy", None)
    monkeypatch.setitem(awake._TOOLS, sys.platform, ["no-such-tool"])
    with awake.awake():
        assert not awake.able()


def test_a_session_asks_only_after_its_first_sentence_and_lets_go_at_its_end(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked = library(monkeypatch, active=True)
    with awake.awake_soon():
        assert asked == []
    assert asked == []

    monkeypatch.setattr(awake, "SOON", 0.01)
    with awake.awake_soon():
        end = time.monotonic() + 10.0
        while not asked and time.monotonic() < end:
            time.sleep(0.01)
        assert asked == ["pass"]
    assert asked == ["pass", "let go"]
