"""A voice profile: how the program speaks."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class VoiceProfile:
    """How the program speaks (a file of `voices/*.toml`)."""

    name: str
    language: str
    """Language pack, such as 'en'."""
    engine: str
    """'hibari', 'espeak-ng' or 'pyttsx3'."""
    voice: str
    """The engine's own name for its voice."""
    words_per_minute: int
    pitch: int
    """0 to 100, 50 is the engine's usual."""
    loudness_lufs: float
    """Loudness of its cues, joined, by ITU-R BS.1770."""
    emphasis_db: float = 0.0
    """Decibels by which 1.5 to 5 kHz stand out, for a loud hall."""
