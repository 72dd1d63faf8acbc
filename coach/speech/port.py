"""What a synthesiser is to the rest of the program."""

from dataclasses import dataclass
from typing import Protocol

from coach.audio.port import Samples


@dataclass(frozen=True, slots=True)
class VoiceProfile:
    """How the program speaks (a file of `voices/*.toml`)."""

    name: str
    language: str
    """Language pack, such as 'en'."""
    engine: str
    """'espeak-ng', 'pyttsx3', or another engine that is installed."""
    voice: str
    """The engine's own name for its voice."""
    words_per_minute: int
    pitch: int
    """0 to 100, 50 is the engine's usual."""
    loudness_lufs: float
    """Loudness of its cues, joined, by ITU-R BS.1770."""


class Synthesiser(Protocol):
    """Turns one sentence into samples at RATE."""

    def render(self, text: str, profile: VoiceProfile) -> Samples:
        """The sentence as sound; AudioError with what to install if it can't."""
