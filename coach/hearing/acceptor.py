"""Tells which phrases were said: a small network on the encoder's frames.

It was trained on phrases, on their near misses and on talk, and says of each phrase that it knows
whether that is what was said. The scorer only says which phrase fits best, also where somebody
said none of them: it is asked of phrases that the network does not know, of our own words, and
whether the coach was called. What it says is brought to the scale of the logits, so that one table
of bands serves both.

The weights are made by `tests/bench/training`; `docs/hearing.md` tells what each part adds.
"""

import hashlib
import io
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import numpy.typing as npt

from coach.errors import AudioError
from coach.hearing.port import Scored

Floats = npt.NDArray[np.float32]

WEIGHTS = Path(__file__).with_name("acceptor.npz")
SHA256 = "c07060bdd35fdb3627ed1d1ef50e4ff2193d28562a677ab1d02e2b712841a09e"

#: Frames that make one step, blocks of the network, and steps that a block looks at.
STEP = 3
BLOCKS = 3
REACH = 5

#: A phrase under this logit was not said.
HOPELESS = -6.0

#: After the word that calls the coach, so many phrases are worth the scorer's exact score.
LIKELIEST = 3

#: What the scorer's log-probability is on the scale of the logits: slope and offset.
SLOPE, OFFSET = 2.0, 13.0


class Acceptor:
    """One attention query and one logit for each phrase that it was trained on."""

    def __init__(self, path: Path, sha256: str) -> None:
        """Load the weights; AudioError where they are missing or not the ones expected."""
        try:
            data = path.read_bytes()
        except OSError as error:
            raise AudioError(
                f"{path}: the acceptor's weights can't be read ({error.strerror})", _INSTALL
            ) from error
        found = hashlib.sha256(data).hexdigest()
        if found != sha256:
            raise AudioError(
                f"{path}: not the acceptor's weights (sha256 {found[:12]}…, "
                f"expected {sha256[:12]}…)",
                _INSTALL,
            )
        with np.load(io.BytesIO(data), allow_pickle=False) as arrays:
            self._w = {
                name: arrays[name].astype(np.float32) for name in arrays.files if name != "phrases"
            }
            phrases = [str(phrase) for phrase in arrays["phrases"]]
        self._numbers = {phrase: number for number, phrase in enumerate(phrases)}

    @property
    def phrases(self) -> tuple[str, ...]:
        """What it knows."""
        return tuple(self._numbers)

    def logits(self, frames: Floats) -> Floats:
        """For encoder frames (150, 384), a logit for each of `phrases`."""
        w = self._w
        x = _normal(frames).reshape(len(frames) // STEP, -1) @ w["into"] + w["into_bias"]
        for block in range(BLOCKS):
            y = _normal(x) * w["scale"][block] + w["shift"][block]
            y = _along(y, w["along"][block]) + w["along_bias"][block]
            y = np.maximum(y @ w["wide"][block] + w["wide_bias"][block], 0.0)
            x = x + y @ w["narrow"][block] + w["narrow_bias"][block]
        x = _normal(x)
        weights = w["query"] @ (x @ w["key"]).T
        weights = np.exp(weights - weights.max(axis=1, keepdims=True))
        weights /= weights.sum(axis=1, keepdims=True)
        seen = weights @ (x @ w["value"])
        return np.asarray((seen * w["out"]).sum(axis=1) + w["out_bias"], np.float32)

    def scored(self, logits: Floats, phrases: Sequence[str]) -> tuple[Scored, ...]:
        """The phrases that it knows, with their logits, best first; none that is HOPELESS."""
        found = (
            Scored(phrase, float(logits[self._numbers[phrase]]))
            for phrase in phrases
            if phrase in self._numbers
        )
        return tuple(sorted((one for one in found if one.score >= HOPELESS), key=_downwards))

    def called(self, logits: Floats, phrases: Sequence[str]) -> list[str]:
        """Of phrases with a word before them that calls the coach, the few that may be said.

        Whether the coach was called, only the scorer can tell.
        """
        tails = {phrase: tail for phrase in phrases if (tail := _tail(phrase)) in self._numbers}
        found = [Scored(p, float(logits[self._numbers[tail]])) for p, tail in tails.items()]
        likely = sorted((one for one in found if one.score >= HOPELESS), key=_downwards)
        return [one.phrase for one in likely[:LIKELIEST]]

    def unknown(self, phrases: Sequence[str]) -> list[str]:
        """The phrases of which only the scorer can tell anything."""
        known = self._numbers
        return [phrase for phrase in phrases if phrase not in known and _tail(phrase) not in known]


def alone(probability: float) -> float:
    """The score of a phrase of which the scorer's log-probability is known."""
    return SLOPE * probability + OFFSET


def shipped() -> tuple[Acceptor | None, str]:
    """The acceptor that came with the program, or none and in a sentence why."""
    try:
        return Acceptor(WEIGHTS, SHA256), ""
    except AudioError as error:
        return None, f"{error.what}. {error.do}"


_INSTALL = "Install the program again; until then the scorer decides alone."


def _normal(x: Floats) -> Floats:
    """Mean 0 and variance 1 along the last axis."""
    centred = x - x.mean(axis=-1, keepdims=True)
    spread = np.sqrt((centred**2).mean(axis=-1, keepdims=True) + 1e-5)
    return np.asarray(centred / spread, np.float32)


def _tail(phrase: str) -> str:
    """What is said after the word that calls the coach; '' where nothing calls it."""
    return phrase.partition(", ")[2]


def _downwards(one: Scored) -> float:
    return -one.score


def _along(x: Floats, taps: Floats) -> Floats:
    """Each channel filtered along time: (n, channels) with (REACH, channels)."""
    padded = np.pad(x, ((REACH // 2, REACH // 2), (0, 0)))
    total = np.zeros_like(x)
    for tap in range(REACH):
        total += padded[tap : tap + len(x)] * taps[tap]
    return total
