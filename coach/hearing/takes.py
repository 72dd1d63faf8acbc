"""Takes of phrases on disk, and how one is made from what was said.

One file for each phrase. It holds what the encoder made of the takes, in a form that only
comparing needs: no sound. It is as personal as a voice is, so that it is only written where the
climber asked to teach, and `coach words forget` removes it.
"""

import hashlib
import io
import os
import tempfile
import zipfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from coach.errors import AudioError
from coach.hearing.recogniser_port import HEARING_RATE, Spoken
from coach.hearing.taught import SAMPLES, Kept, Take, kept, steps
from coach.hearing.weights import SHA256

Floats = npt.NDArray[np.float32]
Encode = Callable[[Floats], Floats]
"""At most 3 s at 16 kHz -> encoder frames (150, 384)."""

#: Versions of each take with noise of its own colour, in dB below the voice.
NOISES = (15.0, 7.0)
#: Takes of a phrase at most: of those that were taught, and of those that were gathered since.
MOST, MOST_GATHERED = 9, 2
#: How the name of a file ends that holds what was gathered.
GATHERED = "-gathered"
#: Sound that a take keeps before its onset and after its end, in samples.
MARGIN = 3 * SAMPLES // 2


def centre_of(encode: Encode) -> Floats:
    """What the encoder gives for no word in particular: (384,), the same for the same weights."""
    rng = np.random.default_rng(1)
    walk = np.cumsum(rng.normal(size=3 * HEARING_RATE))
    walk -= np.convolve(walk, np.ones(400) / 400, "same")
    sound = (0.05 * walk / walk.std()).astype(np.float32)
    return np.asarray(encode(sound).mean(axis=0), np.float32)


def take_of(encode: Encode, centre: Floats, spoken: Spoken) -> Take:
    """A take of what was said."""
    first = max(0, spoken.onset - MARGIN) // SAMPLES
    last = min(len(spoken.sound), spoken.end + MARGIN) // SAMPLES

    def made(sound: Floats) -> Kept:
        return kept(steps(encode(sound), len(sound), centre)[first : max(last, first + 3)])

    rng = np.random.default_rng(2)
    return Take(made(spoken.sound), tuple(made(noisy(spoken, quieter, rng)) for quieter in NOISES))


def noisy(spoken: Spoken, quieter: float, rng: np.random.Generator) -> Floats:
    """With noise of the voice's own spectrum, so many dB quieter than it."""
    speech = spoken.sound[spoken.onset : spoken.end].astype(np.float64)
    size = 1 << 15
    spectrum = np.convolve(np.abs(np.fft.rfft(speech, size)), np.ones(41) / 41, "same")
    phases = np.exp(2j * np.pi * rng.random(len(spectrum)))
    noise = np.resize(np.fft.irfft(spectrum * phases), len(spoken.sound))
    power = np.mean(speech**2) / max(float(np.mean(noise**2)), 1e-12)
    return np.asarray(spoken.sound + noise * np.sqrt(power) * 10 ** (-quieter / 20), np.float32)


def path_of(folder: Path, phrase: str, *, gathered: bool = False) -> Path:
    """The file of what was taught of a phrase, or of what was gathered of it since."""
    name = hashlib.sha256(phrase.encode()).hexdigest()[:16]
    return folder / f"{name}{GATHERED if gathered else ''}.npz"


def add(folder: Path, phrase: str, take: Take, *, gathered: bool = False) -> None:
    """Put a take beside those there are, the newest of them kept; AudioError as `save`.

    One that is gathered only where the phrase was taught: nobody is learnt who did not agree.
    """
    path = path_of(folder, phrase, gathered=gathered)
    if gathered and not path_of(folder, phrase).exists():
        return
    earlier = load(path)[1] if path.exists() else []
    most = MOST_GATHERED if gathered else MOST
    save(folder, phrase, [*earlier, take][-most:], gathered=gathered)


def save(folder: Path, phrase: str, takes: Sequence[Take], *, gathered: bool = False) -> Path:
    """Write the takes of a phrase, whole or not at all, instead of those before; the file.

    AudioError where it can't be written.
    """
    path = path_of(folder, phrase, gathered=gathered)
    arrays: dict[str, Any] = {f"{n}-quiet": take.quiet for n, take in enumerate(takes)}
    arrays |= {
        f"{n}-noisy-{m}": one for n, take in enumerate(takes) for m, one in enumerate(take.noisy)
    }
    data = io.BytesIO()
    np.savez_compressed(data, phrase=np.array(phrase), weights=np.array(SHA256), **arrays)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=folder, suffix=".part")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data.getvalue())
            Path(name).replace(path)
        finally:
            Path(name).unlink(missing_ok=True)
    except OSError as error:
        why = error.strerror or str(error)
        raise AudioError(f"{path} can't be written: {why}", "Free some space.") from error
    return path


def load(path: Path) -> tuple[str, list[Take]]:
    """A phrase and its takes; AudioError where the file is damaged or of other weights."""
    again = "Teach that phrase again, or remove the file."
    try:
        with np.load(io.BytesIO(path.read_bytes()), allow_pickle=False) as arrays:
            phrase, weights = str(arrays["phrase"]), str(arrays["weights"])
            names = arrays.files
            takes = [
                Take(
                    arrays[name],
                    tuple(arrays[one] for one in names if one.startswith(f"{name[:-6]}-noisy-")),
                )
                for name in names
                if name.endswith("-quiet")
            ]
    except (OSError, KeyError, ValueError, EOFError, zipfile.BadZipFile) as error:
        raise AudioError(f"{path}: these takes can't be read ({error})", again) from error
    if weights != SHA256:
        raise AudioError(f"{path}: {phrase!r} was taught to other weights", again)
    return phrase, takes


def load_all(folder: Path) -> tuple[dict[str, list[Take]], list[AudioError]]:
    """Every phrase that was taught, and what is wrong with the files that can't be used."""
    found: dict[str, list[Take]] = {}
    wrong: list[AudioError] = []
    for path in sorted(folder.glob("*.npz")):
        try:
            phrase, takes = load(path)
        except AudioError as error:
            wrong.append(error)
        else:
            found.setdefault(phrase, []).extend(takes)
    return found, wrong
