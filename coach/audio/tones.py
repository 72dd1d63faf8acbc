"""The program's eight short sounds, made from arithmetic so that nothing has to be shipped.

Soft onsets and few partials keep them apart from a ringing phone; each has its own contour, so
that they are told apart without knowing the pitch: up, steady, down, a low tap, a dry one, a
wavering one, a sweep.
"""

import numpy as np

from coach.audio.sound_device import RATE, Samples
from coach.session.effects import Tone

#: RMS level of every tone in dB below full scale where no voice says another. Loudness by ITU-R
#: BS.1770 is undefined under 400 ms, so tones are set by RMS: to the number that a voice has as its
#: loudness in LUFS, which sounds as loud.
TONE_DB = -24.0

#: Notes as (hertz, seconds), played one after the other.
NOTES: dict[Tone, tuple[tuple[float, float], ...]] = {
    Tone.OPEN: ((415.3, 0.09), (622.3, 0.13)),
    Tone.START: ((830.6, 0.16),),
    Tone.END: ((740.0, 0.10), (554.4, 0.10), (370.0, 0.16)),
    Tone.HEARD: ((311.1, 0.09),),
    Tone.NOT_NOW: ((196.0, 0.06),),
    Tone.UNCLEAR: ((466.2, 0.06), (349.2, 0.06), (466.2, 0.08)),
}

#: The sweep of SYNC: hertz at its start and end, seconds. A linear sweep correlates with itself
#: in one narrow peak, so it marks a sample in a recording.
SWEEP = (600.0, 5_000.0, 0.15)
#: The trill of WHISTLE: hertz, share by which it goes up and down, times a second, seconds. A pea
#: whistle is about there (common practice), where the ear hears best (ISO 226) and speech is weak.
TRILL = (2_700.0, 0.05, 26.0, 0.38)


def tones(level_db: float = TONE_DB) -> dict[Tone, Samples]:
    """Every tone as samples at RATE, at an RMS of level_db re full scale."""
    made = {tone: np.concatenate([_note(*note) for note in notes]) for tone, notes in NOTES.items()}
    made[Tone.SYNC] = _sweep(*SWEEP)
    made[Tone.WHISTLE] = _trill(*TRILL)
    return {tone: _at_level(sound, level_db) for tone, sound in made.items()}


def _note(hertz: float, seconds: float) -> Samples:
    t = np.arange(round(seconds * RATE)) / RATE
    sound = np.sin(2 * np.pi * hertz * t) + 0.25 * np.sin(2 * np.pi * 3 * hertz * t)
    return (sound * _swell(len(t), attack=0.012)).astype(np.float32)


def _sweep(low: float, high: float, seconds: float) -> Samples:
    t = np.arange(round(seconds * RATE)) / RATE
    phase = 2 * np.pi * (low * t + (high - low) * t**2 / (2 * seconds))
    return (np.sin(phase) * np.hanning(len(t))).astype(np.float32)


def _trill(hertz: float, share: float, times: float, seconds: float) -> Samples:
    t = np.arange(round(seconds * RATE)) / RATE
    phase = 2 * np.pi * hertz * t - hertz * share / times * np.cos(2 * np.pi * times * t)
    rise = np.minimum(1.0, np.minimum(t, seconds - t) / 0.03)
    swell = np.sin(np.pi / 2 * rise) ** 2
    return np.asarray(np.sin(phase) * swell, dtype=np.float32)


def _swell(n: int, attack: float) -> Samples:
    """A rise of `attack` seconds by a half cosine, then a fall to nothing at the end."""
    rise = round(attack * RATE)
    up = 0.5 - 0.5 * np.cos(np.pi * np.arange(rise) / rise)
    down = (0.5 + 0.5 * np.cos(np.pi * np.arange(n - rise) / (n - rise))) ** 1.5
    return np.concatenate([up, down]).astype(np.float32)


def _at_level(sound: Samples, level_db: float) -> Samples:
    rms = float(np.sqrt(np.mean(sound.astype(np.float64) ** 2)))
    return (sound * (10 ** (level_db / 20) / rms)).astype(np.float32)
