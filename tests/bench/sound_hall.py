"""Hall noise made of nothing recorded: talkers who read invented chat, and bodies on mats.

Several engines and voices, a hall's reverberation, and thuds now and then. The same seed gives the
same noise. Used by tests and benchmarks; not shipped.
"""

import shutil
import subprocess
from functools import cache

import numpy as np

from coach.audio.sound_device import RATE, Samples
from coach.speech.shape import from_wav, trimmed
from tests.audio.simulated_room import active_level, convolve, room_response

CHAT = """
Did you see the new slab behind the pillar?
I nearly had it, my foot just popped.
Try the left hand a bit lower, there is a thumb catch.
Come on, you have got this!
Whose chalk bag is that on the bench?
Let me brush that one before you pull on.
We could get noodles after this.
My skin is gone already and it is only seven.
That one is soft, honestly.
The start is low, you have to squat right down.
Watch your head, somebody is above you.
I am only here until eight tonight.
They set that on Tuesday, it was brutal.
Do you want to swap shoes?
Keep your hips in, closer, closer.
No way, she flashed it.
Can you film this one for me?
I slept about four hours.
It goes if you match the sloper.
Is anybody on the corner problem?
Mind the kid running across.
Put the music up a bit.
I pulled something last week, so just easy ones.
You were so close, one more go.
Where did you park?
The heel hook is the trick, trust me.
Sit start or stand start?
It used to have a better foothold.
Nice, really nice!
I have to give a talk tomorrow and I have written nothing.
Breathe, there is no rush.
The dark one in the cave has no feet at all.
""".strip().split("\n")

_ESPEAK = [
    f"{accent}+{variant}"
    for accent in ("en-gb", "en-us", "en-gb-scotland", "en-029")
    for variant in ("m1", "m3", "m5", "m7", "f1", "f2", "f3", "f4")
]
_FLITE = ["awb", "kal16", "rms", "slt"]

#: Level of thuds over the talk, in dB, at their loudest tenth of a second; one every so many
#: seconds on average.
THUD_DB, THUD_EVERY = 12.0, 4.0

#: Reverberation time of the hall in seconds.
RT60 = 0.9


@cache
def hall(seconds: float = 30.0, *, talkers: int = 8, thuds: bool = True, seed: int = 0) -> Samples:
    """Noise of that many talkers, fit to be looped; RuntimeError without espeak-ng."""
    if shutil.which("espeak-ng") is None:
        raise RuntimeError("not installed: espeak-ng (apt install espeak-ng)")
    rng = np.random.default_rng(seed)
    n = round(seconds * RATE)
    talk = np.zeros(n, np.float32)
    for talker in range(talkers):
        talk += _talker(n, talker, rng) * np.float32(10 ** (rng.uniform(-4, 4) / 20))
    noise = talk / np.float32(np.sqrt(np.mean(talk**2)))
    if thuds:
        noise = noise + _thuds(n, rng)
    wet = convolve(noise, room_response(RT60, rng, direct_db=-3.0))
    folded = wet[:n].copy()
    folded[: len(wet) - n] += wet[n:]
    level = float(np.sqrt(np.mean(folded**2)))
    return folded * np.float32(0.1 / level)


def _talker(n: int, talker: int, rng: np.random.Generator) -> Samples:
    """One voice that reads lines in some order, with pauses, for n samples."""
    flite = shutil.which("flite") is not None and talker % 4 == 3
    voice = str(rng.choice(_FLITE if flite else _ESPEAK))
    speed = int(rng.integers(140, 210))
    pieces: list[Samples] = []
    length = 0
    while length < n:
        line = str(rng.choice(CHAT))
        pause = np.zeros(round(rng.uniform(0.1, 1.2) * RATE), np.float32)
        said = _flite(line, voice) if flite else _espeak(line, voice, speed)
        pieces += [said * np.float32(10 ** (-active_level(said) / 20)), pause]
        length += len(said) + len(pause)
    row = np.concatenate(pieces)
    return np.roll(row, int(rng.integers(len(row))))[:n]


@cache
def _espeak(line: str, voice: str, speed: int) -> Samples:
    command = ["espeak-ng", "-v", voice, "-s", str(speed), "--stdout", line]
    return trimmed(from_wav(subprocess.run(command, capture_output=True, check=True).stdout))


@cache
def _flite(line: str, voice: str) -> Samples:
    command = ["flite", "-voice", voice, "-t", line, "-o", "/dev/stdout"]
    return trimmed(from_wav(subprocess.run(command, capture_output=True, check=True).stdout))


def _thuds(n: int, rng: np.random.Generator) -> Samples:
    """Bodies that land on mats: a low, dull blow with a slap of noise on it."""
    out = np.zeros(n, np.float32)
    t = np.arange(round(0.4 * RATE)) / RATE
    for start in rng.integers(0, n, max(1, round(n / RATE / THUD_EVERY))):
        body = np.sin(2 * np.pi * rng.uniform(45, 90) * t) * np.exp(-t / 0.08)
        slap = np.cumsum(rng.standard_normal(len(t))) * np.exp(-t / 0.03)
        blow = body + 0.6 * slap / np.abs(slap).max()
        blow *= 10 ** ((THUD_DB + rng.uniform(-6, 0)) / 20) / np.sqrt(np.mean(blow[:4800] ** 2))
        where = np.arange(start, start + len(t)) % n
        out[where] += blow.astype(np.float32)
    return out
