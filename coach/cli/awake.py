"""Keeps the machine from dimming, locking or sleeping while a session runs.

The system's own tool holds the inhibition and reads a pipe of ours: when this process ends, however
it ends, the pipe closes and the inhibition with it.
"""

import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager

_TOOLS: dict[str, list[str]] = {
    "linux": [
        "systemd-inhibit",
        "--what=idle:sleep",
        "--who=coach",
        "--why=a climbing session is running",
        "--mode=block",
        "cat",
    ],
    "darwin": ["caffeinate", "-di", "cat"],
}


def tool(platform: str = sys.platform) -> list[str] | None:
    """The command line that keeps this system awake, or None where there is none."""
    line = _TOOLS.get(platform)
    return line if line is not None and shutil.which(line[0]) else None


@contextmanager
def awake() -> Iterator[None]:
    """Keep the machine awake while entered; does nothing where it can't."""
    line = tool()
    if line is None:
        yield
        return
    holder = subprocess.Popen(
        line, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    try:
        yield
    finally:
        assert holder.stdin is not None
        holder.stdin.close()
        holder.wait(timeout=5.0)
