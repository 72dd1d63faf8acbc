"""Voice profiles for tests."""

from coach.speech.synthesiser_port import VoiceProfile

CALM = VoiceProfile(
    name="plain",
    language="en",
    engine="espeak-ng",
    voice="en-gb+f2",
    words_per_minute=150,
    pitch=42,
    loudness_lufs=-20.0,
)
BRISK = VoiceProfile(
    name="brisk",
    language="en",
    engine="espeak-ng",
    voice="en-us+m3",
    words_per_minute=175,
    pitch=55,
    loudness_lufs=-16.0,
)
SYSTEM = VoiceProfile(
    name="system",
    language="en",
    engine="pyttsx3",
    voice="",
    words_per_minute=160,
    pitch=50,
    loudness_lufs=-20.0,
)
NEURAL = VoiceProfile(
    name="steady",
    language="en",
    engine="hibari",
    voice="heart",
    words_per_minute=165,
    pitch=50,
    loudness_lufs=-20.0,
)
