"""Pastes the README's session command into a terminal, answers as a person would, and ends it.

Only the standard library: it runs where nothing is installed yet. Leaves with 0 if the session
came up, took a key, and ended as saved.
"""

import os
import pty
import re
import select
import sys
import time
from pathlib import Path

#: What to wait for on the screen, and what is typed then.
TALK = [
    (r"age", "adult\n"),
]
PATIENCE = 600.0


def command() -> str:
    """The README's line that ends in `coach start`."""
    for line in Path("README.md").read_text(encoding="utf-8").splitlines():
        if line.startswith("    ") and line.rstrip().endswith("coach start"):
            return line.strip()
    raise SystemExit("README.md holds no line that ends in 'coach start'")


def main() -> int:
    """Run the command on a terminal of its own."""
    pid, terminal = pty.fork()
    if pid == 0:
        os.execvp("bash", ["bash", "-c", command()])
    seen = ""
    for pattern, typed in TALK:
        deadline = time.monotonic() + PATIENCE
        while not re.search(pattern, seen, re.IGNORECASE):
            if time.monotonic() > deadline:
                raise SystemExit(f"nothing like {pattern!r} within {PATIENCE} s:\n{seen[-3000:]}")
            if select.select([terminal], [], [], 1.0)[0]:
                text = os.read(terminal, 65536).decode("utf-8", "replace")
                sys.stdout.write(text)
                seen += text
        seen = ""
        os.write(terminal, typed.encode())
    _, status = os.waitpid(pid, 0)
    return os.waitstatus_to_exitcode(status)


if __name__ == "__main__":
    raise SystemExit(main())
