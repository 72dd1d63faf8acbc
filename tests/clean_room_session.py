"""Pastes the README's session command into a terminal, answers as a person would, and ends it.

    python3 tests/clean_room_session.py [COMMAND]

Only the standard library: it runs where nothing is installed yet. Leaves with the command's own
exit code, or says what it waited for in vain.
"""

import fcntl
import os
import pty
import re
import select
import struct
import sys
import termios
import time
from pathlib import Path

#: What to wait for, and what is typed then. A key that is pressed twice is pressed slowly: one
#: that is held down counts once.
TALK = (
    (r"How old", "3\n"),
    (r"Which circuits are there", "pumice, slate, flint, basalt\n"),
    (r"comfortable", "2\n"),
    (r"Which edge", "2\n"),
    (r"ninety", "3"),
    (r"for years", "4"),
    (r"How many minutes|anything|nothing|feel", "1"),
    (r"all done", "q"),
    (r"once more", "q"),
    (r"very easy", "1"),
    (r"On the record: ", ""),
)
#: Seconds that each may take; the first one installs everything.
PATIENCE = 600.0
#: Seconds between what is seen and what is typed.
SLOWLY = 1.5


def command() -> str:
    """The README's line that ends in `coach start`, or the one that was given."""
    if len(sys.argv) > 1:
        return sys.argv[1]
    for line in Path("README.md").read_text(encoding="utf-8").splitlines():
        if line.startswith("    ") and line.rstrip().endswith("coach start"):
            return line.strip()
    raise SystemExit("README.md holds no line that ends in 'coach start'")


def main() -> int:
    """Run the command on a terminal of its own."""
    pid, terminal = pty.fork()
    if pid == 0:
        os.execvp("bash", ["bash", "-c", command()])
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    seen, began = "", time.monotonic()
    for pattern, typed in TALK:
        deadline = time.monotonic() + PATIENCE
        while not re.search(pattern, seen):
            if time.monotonic() > deadline:
                raise SystemExit(f"nothing like {pattern!r} within {PATIENCE} s:\n{seen[-3000:]}")
            seen += read(terminal, pattern)
        after = time.monotonic() - began
        print(f"-- {after:.0f} s: saw {pattern!r}, type {typed!r}", flush=True)
        time.sleep(SLOWLY)
        seen = ""
        if typed:
            os.write(terminal, typed.encode())
    _, status = os.waitpid(pid, 0)
    return os.waitstatus_to_exitcode(status)


def read(terminal: int, pattern: str) -> str:
    """What the terminal shows next, within a second."""
    if not select.select([terminal], [], [], 1.0)[0]:
        return ""
    try:
        data = os.read(terminal, 65536)
    except OSError:  # the command has ended
        raise SystemExit(f"ended before {pattern!r} was seen") from None
    text = data.decode("utf-8", "replace")
    if os.environ.get("SHOW"):
        sys.stdout.write(text)
    return text


if __name__ == "__main__":
    raise SystemExit(main())
