"""Who may write on the terminal while the screen runs: the screen, and nobody else.

Sound libraries print warnings on file descriptor 2 from C, which would tear the picture, and
Textual's own picture goes to `sys.__stderr__`. So the picture gets a stream of its own on the
terminal, and descriptor 2 a file.
"""

import os
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path


def why_plain(environ: Mapping[str, str], stdin_tty: bool, stdout_tty: bool) -> str:
    """Why plain lines are shown and not the screen, as a clause; '' if the screen can run."""
    if not (stdin_tty and stdout_tty):
        return "input or output is no terminal"
    if environ.get("TERM", "dumb") in ("", "dumb", "unknown"):
        return "TERM says that the terminal can't place text"
    if find_spec("textual") is None:
        return "the package textual is not installed"
    return ""


#: Leave the other screen (entered first: left alone it would move the cursor), show the cursor,
#: and paste and take keys as any terminal does.
_USUAL = "\x1b[?1049h\x1b[?1049l\x1b[?25h\x1b[?2004l\x1b[?1004l\x1b[<u"


def usable(*, killed: bool = False) -> None:
    """Make the terminal take a typed line, where a program that was killed left it otherwise.

    Without this, Enter gives no line there, and nothing that is typed is seen. Where a session was
    `killed`, a shell may have mended that much already, and left its picture on the screen.
    """
    try:
        import termios
    except ImportError:  # a system without them leaves no terminal so
        return
    try:
        now = termios.tcgetattr(sys.stdin.fileno())
    except (OSError, ValueError, termios.error):  # no terminal
        return
    lines, returns = termios.ICANON | termios.ECHO | termios.ISIG, termios.ICRNL
    if now[3] & lines == lines and now[0] & returns and not killed:
        return
    now[0] |= returns
    now[1] |= termios.OPOST
    now[3] |= lines | termios.IEXTEN
    termios.tcsetattr(sys.stdin.fileno(), termios.TCSANOW, now)
    sys.stderr.write(_USUAL)
    sys.stderr.flush()


@contextmanager
def own_terminal(noise: Path) -> Iterator[None]:
    """Give the picture a stream of its own and append descriptor 2 to the file `noise`.

    Standard output must be a terminal (see `why_plain`). OSError if the file can't be opened;
    then nothing has changed.
    """
    sink = os.open(noise, os.O_WRONLY | os.O_APPEND | os.O_CREAT | os.O_CLOEXEC, 0o600)
    sys.stderr.flush()
    kept = os.dup(2)
    before = sys.__stderr__
    encoding = getattr(sys.__stdout__, "encoding", None)
    try:
        with os.fdopen(os.dup(1), "w", encoding=encoding, errors="replace") as picture:
            os.dup2(sink, 2)
            sys.__stderr__ = picture  # type: ignore[misc]
            yield
    finally:
        sys.__stderr__ = before  # type: ignore[misc]
        sys.stderr.flush()
        os.dup2(kept, 2)
        os.close(kept)
        os.close(sink)
