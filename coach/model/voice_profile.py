"""How the program speaks: a voice profile, and how long words take."""

from dataclasses import dataclass

#: Words a minute at which a cue is expected to be said where no synthesiser measures it.
USUAL_PACE = 160.0
#: Seconds of breath around a cue.
BREATH = 0.25


def seconds(text: str, words_per_minute: float = USUAL_PACE) -> float:
    """Seconds that saying a sentence takes, by its words (a number counts as one)."""
    return BREATH + 60.0 * len(text.split()) / words_per_minute


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
