"""The recogniser's decoder once more, in numpy: how likely each of many texts is at most.

The library that runs the model reads what was heard anew for every text that it is asked about,
which is most of what that costs. Here it is read once, and all texts are gone through together. The
weights are the checked model's own, not rounded to 8 bits as in the library: both agree to within
`ROUNDING`, so that this one may tell which texts are not worth asking about, and no more.

Architecture: Radford et al., 'Robust Speech Recognition via Large-Scale Weak Supervision' (2022).
"""

import struct
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import BinaryIO

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float32]

#: How far the log-probability of a text may be from the library's, whose weights are rounded.
ROUNDING = 1.0

#: Tokens of each text that one pass looks at, before the unlikely ones are given up.
AT_ONCE = 2

#: Numbers of each head of attention.
HEAD = 64

#: A token is weighed against so many others, the commonest (its number tells how common it is),
#: instead of all 51,864: beside the others it could only be less likely.
COMMON = 4096

#: Columns that are multiplied at once: with few rows the library that multiplies then spares itself
#: a copy of the weights, which costs more than the multiplying.
COLUMNS = 64

#: The file's number for floats of 16 bits, and the part of it that is read.
_SHORT_FLOATS, _PART = 4, "decoder/"


class Decoder:
    """Tells which texts are likely."""

    def __init__(self, model: Path, prompt: Sequence[int]) -> None:
        """Read the decoder out of a model's file that was checked; `prompt` precedes each text."""
        self.weights, self.vectors = _read(model)
        self.common = _columns(self.vectors[:COMMON].astype(np.float32).T)
        self.positions = self.weights.pop("position_encodings/encodings").T
        self.layers = range(sum(name.endswith("/ffn/linear_0/bias") for name in self.weights))
        self._prompt = tuple(prompt)
        for name, weight in self.weights.items():
            if name.endswith("/weight") and not name.endswith("/attention/linear_1/weight"):
                self.weights[name] = _columns(weight)

    def likely(
        self, frames: Floats, texts: Sequence[Sequence[int]], least: Sequence[float]
    ) -> dict[int, float]:
        """Number of a text -> its log-probability, at most, given encoder frames (150, width).

        Those that come to less than their `least` are left out. One that is left alone may not have
        been gone through to its end.
        """
        places = _Places(self._prompt, texts)
        reading = _Pass(self, frames, places)
        left = dict.fromkeys(range(len(texts)), 0.0)
        new, judged = set(places.prompt), 0
        while going := places.longer(left, judged):
            if judged and len(left) == 1:
                break
            new.update(*(places.paths[one][judged : judged + AT_ONCE] for one in going))
            reading.go_on(sorted(new))
            for number in range(judged, judged + AT_ONCE):
                going = places.longer(left, number)
                chances = reading.chances([places.paths[one][number : number + 2] for one in going])
                for one, chance in zip(going, chances, strict=True):
                    left[one] += chance
                    if left[one] < least[one]:
                        del left[one]
            new, judged = set(), judged + AT_ONCE
        return left


class _Places:
    """The tokens of many texts behind one prompt; texts that begin alike share theirs."""

    def __init__(self, prompt: Sequence[int], texts: Sequence[Sequence[int]]) -> None:
        self.tokens: list[int] = []
        self.back: list[tuple[int, ...]] = []
        """What each place looks back at, from the first place to itself."""
        self._known: dict[tuple[int, int], int] = {}
        self.prompt = self._path(-1, prompt)
        last = self.prompt[-1]
        self.paths = [[last, *self._path(last, text)] for text in texts]
        """For each text the last place of the prompt and its own."""

    def _path(self, place: int, tokens: Sequence[int]) -> list[int]:
        path = []
        for token in tokens:
            earlier = self.back[place] if place >= 0 else ()
            place = self._known.setdefault((place, token), len(self.tokens))
            if place == len(self.tokens):
                self.tokens.append(token)
                self.back.append((*earlier, place))
            path.append(place)
        return path

    def longer(self, texts: Iterable[int], tokens: int) -> list[int]:
        """Those of these texts that have more tokens than so many."""
        return [one for one in texts if len(self.paths[one]) - 1 > tokens]


class _Pass:
    """What the decoder makes of one sound and the texts so far."""

    def __init__(self, decoder: Decoder, frames: Floats, places: _Places) -> None:
        self._decoder, self._places = decoder, places
        self._heard = []
        for layer in decoder.layers:
            both = self._linear(frames, f"layer_{layer}/attention/linear_1")
            keys, values = both.reshape(len(frames), 2, -1, HEAD).transpose(1, 2, 0, 3)
            self._heard.append((keys.transpose(0, 2, 1), values))
        width = frames.shape[1]
        self._own = [np.zeros((2, len(places.tokens), width), np.float32) for _ in decoder.layers]
        self._states = np.zeros((len(places.tokens), width), np.float32)
        self._whole = np.zeros(len(places.tokens), np.float32)

    def go_on(self, new: Sequence[int]) -> None:
        """Go on to new places; whatever they look back at is new too, or was before."""
        back = [self._places.back[place] for place in new]
        seen = sorted(set().union(*back))
        hidden = np.array([[place not in one for place in seen] for one in back])
        tokens = self._vectors([self._places.tokens[place] for place in new])
        x = tokens + self._decoder.positions[[len(one) - 1 for one in back]]
        for layer in self._decoder.layers:
            own, cross, wide = (
                f"layer_{layer}/{part}" for part in ("self_attention", "attention", "ffn")
            )
            asked = self._linear(self._normal(x, own), f"{own}/linear_0")
            asked, *kept = np.split(asked, 3, axis=1)
            self._own[layer][:, new] = kept
            keys, values = (_heads(one[seen]) for one in self._own[layer])
            looked = _attend(_heads(asked), keys.transpose(0, 2, 1), values, hidden)
            x = x + self._linear(looked, f"{own}/linear_1")
            asked = self._linear(self._normal(x, cross), f"{cross}/linear_0")
            looked = _attend(_heads(asked), *self._heard[layer])
            x = x + self._linear(looked, f"{cross}/linear_2")
            y = _bent(self._linear(self._normal(x, wide), f"{wide}/linear_0"))
            x = x + self._linear(y, f"{wide}/linear_1")
        states = self._normal(x, "")
        common = _times(states, self._decoder.common)
        most = common.max(axis=1, keepdims=True)
        self._states[new] = states
        self._whole[new] = most[:, 0] + np.log(np.exp(common - most).sum(axis=1))

    def chances(self, pairs: Sequence[Sequence[int]]) -> list[float]:
        """The log-probability, at most, of each pair's second token after the first's place."""
        first, second = np.array(pairs, np.intp).reshape(-1, 2).T
        vectors = self._vectors([self._places.tokens[place] for place in second])
        logits = np.einsum("ij,ij->i", self._states[first], vectors)
        return [float(one) for one in np.minimum(logits - self._whole[first], 0.0)]

    def _vectors(self, tokens: Sequence[int]) -> Floats:
        return np.asarray(self._decoder.vectors[tokens], np.float32)

    def _linear(self, x: Floats, name: str) -> Floats:
        weights = self._decoder.weights
        return _times(x, weights[f"{name}/weight"]) + weights[f"{name}/bias"]

    def _normal(self, x: Floats, name: str) -> Floats:
        weights, name = self._decoder.weights, f"{name}/layer_norm".removeprefix("/")
        centred = x - x.mean(axis=-1, keepdims=True)
        spread = np.sqrt((centred**2).mean(axis=-1, keepdims=True) + 1e-5)
        return np.asarray(centred / spread * weights[f"{name}/gamma"] + weights[f"{name}/beta"])


def _columns(weight: Floats) -> Floats:
    """(n, m) -> (m / COLUMNS, n, COLUMNS)."""
    return np.ascontiguousarray(weight.reshape(len(weight), -1, COLUMNS).transpose(1, 0, 2))


def _times(x: Floats, weight: Floats) -> Floats:
    """(k, n) by (n, m), or by its columns -> (k, m)."""
    product = x @ weight
    if product.ndim > x.ndim:
        product = product.transpose(1, 0, 2).reshape(len(x), -1)
    return np.asarray(product)


def _heads(x: Floats) -> Floats:
    """(n, width) -> (heads, n, HEAD)."""
    return x.reshape(len(x), -1, HEAD).transpose(1, 0, 2)


def _attend(
    asked: Floats, keys: Floats, values: Floats, hidden: npt.NDArray[np.bool] | None = None
) -> Floats:
    """(heads, n, HEAD), (heads, HEAD, m), (heads, m, HEAD) and (n, m) -> (n, width)."""
    weights = asked @ keys * np.float32(HEAD**-0.5)
    if hidden is not None:
        weights = np.where(hidden, np.float32(-np.inf), weights)
    weights = np.exp(weights - weights.max(axis=-1, keepdims=True))
    looked = weights / weights.sum(axis=-1, keepdims=True) @ values
    return np.asarray(looked.transpose(1, 0, 2).reshape(asked.shape[1], -1))


def _bent(x: Floats) -> Floats:
    """GELU (Hendrycks and Gimpel, 2016) by its usual tanh, off by less than 0.001."""
    return np.asarray(0.5 * x * (1.0 + np.tanh(0.79788456 * (x + 0.044715 * x * x * x))))


def _read(model: Path) -> tuple[dict[str, Floats], npt.NDArray[np.float16]]:
    """The decoder's weights by name, each transposed, and the tokens' vectors, left in the file."""
    weights: dict[str, Floats] = {}
    vectors: npt.NDArray[np.float16] = np.zeros((0, 0), np.float16)
    with model.open("rb") as file:
        _number(file, "I"), _text(file), _number(file, "I")
        for _ in range(_number(file, "I")):
            name = _text(file)
            shape = tuple(_number(file, "I") for _ in range(_number(file, "B")))
            kind, size, begin = _number(file, "B"), _number(file, "I"), file.tell()
            if kind == _SHORT_FLOATS and name.startswith(_PART):
                name = name.removeprefix(_PART)
                if name == "embeddings/weight":
                    vectors = np.asarray(np.memmap(model, np.float16, "r", begin, shape))
                else:
                    read = np.frombuffer(file.read(size), np.float16).reshape(shape)
                    weights[name] = np.ascontiguousarray(read.astype(np.float32).T)
            file.seek(begin + size)
    return weights, vectors


def _number(file: BinaryIO, form: str) -> int:
    (number,) = struct.unpack(f"<{form}", file.read(struct.calcsize(f"<{form}")))
    return int(number)


def _text(file: BinaryIO) -> str:
    return file.read(_number(file, "H")).rstrip(b"\0").decode()
