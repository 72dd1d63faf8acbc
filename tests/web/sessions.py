"""Sessions that the real core runs until pages have something to show, in a journal."""

import subprocess
import sys

from coach.files.words import load_language
from coach.language import Language

LINE = "from coach.cli import main; main()"


def coach(*words: str) -> list[str]:
    """The command line of the program, by this interpreter."""
    return [sys.executable, "-c", LINE, *words]


def started(*words: str) -> subprocess.Popen[str]:
    """A session in a process of its own, shared on a port of the system's choice."""
    line = coach(*words, "--no-sound", "--plain", "--share", "0")
    pipe = subprocess.PIPE
    return subprocess.Popen(line, stdin=pipe, stdout=pipe, stderr=pipe, text=True)


def links_of(running: subprocess.Popen[str]) -> dict[str, str]:
    """What each link that it prints is for, as far as the last one."""
    found: dict[str, str] = {}
    wanted = {"To watch", "To lead", "To answer, person 1"}
    assert running.stderr is not None
    while len(found) < 2:
        line = running.stderr.readline()
        assert line, "it ended before it shared"
        head, _, link = line.strip().partition(": http")
        if head in wanted:
            found[head] = f"http{link}"
    return found


def language() -> Language:
    """The English pack, without movements: what a page says by itself."""
    return load_language("en", {})
