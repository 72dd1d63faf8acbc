"""How a climber's own takes of a phrase are used: the sound is compared with each of them.

A take is kept as what the encoder made of it, never as sound: no language and no training is
needed, so that any phrase of any language can be taught. What is heard is laid along each take
by dynamic time warping (Sakoe and Chiba, 1978), free at both ends, since speech may begin and
end anywhere in the window.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import cycle, islice

import numpy as np
import numpy.typing as npt

from coach.hearing.recogniser_port import HEARING_RATE, Scored

Floats = npt.NDArray[np.float32]
Kept = npt.NDArray[np.int8]

#: Encoder frames of 20 ms that make one step of a take.
STEP = 2
#: Samples of one step.
SAMPLES = STEP * HEARING_RATE // 50

#: Channels of the encoder.
WIDTH = 384
#: Distance of what can't be compared.
FAR = 9.0

#: What it costs to stay on one step of what is heard, or to leave one out.
UNEVEN = 0.1

#: Distance -> score on the scale of the bands: 0 where what is heard is as near as `NEAR`, and so
#: much less for each 0.1 farther.
NEAR, SLOPE = 0.215, 45.0

#: Steps of other speech beside the phrase that are free, what each further one costs in distance,
#: and how far under the phrase's own level, in dB, sound counts as other speech.
BESIDE, EACH, UNDER_DB = 5, 0.018, 9.0

#: Of the phrases, so many are compared with their noisy versions as well.
LIKELIEST = 4

#: What is known of a phrase by the recogniser itself counts for no less than `FLOOR` beside its
#: takes, and the sum is `LIFT` above the scale of the bands; takes alone are brought to it so.
FLOOR, LIFT = -8.0, 7.0
STEEP, ABOVE = 2.5, 8.0
#: So much more is asked of takes alone where speech stands out by the second of these or more, in
#: dB, and nothing up to the first.
STRICT, OVER = 3.0, (12.0, 24.0)
#: What the listener adds to the score of a phrase after the word that calls the coach, for the
#: scorer's sake, is taken off here.
CALLED = 4.0 / STEEP


@dataclass(frozen=True, slots=True)
class Take:
    """One take of a phrase: directions of its steps, as quiet as it was and with noise added."""

    quiet: Kept
    """(steps, 384); only the direction of each counts."""
    noisy: tuple[Kept, ...] = ()


def steps(frames: Floats, samples: int, centre: Floats) -> Floats:
    """Encoder frames (150, 384) of so many samples -> unit vectors (steps, 384)."""
    used = max(1, min(len(frames) // STEP, samples // SAMPLES))
    x = frames[: used * STEP].reshape(used, STEP, -1).mean(axis=1) - centre
    return np.asarray(x / (np.linalg.norm(x, axis=1, keepdims=True) + 1e-6), np.float32)


def kept(x: Floats) -> Kept:
    """Steps as they are stored."""
    return np.asarray(np.round(x / np.abs(x).max(axis=1, keepdims=True) * 127), np.int8)


class Taught:
    """The takes of every phrase that was taught, ready to be compared with."""

    def __init__(self, takes: Mapping[str, Sequence[Take]], centre: Floats) -> None:
        """`centre` (384,) is taken from what is heard, as it was from the takes."""
        self._centre = centre
        self._takes = {phrase: some for phrase, some in takes.items() if some}
        self._bank = cache(self._make)

    @property
    def phrases(self) -> tuple[str, ...]:
        """What was taught."""
        return tuple(self._takes)

    def scores(
        self,
        frames: Floats,
        sound: Floats,
        phrases: Sequence[str],
        trained: Sequence[str] = (),
    ) -> dict[str, float]:
        """Of each of these phrases that was taught, how near what is heard comes to its takes.

        A phrase after the word that calls the coach is known where both were taught. Where it is
        quiet more is asked of those that are not `trained`, for which nothing else speaks.
        """
        known = [
            phrase for phrase in phrases if all(part in self._takes for part in _parts(phrase))
        ]
        if not known:
            return {}
        heard = steps(frames, len(sound), self._centre)
        levels = _levels(sound, len(heard))
        near = {phrase: self._bank(phrase).nearest(heard, levels) for phrase in known}
        for phrase in sorted(near, key=lambda one: near[one])[:LIKELIEST]:
            near[phrase] = min(near[phrase], self._bank(phrase, True).nearest(heard, levels))
        strict = _strict(levels)
        return {
            phrase: SLOPE * (NEAR - distance)
            - (CALLED if len(_parts(phrase)) > 1 else 0.0)
            - (0.0 if phrase in trained else strict)
            for phrase, distance in near.items()
        }

    def _make(self, phrase: str, noisy: bool = False) -> "_Bank":
        """Takes of a phrase; where it has two parts, each of the one with one of the other."""
        some = [
            [one for take in self._takes[part] for one in (take.noisy if noisy else (take.quiet,))]
            for part in _parts(phrase)
        ]
        pairs = zip(*(islice(cycle(part), max(map(len, some))) for part in some), strict=True)
        return _Bank([np.concatenate(pair) for pair in pairs])

    def joined(
        self, scored: Sequence[Scored], taught: Mapping[str, float], known: Sequence[str]
    ) -> tuple[Scored, ...]:
        """The recogniser's scores with those of `scores`, best first.

        `known` are phrases that the recogniser was itself trained on.
        """
        own = {one.phrase: one.score for one in scored}
        for phrase, score in taught.items():
            own[phrase] = joined(own.get(phrase, -math.inf), score, phrase in known)
        return tuple(
            Scored(phrase, score) for phrase, score in sorted(own.items(), key=lambda one: -one[1])
        )


def joined(own: float, taught: float, known: bool) -> float:
    """The recogniser's own score of a phrase and that of the takes, as one.

    A phrase that it was not trained on may be in a language that it can't know: there the takes
    alone may be enough.
    """
    if known:
        return max(own, FLOOR) + taught + LIFT
    return max(own, STEEP * taught + ABOVE)


def _parts(phrase: str) -> list[str]:
    """The word that calls the coach, if it is there, and the phrase."""
    return phrase.split(", ", 1)


class _Bank:
    """Takes of one phrase, side by side."""

    def __init__(self, takes: Sequence[Kept]) -> None:
        self._lengths = [len(take) for take in takes]
        size = (len(takes), max(self._lengths, default=1), WIDTH)
        self._steps = np.zeros(size, np.float32)
        for row, take in zip(self._steps, takes, strict=True):
            x = take.astype(np.float32)
            row[: len(take)] = x / (np.linalg.norm(x, axis=1, keepdims=True) + 1e-6)

    def nearest(self, heard: Floats, levels: Floats) -> float:
        """Mean distance of a step to the nearest take, and what other speech beside it costs."""
        costs = 1.0 - self._steps @ heard.T
        best, begin, end = min(
            (_path(cost[:length]) for cost, length in zip(costs, self._lengths, strict=True)),
            default=(FAR, 0, 0),
        )
        return best + _beside(levels, begin, end)


def _path(costs: Floats) -> tuple[float, int, int]:
    """The cheapest way through (steps of the take, steps heard): mean cost, first and last step."""
    across = costs.shape[1]
    total, begin = costs[0].copy(), np.arange(across)
    far = np.full(2, FAR, np.float32)
    none = np.zeros(2, begin.dtype)
    for row in costs[1:]:
        before, began = np.concatenate([far, total]), np.concatenate([none, begin])
        ways = np.stack([before[2:] + UNEVEN, before[1:-1], before[:-2] + UNEVEN])
        way = ways.argmin(axis=0)
        at = np.arange(across)
        total = row + ways[way, at]
        begin = began[at + 2 - way]
    end = int(total.argmin())
    return float(total[end]) / len(costs), int(begin[end]), end


def _levels(sound: Floats, n: int) -> Floats:
    """Level in dB of each step."""
    whole = np.zeros(n * SAMPLES, np.float32)
    used = sound[-n * SAMPLES :] if len(sound) > n * SAMPLES else sound
    whole[: len(used)] = used
    power = np.mean(whole.reshape(n, SAMPLES).astype(np.float64) ** 2, axis=1)
    return np.asarray(10 * np.log10(np.maximum(power, 1e-9)), np.float32)


def _strict(levels: Floats) -> float:
    """What is asked more the farther speech stands out: there, takes are met closely."""
    over = float(np.quantile(levels, 0.9) - np.quantile(levels, 0.1))
    return STRICT * min(max((over - OVER[0]) / (OVER[1] - OVER[0]), 0.0), 1.0)


def _beside(levels: Floats, begin: int, end: int) -> float:
    """What sound beside the phrase costs that is nearly as loud as the phrase itself."""
    inside = levels[begin : end + 1]
    loud = float(np.max(inside)) - UNDER_DB
    beside = int(np.sum(levels[:begin] > loud) + np.sum(levels[end + 1 :] > loud))
    return EACH * max(0, beside - BESIDE)
