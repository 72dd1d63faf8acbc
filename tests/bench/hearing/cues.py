"""How well our cues are understood: `python -m tests.bench.hearing.cues [PROFILE ...]`.

A recogniser is the ear: the same weights that hear answers, here writing freely what they hear in
30 s, by faster-whisper. Word errors (substituted, left out and added words over words said; NIST's
definition) of sentences of the pack by each voice profile in quiet and in the hall of the bench,
whose level is set against the cue's own active level: a louder profile gains nothing here.
The weights know English only, so that German can't be measured so.
"""

import argparse
import importlib
import re
import tempfile
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import soxr

from coach.audio.sound_device import RATE as CUE_RATE
from coach.files.voices import load_voice
from coach.hearing.weights import whisper_folder
from coach.speech import spelling
from coach.speech.cache import Cache
from coach.speech.engines import engine
from coach.speech.voice import Voice
from tests.bench.hearing import material
from tests.bench.hearing.__main__ import WORDS
from tests.bench.hearing.material import RATE, Floats

PLACES = (("quiet", None), ("10 dB", 10.0), ("5 dB", 5.0), ("0 dB", 0.0))

NUMBERS = "zero one two three four five six seven eight nine ten eleven twelve".split()


def sentences(count: int) -> list[str]:
    """Spread over the pack; of those with a value, "two" stands for it."""
    with WORDS.open("rb") as file:
        said = tomllib.load(file)["say"]
    shown = ("screen-", "word-", "ear-", "block-", "dose-", "key-")
    plain = [
        re.sub(r"\{[^}]*\?[^}]*\|([^}|]*)\}", r"\1", text).replace("#", "two")
        for key, text in said.items()
        if not key.startswith(shown)
    ]
    plain = [re.sub(r"\{[^}]*\}", "two", text) for text in plain]
    usable = sorted(text for text in plain if 3 <= len(words(text)) <= 14)
    return usable[:: max(1, len(usable) // count)][:count]


def words(text: str) -> list[str]:
    """Small letters, numbers as words, no marks."""
    found = re.findall(r"[a-z']+|\d+", text.lower().replace("-", " "))
    return [NUMBERS[int(w)] if w.isdigit() and int(w) < len(NUMBERS) else w for w in found]


def errors(said: Sequence[str], heard: Sequence[str]) -> int:
    """Levenshtein's distance in words."""
    row = list(range(len(heard) + 1))
    for i, one in enumerate(said, 1):
        before, row = row, [i]
        for j, other in enumerate(heard, 1):
            row.append(min(before[j] + 1, row[-1] + 1, before[j - 1] + (one != other)))
    return row[-1]


def written(model: Any, sound: Floats) -> list[str]:
    """What the recogniser writes."""
    segments, _ = model.transcribe(
        sound, language="en", beam_size=1, temperature=0.0, condition_on_previous_text=False
    )
    return words(" ".join(segment.text for segment in segments))


def in_the_hall(sound: Floats, snr_db: float | None, number: int) -> Floats:
    """With half a second of the hall around it."""
    level = material.levelled(sound)
    total = np.pad(level, RATE // 2)
    if snr_db is None:
        return total
    noise = material.hall(len(total) / RATE + 0.1, 40 + number)[: len(total)]
    return total + noise * np.float32(10 ** ((material.SPEECH_DB - snr_db) / 20))


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("profiles", nargs="*", default=["steady", "hall", "brisk", "low", "plain"])
    parser.add_argument("--count", type=int, default=60)
    options = parser.parse_args()
    whisper: Any = importlib.import_module("faster_whisper")
    model = whisper.WhisperModel(
        str(whisper_folder()), device="cpu", compute_type="int8", cpu_threads=1
    )
    texts = sentences(options.count)
    n = sum(len(words(text)) for text in texts)
    print(f"{len(texts)} sentences, {n} words; word errors in " + ", ".join(p for p, _ in PLACES))
    for name in options.profiles:
        profile = load_voice(name)
        with tempfile.TemporaryDirectory() as folder:
            spoken = spelling.of(profile.language).spoken
            voice = Voice(engine(profile.engine), profile, Cache(Path(folder)), spoken=spoken)
            sounds = [
                np.asarray(soxr.resample(voice.render(text), CUE_RATE, RATE), np.float32)
                for text in texts
            ]
            voice.close()
        cells = []
        for _, snr_db in PLACES:
            wrong = sum(
                errors(words(text), written(model, in_the_hall(sound, snr_db, number)))
                for number, (text, sound) in enumerate(zip(texts, sounds, strict=True))
            )
            cells.append(f"{wrong / n:.3f}")
            print(f"{name}: {' '.join(cells)}", flush=True)


if __name__ == "__main__":
    main()
