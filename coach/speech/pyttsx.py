"""The system's own engine through pyttsx3, kept in a child process that may be ended at any time.

pyttsx3 prints to standard output, plays inside a callback and can hang on its second sentence;
here it only ever writes files, in a process of its own whose words come back as one line each.
A rate or voice set after the first sentence is often not heard, so each profile gets a new process.
"""

import contextlib
import json
import os
import queue
import subprocess
import sys
import tempfile
import threading
from importlib import metadata
from pathlib import Path
from typing import IO

from coach.audio.port import Samples
from coach.errors import AudioError
from coach.speech.port import VoiceProfile
from coach.speech.shape import from_wav, trimmed

#: Seconds the engine may take to start, and seconds a sentence may take.
PATIENCE = 10.0

INSTALL = "Install an engine: apt install espeak-ng libespeak-ng1   (and: pip install pyttsx3)"

_START = "start"

#: Unbuffered: what it prints is in the log even if it is killed right after.
CHILD = (sys.executable, "-u", "-m", "coach.speech.pyttsx_child")


class Pyttsx:
    """The Synthesiser of whatever engine pyttsx3 finds; AudioError at once if it finds none."""

    name = "pyttsx3"

    def __init__(
        self,
        log: Path | None = None,
        patience: float = PATIENCE,
        child: tuple[str, ...] = CHILD,
    ) -> None:
        self._log = log
        self._patience = patience
        self._command = child
        self._process: subprocess.Popen[str] | None = None
        self._lines: queue.SimpleQueue[str] = queue.SimpleQueue()
        self._manner: dict[str, object] = {}
        self._start()

    @property
    def version(self) -> str:
        """Version of pyttsx3 and the platform whose engine it uses; part of the cache's key."""
        try:
            return f"{metadata.version('pyttsx3')} {sys.platform}"
        except metadata.PackageNotFoundError:
            return sys.platform

    def render(self, text: str, profile: VoiceProfile) -> Samples:
        """The sentence; a child that hangs or dies is replaced once, then AudioError."""
        try:
            return self._render(text, profile)
        except (AudioError, ValueError, OSError):
            self.close()
            self._start()
        try:
            return self._render(text, profile)
        except (ValueError, OSError) as error:
            self.close()
            raise AudioError(f"pyttsx3 gave no usable sound: {error}", INSTALL) from error

    def close(self) -> None:
        """End the child; safe to call twice. The next sentence starts another."""
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            process.wait()
            for pipe in (process.stdin, process.stdout):
                if pipe is not None:
                    with contextlib.suppress(OSError):
                        pipe.close()

    def _start(self) -> None:
        with (self._log or Path(os.devnull)).open("a", encoding="utf-8") as log:
            self._process = subprocess.Popen(
                self._command,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=log,
                text=True,
                encoding="utf-8",
            )
        self._lines, self._manner = queue.SimpleQueue(), {}
        reader = threading.Thread(
            target=_read, args=(self._process.stdout, self._lines), name="pyttsx3", daemon=True
        )
        reader.start()
        self._reply(_START)

    def _render(self, text: str, profile: VoiceProfile) -> Samples:
        manner: dict[str, object] = {
            # Another engine's name for a voice means nothing here: the system's own will do.
            "voice": profile.voice if profile.engine == self.name else "",
            "rate": profile.words_per_minute,
            "pitch": profile.pitch,
        }
        if self._manner and self._manner != manner:
            self.close()
        if self._process is None:
            self._start()
        if not self._manner:
            self._ask(manner, "take the voice")
            self._manner = manner
        with tempfile.TemporaryDirectory(prefix="coach-") as folder:
            path = Path(folder) / "sentence.wav"
            self._ask({"text": text, "path": str(path)}, "render a sentence")
            return trimmed(from_wav(path.read_bytes()))

    def _ask(self, request: dict[str, object], wanted: str) -> None:
        assert self._process is not None
        assert self._process.stdin is not None
        self._process.stdin.write(json.dumps(request) + "\n")
        self._process.stdin.flush()
        self._reply(wanted)

    def _reply(self, wanted: str) -> None:
        try:
            line = self._lines.get(timeout=self._patience)
        except queue.Empty:
            self.close()
            raise AudioError(
                f"pyttsx3 did not {wanted} within {self._patience:g} s and was ended.", INSTALL
            ) from None
        if not line:
            self.close()
            raise AudioError(f"pyttsx3's process died when it should {wanted}.", INSTALL)
        reply = json.loads(line)
        if "error" in reply:
            if wanted == _START:
                self.close()
            raise AudioError(f"pyttsx3 could not {wanted}: {reply['error']}", INSTALL)


def _read(pipe: IO[str] | None, lines: "queue.SimpleQueue[str]") -> None:
    """Pass each line on, and '' at the end of the stream."""
    assert pipe is not None
    with contextlib.suppress(ValueError, OSError):
        for line in pipe:
            lines.put(line)
    lines.put("")
