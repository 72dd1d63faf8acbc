"""A child process that is asked by one line of JSON and answers by one, or is ended.

Synthesisers print, play, hang and crash; there it costs a sentence and not the session. A child may
send a line `{"beat": true}` while it works: it counts as alive and is not taken for an answer.
"""

import contextlib
import json
import os
import queue
import subprocess
import threading
import time
from pathlib import Path
from typing import IO, Any

from coach.errors import AudioError

_START = "start"


class LineChild:
    """Starts the command, asks it, ends it; AudioError with `install` where it fails."""

    def __init__(
        self,
        name: str,
        command: tuple[str, ...],
        install: str,
        log: Path | None = None,
        *,
        silent: float = 10.0,
        longest: float = 10.0,
    ) -> None:
        """`silent` seconds without any line, or `longest` for one answer, and it is ended."""
        self._name, self._command, self._install = name, command, install
        self._log, self._silent, self._longest = log, silent, longest
        self._process: subprocess.Popen[str] | None = None
        self._lines: queue.SimpleQueue[str] = queue.SimpleQueue()
        self._greeted = False

    @property
    def running(self) -> bool:
        """Whether there is a child."""
        return self._process is not None

    def begin(self) -> None:
        """Start it without waiting until it is ready; nothing if it runs."""
        if self._process is not None:
            return
        with (self._log or Path(os.devnull)).open("a", encoding="utf-8") as log:
            self._process = subprocess.Popen(
                self._command,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=log,
                text=True,
                encoding="utf-8",
            )
        self._lines, self._greeted = queue.SimpleQueue(), False
        threading.Thread(
            target=_read, args=(self._process.stdout, self._lines), name=self._name, daemon=True
        ).start()

    def start(self) -> None:
        """Start it and wait until it is ready."""
        self.begin()
        if not self._greeted:
            self._reply(_START)
            self._greeted = True

    def ask(self, request: dict[str, object], wanted: str) -> dict[str, Any]:
        """Its answer; `wanted` is what it is asked to do, for the error. OSError if it is gone."""
        self.start()
        assert self._process is not None
        assert self._process.stdin is not None
        self._process.stdin.write(json.dumps(request) + "\n")
        self._process.stdin.flush()
        return self._reply(wanted)

    def close(self) -> None:
        """End it; safe to call twice. The next question starts another."""
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            process.wait()
            for pipe in (process.stdin, process.stdout):
                if pipe is not None:
                    with contextlib.suppress(OSError):
                        pipe.close()

    def _reply(self, wanted: str) -> dict[str, Any]:
        ends = time.monotonic() + self._longest
        while True:
            waited = min(self._silent, max(0.0, ends - time.monotonic()))
            try:
                line = self._lines.get(timeout=waited)
            except queue.Empty:
                self.close()
                raise AudioError(
                    f"{self._name} did not {wanted} within {waited:g} s and was ended.",
                    self._install,
                ) from None
            if not line:
                self.close()
                raise AudioError(
                    f"{self._name}'s process died when it should {wanted}.", self._install
                )
            reply: dict[str, Any] = json.loads(line)
            if "beat" in reply:
                continue
            if "error" in reply:
                if wanted == _START:
                    self.close()
                raise AudioError(
                    f"{self._name} could not {wanted}: {reply['error']}",
                    reply.get("do") or self._install,
                )
            return reply


def _read(pipe: IO[str] | None, lines: "queue.SimpleQueue[str]") -> None:
    """Pass each line on, and '' at the end of the stream."""
    assert pipe is not None
    with contextlib.suppress(ValueError, OSError):
        for line in pipe:
            lines.put(line)
    lines.put("")
