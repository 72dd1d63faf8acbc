"""Loudness by ITU-R BS.1770-5 for one channel, so that every voice profile sounds as loud.

K-weighting is applied by FFT, which is exact for a signal of known length and needs no filter
library; gating as in the Recommendation (400 ms blocks every 100 ms, -70 LUFS, then -10 LU).
"""

import numpy as np
import numpy.typing as npt

from coach.audio.sound_device import RATE, Samples

Exact = npt.NDArray[np.float64]

#: The two filters at 48 kHz, (b, a), from tables 1 and 2 of ITU-R BS.1770-5.
SHELF = (
    (1.53512485958697, -2.69169618940638, 1.19839281085285),
    (1.0, -1.69065929318241, 0.73248077421585),
)
HIGH_PASS = ((1.0, -2.0, 1.0), (1.0, -1.99004745483398, 0.99007225036621))

#: Blocks below this never count, in LUFS.
ABSOLUTE_GATE = -70.0

#: Blocks this far below the mean of the rest don't count, in LU.
RELATIVE_GATE = -10.0


def integrated(samples: Samples) -> float:
    """Gated loudness in LUFS of one channel at RATE; -inf where nothing passes the gate.

    ValueError under 400 ms, where the Recommendation defines none.
    """
    block, hop = RATE * 4 // 10, RATE // 10
    if len(samples) < block:
        raise ValueError(f"loudness needs at least 0.4 s of sound, not {len(samples) / RATE:.3f} s")
    weighted = _weight(samples)
    sums = np.concatenate([[0.0], np.cumsum(weighted**2)])
    starts = np.arange(0, len(samples) - block + 1, hop)
    power = (sums[starts + block] - sums[starts]) / block
    power = power[_lufs(power) > ABSOLUTE_GATE]
    if not len(power):
        return -float("inf")
    gate = _lufs(np.array([power.mean()]))[0] + RELATIVE_GATE
    return float(_lufs(np.array([power[_lufs(power) > gate].mean()]))[0])


def _lufs(power: Exact) -> Exact:
    return np.asarray(-0.691 + 10 * np.log10(np.maximum(power, 1e-20)))


def _weight(samples: Samples) -> Exact:
    # A second of room behind the signal lets the filters' own tail die before it wraps round.
    size = 1 << (len(samples) + RATE - 1).bit_length()
    z = np.exp(-2j * np.pi * np.arange(size // 2 + 1) / size)
    spectrum = np.fft.rfft(samples.astype(np.float64), size)
    for b, a in (SHELF, HIGH_PASS):
        spectrum *= (b[0] + b[1] * z + b[2] * z**2) / (a[0] + a[1] * z + a[2] * z**2)
    return np.asarray(np.fft.irfft(spectrum, size)[: len(samples)])
