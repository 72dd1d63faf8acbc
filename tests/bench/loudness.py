"""How loud each cue and tone is: `python -m tests.bench.loudness`, of every profile by espeak-ng.

Loudness of a cue by ITU-R BS.1770 (those of 0.4 s and more; it is undefined below), of all joined,
and beside it the RMS level of tones, which are shorter, and of the cues' loud pieces.
"""

import argparse
import tempfile
from pathlib import Path

import numpy as np

from coach.audio.sound_device import RATE, Samples
from coach.audio.tones import tones
from coach.errors import AudioError
from coach.files.voices import list_voices, load_voice
from coach.speech.cache import Cache
from coach.speech.engines import engine
from coach.speech.loudness import integrated
from coach.speech.voice import Voice
from tests.audio.simulated_room import active_level

#: What every session says, short and long.
CUES = (
    *("Rest.", "Three easy boulders.", "Standing by.", "Sore: where?", "One more, or enough?"),
    "The microphone is gone. Keys still work.",
    "How do your shoulders feel?",
    "Both hands on the large hold, feet on the floor.",
    "Here we are again.",
    "Noted: fingers cleared by a clinician, from the next session on.",
    "Only moderate load on the fingers. One hard try left out.",
    "I can't hear you. A key begins it.",
)


def loudness(cues: list[Samples]) -> tuple[float, list[float]]:
    """Of all joined, and of each that is long enough."""
    each = [integrated(one) for one in cues if len(one) >= 0.4 * RATE]
    return integrated(np.concatenate(cues)), each


def rms(sound: Samples) -> float:
    """RMS level in dB re full scale."""
    return float(10 * np.log10(np.mean(sound.astype(np.float64) ** 2)))


def main() -> None:
    """Measure and print."""
    argparse.ArgumentParser(description=__doc__).parse_args()
    levels: dict[str, float] = {}
    print("profile       joined   single cues: least  most  spread   active level")
    with tempfile.TemporaryDirectory() as folder:
        for name in list_voices():
            profile = load_voice(name)
            try:
                voice = Voice(engine(profile.engine), profile, Cache(Path(folder)))
                cues = [voice.render(text) for text in CUES]
            except AudioError as error:
                print(f"{name:12}  {error.what}")
                continue
            joined, each = loudness(cues)
            levels[name] = profile.loudness_lufs
            active = float(np.mean([active_level(one) for one in cues]))
            print(
                f"{name:12} {joined:7.1f}  {min(each):17.1f} {max(each):6.1f} "
                f"{max(each) - min(each):6.1f} {active:10.1f} dB"
            )
            voice.close()
    for name, level in levels.items():
        for tone, sound in tones(level).items():
            loud = f"{rms(sound):6.1f} dB RMS, active {active_level(sound):6.1f} dB"
            print(f"{name:12} tone {tone.value:8} {loud}")


if __name__ == "__main__":
    main()
