"""A voice profile: how the program speaks."""

from dataclasses import dataclass


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
