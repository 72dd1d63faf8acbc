"""Has somebody read the real answers out: `python -m tests.bench.hearing.reading FOLDER NAME`.

Shows one phrase of each answer after the other, in an order of the reader's own, and keeps what is
said as 16-bit WAV at 16 kHz: FOLDER/read/PHRASE/NAME.wav. What is there already is not asked again,
so that a reading can be broken off. With COACH_SPEECH_DIR=FOLDER the bench of goals tries them.
Give recordings away only with the reader's consent; a name that is no name will do.
"""

import argparse
import random
import wave
from pathlib import Path

import numpy as np

from coach.cli.taking import spoken_of
from coach.files.paths import paths
from tests.bench.hearing import material
from tests.bench.hearing.__main__ import phrases
from tests.bench.hearing.material import RATE, Floats


def left(folder: Path, name: str) -> list[str]:
    """The phrases that this reader has yet to say; of people of a group only a few."""
    wanted = [
        some[0]
        for key, some in phrases().items()
        if not key.startswith("person:") or int(key.partition(":")[2]) <= 3
    ]
    random.Random(name).shuffle(wanted)
    return [phrase for phrase in wanted if not material.read_by(folder, phrase, name).exists()]


def keep(path: Path, sound: Floats) -> None:
    """Write what was said, whole or not at all."""
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_suffix(".part")
    with wave.open(str(part), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes((np.clip(sound, -1, 1) * 32767).astype("<i2").tobytes())
    part.replace(path)


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("name")
    parser.add_argument("--from", dest="source", type=Path, help="WAV files instead, by phrase")
    told = parser.parse_args()
    wanted = left(told.folder, told.name)
    print(f"{len(wanted)} phrases; Ctrl+C breaks off, and the next time goes on from there.")
    for phrase, takes in zip(wanted, spoken_of(wanted, 1, 1, told.source, paths()), strict=True):
        keep(material.read_by(told.folder, phrase, told.name), takes[0].sound)


if __name__ == "__main__":
    main()
