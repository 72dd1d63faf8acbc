"""The system's own engine through pyttsx3, kept in a child process that may be ended at any time.

pyttsx3 prints to standard output, plays inside a callback and can hang on its second sentence;
here it only ever writes files, in a process of its own whose words come back as one line each.
A rate or voice set after the first sentence is often not heard, so each profile gets a new process.
"""

import sys
import tempfile
from importlib import metadata
from pathlib import Path

from coach.audio.sound_device import Samples
from coach.errors import AudioError
from coach.speech.child_lines import LineChild
from coach.speech.shape import from_wav, trimmed
from coach.speech.synthesiser_port import VoiceProfile

#: Seconds the engine may take to start, and seconds a sentence may take.
PATIENCE = 10.0

INSTALL = "Install an engine: apt install espeak-ng libespeak-ng1   (and: pip install pyttsx3)"

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
        self._child = LineChild("pyttsx3", child, INSTALL, log, silent=patience, longest=patience)
        self._manner: dict[str, object] = {}
        self._child.start()

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
        try:
            return self._render(text, profile)
        except (ValueError, OSError) as error:
            self.close()
            raise AudioError(f"pyttsx3 gave no usable sound: {error}", INSTALL) from error

    def rest(self) -> None:
        """Let go of the child's memory until the next sentence."""
        self.close()

    def close(self) -> None:
        """End the child; safe to call twice. The next sentence starts another."""
        self._child.close()
        self._manner = {}

    def _render(self, text: str, profile: VoiceProfile) -> Samples:
        manner: dict[str, object] = {
            # Another engine's name for a voice means nothing here: the system's own will do.
            "voice": profile.voice if profile.engine == self.name else "",
            "rate": profile.words_per_minute,
            "pitch": profile.pitch,
        }
        if self._manner != manner or not self._child.running:
            if self._manner:
                self.close()
            self._child.ask(manner, "take the voice")
            self._manner = manner
        with tempfile.TemporaryDirectory(prefix="coach-") as folder:
            path = Path(folder) / "sentence.wav"
            self._child.ask({"text": text, "path": str(path)}, "render a sentence")
            return trimmed(from_wav(path.read_bytes()))
