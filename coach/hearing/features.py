"""Log-mel features as Whisper models expect them.

Written here so that hearing needs numpy alone; the tests check every value against
faster-whisper's extractor. Definition: Radford et al., 'Robust Speech Recognition via
Large-Scale Weak Supervision' (2022), with the Slaney mel scale.
"""

from functools import cache

import numpy as np
import numpy.typing as npt

from coach.hearing.recogniser_port import HEARING_RATE

Floats = npt.NDArray[np.float32]

#: Samples from one frame to the next, and of one frame.
HOP = 160
WINDOW = 400
MELS = 80

#: Seconds and mel frames of the one window that a recogniser looks at: answers are short,
#: and a tenth of the usual thirty seconds costs a tenth of the time.
SPAN = 3.0
FRAMES = round(SPAN * HEARING_RATE / HOP)


def log_mel(sound: Floats) -> Floats:
    """Features (80, 300) of at most 3 s of mono sound at 16 kHz; shorter sound is padded.

    Of longer sound the last 3 s count: an answer stands at the end of what was said.
    """
    length = FRAMES * HOP
    padded = np.zeros(length + WINDOW, dtype=np.float32)
    used = sound[-length:]
    half = WINDOW // 2
    padded[half : half + used.size] = used
    padded[:half] = padded[half + 1 : 2 * half + 1][::-1]
    frames = np.lib.stride_tricks.sliding_window_view(padded, WINDOW)[: FRAMES * HOP : HOP]
    power = np.abs(np.fft.rfft(frames * _hann(), axis=1).astype(np.complex64)) ** 2
    mel = np.log10(np.maximum(_filters() @ power.T, 1e-10))
    mel = np.maximum(mel, mel.max() - 8.0)
    return np.asarray((mel + 4.0) / 4.0, np.float32)


@cache
def _hann() -> Floats:
    return np.asarray(np.hanning(WINDOW + 1)[:-1], np.float32)


@cache
def _filters() -> Floats:
    """Triangles on the Slaney mel scale: linear to 1 kHz, logarithmic above, equal area."""
    mels = np.linspace(0.0, _to_mel(HEARING_RATE / 2), MELS + 2)
    edges = np.where(mels < 15.0, mels * 200.0 / 3.0, 1000.0 * np.exp((mels - 15.0) * _STEP))
    bins = np.fft.rfftfreq(WINDOW, 1.0 / HEARING_RATE)
    widths = np.diff(edges)
    ramps = edges[:, None] - bins[None, :]
    rise = -ramps[:-2] / widths[:-1, None]
    fall = ramps[2:] / widths[1:, None]
    triangles = np.maximum(0.0, np.minimum(rise, fall))
    triangles *= (2.0 / (edges[2:] - edges[:-2]))[:, None]
    return np.asarray(triangles, np.float32)


_STEP = np.log(6.4) / 27.0


def _to_mel(hertz: float) -> float:
    return 15.0 + float(np.log(hertz / 1000.0)) / float(_STEP)
