"""What a synthesiser is to the rest of the program."""

from typing import Protocol

from coach.audio.sound_device import Samples
from coach.model.voice_profile import VoiceProfile

__all__ = ["Synthesiser", "VoiceProfile"]


class Synthesiser(Protocol):
    """Turns one sentence into samples at RATE."""

    def render(self, text: str, profile: VoiceProfile) -> Samples:
        """The sentence as sound; AudioError with what to install if it can't."""
