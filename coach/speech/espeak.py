"""espeak-ng as its own process, one sentence at a time, written to a pipe and never played."""

import shutil
import subprocess

from coach.audio.sound_device import Samples
from coach.errors import AudioError
from coach.speech.shape import from_wav, trimmed
from coach.speech.synthesiser_port import VoiceProfile

#: Seconds a sentence may take; one takes a twentieth of a second on a small machine.
PATIENCE = 10.0

INSTALL = 'Install it with: apt install espeak-ng   (or set engine = "pyttsx3" in the voice file)'


class EspeakNg:
    """The Synthesiser of the espeak-ng program; AudioError at once if it isn't installed."""

    name = "espeak-ng"

    def __init__(self, program: str = "espeak-ng", patience: float = PATIENCE) -> None:
        found = shutil.which(program)
        if found is None:
            raise AudioError(f"The speech engine {program} is not installed.", INSTALL)
        self._program = found
        self._patience = patience
        self._version = ""

    @property
    def version(self) -> str:
        """What the program says its version is; part of the cache's key."""
        if not self._version:
            words = self._run(["--version"]).decode(errors="replace").split("Data at")
            self._version = words[0].strip()
        return self._version

    def render(self, text: str, profile: VoiceProfile) -> Samples:
        """The sentence; a process that hangs or dies is tried once more, then AudioError."""
        # Another engine's name for a voice means nothing here: the language will do.
        voice = profile.voice if profile.engine == self.name else ""
        options = [
            *("-v", voice or profile.language),
            *("-s", str(profile.words_per_minute)),
            *("-p", str(profile.pitch)),
            *("-b", "1", "--stdout", "--"),
        ]
        try:
            try:
                return trimmed(from_wav(self._run([*options, text])))
            except (AudioError, ValueError):
                return trimmed(from_wav(self._run([*options, text])))
        except ValueError as error:
            raise AudioError(
                f"espeak-ng gave no usable sound for {text!r}: {error}",
                "Try it by hand: espeak-ng --stdout 'one two' > test.wav",
            ) from error

    def rest(self) -> None:
        """Nothing stays in memory between sentences."""

    def close(self) -> None:
        """Nothing stays open between sentences."""

    def _run(self, arguments: list[str]) -> bytes:
        try:
            done = subprocess.run(
                [self._program, *arguments],
                capture_output=True,
                stdin=subprocess.DEVNULL,
                timeout=self._patience,
                check=False,
            )
        except subprocess.TimeoutExpired as error:
            raise AudioError(
                f"espeak-ng did not answer within {self._patience:g} s and was ended.",
                "Try it by hand: espeak-ng --stdout 'one two' > test.wav",
            ) from error
        except OSError as error:
            raise AudioError(f"espeak-ng can't be run: {error}", INSTALL) from error
        if done.returncode != 0:
            said = done.stderr.decode(errors="replace").strip()
            raise AudioError(
                f"espeak-ng failed with exit code {done.returncode}: {said}",
                "If it names a voice, choose one that `espeak-ng --voices` lists.",
            )
        return done.stdout
