"""Keeps the machine from dimming, locking or sleeping while a session runs.

A library asks the desktop where it can; else the system's own tool holds the inhibition and reads a
pipe of ours. Both end with this process, however it ends.
"""

import shutil
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager

#: Seconds that a session has to itself before the system is asked: that takes a tenth of one.
SOON = 2.0

_TOOLS: dict[str, list[str]] = {
    "linux": [
        "systemd-inhibit",
        "--what=idle:sleep",
        "--who=coach",
        "--why=a climbing session is running",
        "--mode=block",
    ],
    "darwin": ["caffeinate", "-di"],
}


def tool() -> list[str] | None:
    """What to put before a command so that the machine stays awake while that runs.

    None where there is no such tool, or where the system refuses it.
    """
    line = _TOOLS.get(sys.platform)
    if line is None or shutil.which(line[0]) is None:
        return None
    tried = subprocess.run(
        [*line, "true"], check=False, stdin=subprocess.DEVNULL, capture_output=True
    )
    return line if tried.returncode == 0 else None


@contextmanager
def _by_library() -> Iterator[bool]:
    """Have wakepy ask the desktop while entered; whether it could."""
    try:
        from wakepy import keep
    except ImportError:
        yield False
        return
    with keep.presenting(on_fail="pass") as mode:
        yield bool(mode.active)


def able() -> bool:
    """Whether this machine can be kept awake."""
    with _by_library() as asked:
        return asked or tool() is not None


@contextmanager
def awake() -> Iterator[None]:
    """Keep the machine awake while entered; does nothing where it can't."""
    with _by_library() as asked:
        if asked:
            yield
        else:
            with _by_tool():
                yield


@contextmanager
def awake_soon() -> Iterator[None]:
    """As `awake`, from a moment later on: the first sentence doesn't wait for it."""
    over = threading.Event()

    def hold() -> None:
        if not over.wait(SOON):
            with awake():
                over.wait()

    holder = threading.Thread(target=hold, name="awake", daemon=True)
    holder.start()
    try:
        yield
    finally:
        over.set()
        holder.join()


@contextmanager
def _by_tool() -> Iterator[None]:
    line = tool()
    if line is None:
        yield
        return
    holder = subprocess.Popen(
        [*line, "cat"], stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    try:
        yield
    finally:
        assert holder.stdin is not None
        holder.stdin.close()
        holder.wait(timeout=5.0)
