"""The PulseAudio server, for every test of this folder that asks for it."""

from tests.audio.pulse import pulse

__all__ = ["pulse"]
