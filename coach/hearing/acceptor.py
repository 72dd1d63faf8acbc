"""A second opinion on the scorer's phrases: a small network on the same encoder frames.

It knows the phrases that it was trained on and says of each whether it is what was said; the
scorer only says which phrase fits best, also where somebody said none of them. The score of a
phrase is the sum of both, of which the scorer's part can take so much and no more: in noise it
holds nothing for likely. A phrase that it does not know has the scorer's part alone, brought to
the same scale, so that one table of bands serves both.

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

#: The scorer's log-probability counts for no less than this.
FLOOR = -8.0

#: Of the phrases that it knows, so many are worth the scorer's exact score, if their logit is not
#: under HOPELESS and not so far BEHIND the best that nothing the scorer says brings them near it.
LIKELIEST = 3
HOPELESS = -6.0
BEHIND = 11.0

#: What the scorer's log-probability alone is on the scale of the sum: slope and offset.
SLOPE, OFFSET = 2.0, 9.0


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

    def likeliest(self, logits: Floats, phrases: Sequence[str]) -> tuple[list[str], list[str]]:
        """The few of the phrases that may have been said, and those that it doesn't know.

        In noise a phrase that was said is among its first few more often than among the ten
        that the scorer would have picked by their first token, and much talk is out at once.
        """
        logit = {
            phrase: float(logits[number])
            for phrase in phrases
            if (number := self._number(phrase)) is not None
        }
        likely = sorted(logit, key=lambda phrase: -logit[phrase])[:LIKELIEST]
        least = max(HOPELESS, logit[likely[0]] - BEHIND) if likely else HOPELESS
        may = [phrase for phrase in likely if logit[phrase] >= least]
        return may, [phrase for phrase in phrases if phrase not in logit]

    def weigh(self, logits: Floats, scored: Sequence[Scored]) -> tuple[Scored, ...]:
        """The scorer's log-probabilities of phrases -> their scores, best first."""
        weighed = (Scored(one.phrase, self.score(logits, one.phrase, one.score)) for one in scored)
        return tuple(sorted(weighed, key=lambda one: -one.score))

    def score(self, logits: Floats, phrase: str, probability: float) -> float:
        """The score of one phrase with the scorer's log-probability.

        Whether the coach was called before it, only the scorer can tell.
        """
        number = self._numbers.get(phrase)
        if number is None:
            return alone(probability)
        return max(probability, FLOOR) + float(logits[number])

    def _number(self, phrase: str) -> int | None:
        """Of a phrase that it knows, also after the word that calls the coach."""
        return self._numbers.get(phrase.rpartition(", ")[2])


def alone(probability: float) -> float:
    """The score of a phrase of which only the scorer's log-probability is known."""
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


def _along(x: Floats, taps: Floats) -> Floats:
    """Each channel filtered along time: (n, channels) with (REACH, channels)."""
    padded = np.pad(x, ((REACH // 2, REACH // 2), (0, 0)))
    total = np.zeros_like(x)
    for tap in range(REACH):
        total += padded[tap : tap + len(x)] * taps[tap]
    return total
