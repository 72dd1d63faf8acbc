"""Keeps what C libraries write to standard error off the screen, and in a log."""

import os
import sys
from pathlib import Path
from typing import TextIO


class QuietStderr:
    """While entered, file descriptor 2 is a log; Python's own stderr goes on to the terminal.

    sys.stderr and sys.__stderr__ are both moved, since a full-screen program draws on the latter.
    Enter it before the screen starts.
    """

    def __init__(self, log: Path) -> None:
        self._log = log
        self._saved: tuple[TextIO | None, TextIO | None] | None = None
        self._terminal: TextIO | None = None

    def __enter__(self) -> "QuietStderr":
        """Move descriptor 2 to the log; OSError if the log can't be written."""
        self._log.parent.mkdir(parents=True, exist_ok=True)
        log = os.open(self._log, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        if sys.stderr is not None:
            sys.stderr.flush()
        self._terminal = os.fdopen(os.dup(2), "w", buffering=1, encoding="utf-8", errors="replace")
        os.dup2(log, 2)
        os.close(log)
        self._saved = (sys.stderr, sys.__stderr__)
        sys.stderr, sys.__stderr__ = self._moved(sys.stderr), self._moved(sys.__stderr__)  # type: ignore[misc,assignment]
        return self

    def __exit__(self, *_: object) -> None:
        """Put everything back."""
        if self._saved is None or self._terminal is None:
            return
        self._terminal.flush()
        os.dup2(self._terminal.fileno(), 2)
        sys.stderr, sys.__stderr__ = self._saved  # type: ignore[misc,assignment]
        self._terminal.close()
        self._saved = self._terminal = None

    def _moved(self, stream: TextIO | None) -> TextIO | None:
        """The terminal for a stream on descriptor 2; another (a test's capture) stays as it is."""
        try:
            on_two = stream is not None and stream.fileno() == 2
        except (OSError, ValueError):
            on_two = False
        return self._terminal if on_two else stream
