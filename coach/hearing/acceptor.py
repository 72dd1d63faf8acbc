"""Tells which phrases were said: small networks on the encoder's frames.

They were trained on phrases, on their near misses and on talk, and say of each phrase that they
know whether that is what was said; the mean of those that know it counts.
The scorer only says which text fits best, also where somebody said none of them: where the networks
leave a doubt it weighs the likeliest, and it alone is asked of phrases that no network knows, and
whether the coach was called.
What it says is brought to the scale of the logits, so that one table of bands serves both.

The weights are made by `tests/bench/training`; `docs/hearing.md` tells what each part adds.
"""

import hashlib
import io
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
import numpy.typing as npt

from coach.errors import AudioError
from coach.hearing.recogniser_port import Scored

Floats = npt.NDArray[np.float32]

WEIGHTS = Path(__file__).with_name("acceptor.npz")
SHA256 = "1c0ae9f39317145b0634eb9244415e059bc40cc3ca2404404b890b7d02a6048c"

#: Trained on the same windows, from different chance.
STRANGERS = Path(__file__).with_name("strangers.npz")
STRANGERS_SHA256 = "f87bae3ac39a89d7c139c406e4b350923e833880bc6a9cddabefde692bf0762d"

SHIPPED = ((WEIGHTS, SHA256), (STRANGERS, STRANGERS_SHA256))

#: Frames that make one step, blocks of the network, and steps that a block looks at.
STEP = 3
BLOCKS = 3
REACH = 5

#: A phrase under this logit was not said.
HOPELESS = -6.0

#: How much the scorer's log-probability counts beside a logit, and from where on it counts.
WEIGHT, FLOOR = 0.4, -12.0

#: So many of the likeliest phrases the scorer weighs, unless the best has this logit and is so far
#: from the next that it could change nothing.
WEIGHED, CLEAR, APART = 4, 4.5, 5.0

#: After the word that calls the coach, so many phrases are worth the scorer's exact score.
LIKELIEST = 3

#: What the scorer's log-probability is on the scale of the logits: slope and offset.
SLOPE, OFFSET = 2.0, 13.0

#: Under this no score changes anything, by the bands: it is ignored, and too far behind to count as
#: the next one. What the word that calls takes from a score is given back before it is judged.
IGNORED, ADDRESS = -5.0, 5.0


class Network:
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
            self.weights = {
                name: arrays[name].astype(np.float32)
                for name in arrays.files
                if name not in ("phrases", "later")
            }
            self.phrases = tuple(str(phrase) for phrase in arrays["phrases"])
            #: Those that were taught after the rest had been: few windows, by fewer voices.
            self.later = tuple(map(str, arrays["later"])) if "later" in arrays.files else ()

    @property
    def width(self) -> int:
        """Numbers of each step of the last layer."""
        return len(self.weights["key"])

    def layer(self, frames: Floats) -> Floats:
        """The last layer (50, width) of encoder frames (150, 384), which every phrase looks at."""
        w = self.weights
        x = _normal(frames).reshape(len(frames) // STEP, -1) @ w["into"] + w["into_bias"]
        for block in range(BLOCKS):
            y = _normal(x) * w["scale"][block] + w["shift"][block]
            y = _along(y, w["along"][block]) + w["along_bias"][block]
            y = np.maximum(y @ w["wide"][block] + w["wide_bias"][block], 0.0)
            x = x + y @ w["narrow"][block] + w["narrow_bias"][block]
        return _normal(x)

    def logits(self, frames: Floats) -> Floats:
        """For encoder frames (150, 384), a logit for each of `phrases`."""
        w, x = self.weights, self.layer(frames)
        weights = w["query"] @ (x @ w["key"]).T
        weights = np.exp(weights - weights.max(axis=1, keepdims=True))
        weights /= weights.sum(axis=1, keepdims=True)
        seen = weights @ (x @ w["value"])
        return np.asarray((seen * w["out"]).sum(axis=1) + w["out_bias"], np.float32)


class Acceptor:
    """Networks that were trained apart: the mean of those that know a phrase."""

    def __init__(self, networks: Sequence[Network]) -> None:
        self._networks = tuple(networks)
        every = dict.fromkeys(phrase for one in networks for phrase in one.phrases)
        self._numbers = {phrase: number for number, phrase in enumerate(every)}
        self._places = [[self._numbers[phrase] for phrase in one.phrases] for one in networks]
        self._later = frozenset(phrase for one in networks for phrase in one.later)
        self._knowing = np.zeros(len(every), np.float32)
        for places in self._places:
            self._knowing[places] += 1.0

    @property
    def phrases(self) -> tuple[str, ...]:
        """What some network knows."""
        return tuple(self._numbers)

    def logits(self, frames: Floats) -> Floats:
        """For encoder frames (150, 384), a logit for each of `phrases`."""
        total = np.zeros(len(self._numbers), np.float32)
        for network, places in zip(self._networks, self._places, strict=True):
            total[places] += network.logits(frames)
        return total / self._knowing

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

    def later(self, phrases: Sequence[str]) -> list[str]:
        """Those that it was taught after the rest: in doubt the scorer may know them as well."""
        return [phrase for phrase in phrases if phrase in self._later]


def either(scored: Sequence[Scored], told: Sequence[Scored]) -> tuple[Scored, ...]:
    """Two lists as one, best first: a phrase of both counts by the better of its scores."""
    best: dict[str, float] = {}
    for one in (*scored, *told):
        best[one.phrase] = max(one.score, best.get(one.phrase, -np.inf))
    found = (Scored(phrase, score) for phrase, score in best.items())
    return tuple(sorted(found, key=_downwards))


def doubtful(scored: Sequence[Scored]) -> list[str]:
    """The phrases, best first, whose texts the scorer has to weigh; none where all is clear."""
    if not scored:
        return []
    best = scored[0].score
    others = [one.score for one in scored[1:2]]
    if best >= CLEAR and all(best - other >= APART for other in others):
        return []
    return [one.phrase for one in scored[:WEIGHED]]


def weighed(scored: Sequence[Scored], exact: Mapping[str, float]) -> tuple[Scored, ...]:
    """The phrases with the scorer's log-probability of their texts in the sum, best first.

    It adds WEIGHT of what it is over the middle between FLOOR and 0; a text that was not looked
    at, or is less likely than FLOOR, counts as FLOOR.
    """
    if not exact:
        return tuple(scored)
    found = (
        Scored(
            one.phrase,
            one.score + WEIGHT * (max(exact.get(one.phrase, FLOOR), FLOOR) - FLOOR / 2),
        )
        for one in scored
    )
    return tuple(sorted(found, key=_downwards))


def alone(probability: float) -> float:
    """The score of a phrase of which the scorer's log-probability is known."""
    return SLOPE * probability + OFFSET


def ignored_text(*, addressed: bool) -> float:
    """The log-probability under which a text that the scorer alone tells of is IGNORED."""
    return (IGNORED - (ADDRESS if addressed else 0.0) - OFFSET) / SLOPE


def shipped() -> tuple[Acceptor | None, str]:
    """The acceptor that came with the program, or none and in a sentence why."""
    try:
        return Acceptor([Network(path, sha256) for path, sha256 in SHIPPED]), ""
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
