"""Teaches a trained network further phrases: `python -m tests.bench.training.heads FOLDER`.

What it knows stays as it is, to the bit: each new phrase gets a query, an output and a bias of its
own on the frozen network, which begin as the sum of what its words add to phrases that hold them.
That takes minutes on two cores and needs no torch. FOLDER keeps the windows (`--part N` makes a
part, `--count` of them, of phrases that earlier parts say too seldom); `--out FILE` trains on all
parts and writes the network. A full training (`tests.bench.training`) hears new phrases better,
since there the rest learns them too.
"""

import argparse
import hashlib
import random
import time
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt

from coach.hearing.acceptor import SHIPPED, STRANGERS, STRANGERS_SHA256, Network
from coach.hearing.scorer import WhisperScorer
from tests.bench.hearing import material
from tests.bench.hearing.material import Floats, Voice
from tests.bench.training import windows
from tests.bench.training.windows import (
    AROUND,
    Dice,
    Line,
    Said,
    any_voice,
    phrases,
    same_answer,
    stranger,
)

Exact = npt.NDArray[np.float32]

#: Neural voices that say each new phrase, where there are any.
STRANGERS_EACH = 2

#: Windows of a phrase that are enough; with fewer than LEAST it is left to the scorer.
ENOUGH, LEAST = 12, 6

#: Of ten windows so many hold a new phrase, and so many one with more words around it or a piece.
SAID, NEARLY = 5, 2

STEPS, BATCH, RATE, DECAY = 500, 192, 0.008, 0.3

#: Answers that the scorer tells apart better, by their texts: so many of them end alike.
BY_TEXT = ("minutes:", "short-of-time:", "fewer:", "longer:")


def network() -> Network:
    """The one that learns further phrases."""
    return Network(STRANGERS, STRANGERS_SHA256)


@cache
def new() -> tuple[str, ...]:
    """Phrases of the pack and of those to come that no network knows."""
    known = {phrase for one in SHIPPED for phrase in Network(*one).phrases}
    return tuple(
        phrase
        for phrase, key in phrases().items()
        if phrase not in known and not key.startswith(BY_TEXT)
    )


@cache
def strangers(phrase: str) -> tuple[Voice, ...]:
    """The neural voices that say a new phrase: the same ones whatever else is new."""
    rng = random.Random(f"31 {phrase}")
    return tuple(stranger(rng) for _ in range(STRANGERS_EACH))


def seldom(folder: Path) -> tuple[str, ...]:
    """Of the new phrases those that the parts there are say too seldom; all where none is."""
    said = Counter[str]()
    for path in folder.glob("heads*.npz"):
        with np.load(path) as part:
            names, wanted = list(part["phrases"]), part["wanted"]
        said.update(names[number] for number in wanted[wanted >= 0])
    return tuple(phrase for phrase in new() if said[phrase] < ENOUGH) or new()


def spoken(rng: Dice, phrase: str, text: str = "") -> Floats:
    """A new phrase by a neural voice that is kept, or by any other."""
    if not text and material.has("neural") and rng.random() < 0.45:
        kept = [v for v in strangers(phrase) if material.kept_at(v, phrase).exists()]
        if kept:
            return material.say(rng.choice(kept), phrase)
    if not text and material.has("hibari") and rng.random() < 0.2:
        return material.say(Voice("hibari", "heart", rng.choice((85, 100, 115))), phrase)
    return material.say(any_voice(rng), text or phrase)


def one(rng: Dice, some: tuple[str, ...]) -> Said:
    """One of some new phrases, something near to one, or what trained the rest."""
    turn, phrase = rng.randrange(10), rng.choice(some)
    if turn < SAID:
        return Said(spoken(rng, phrase), phrase, same_answer(phrase))
    if turn < SAID + NEARLY:
        if rng.random() < 0.5:
            line = Line(rng.choice(AROUND).format(phrase), "", windows.within(phrase))
            return Said(windows.piece(rng, spoken(rng, phrase, line.text)), "", line.unclear)
        sound = spoken(rng, phrase)
        half = round(len(sound) * rng.uniform(0.3, 0.55))
        part = sound[:half] if rng.random() < 0.5 else sound[-half:]
        return Said(part, "", windows.within(phrase))
    kinds = [kind for kind, weight in windows.KINDS for _ in range(weight)]
    return rng.choice(kinds)(rng)


def make(folder: Path, part: int, count: int) -> None:
    """Write a part: the frozen network's last layer, what was said, what is unclear."""
    rng = Dice(9000 + part)
    scorer, body = WhisperScorer(), network()
    some = seldom(folder)
    names = {phrase: number for number, phrase in enumerate(new())}
    layers = np.zeros((count, 50, body.width), np.float16)
    wanted, unclear = np.full(count, -1, np.int16), np.zeros((count, len(names)), bool)
    began = time.monotonic()
    for at in range(count):
        if at % 2 == 0:
            said = one(rng, some)
        layers[at] = body.layer(scorer.encode(windows.window(rng, said)))
        wanted[at] = names.get(said.phrase, -1)
        unclear[at, [names[phrase] for phrase in said.unclear if phrase in names]] = True
        if at % 200 == 199 or at == count - 1:
            n = at + 1
            np.savez(
                folder / f"heads{part}.npz", layers=layers[:n], wanted=wanted[:n],
                unclear=unclear[:n], phrases=list(names),
            )  # fmt: skip
            print(f"part {part}: {n} of {count}, {time.monotonic() - began:.0f} s", flush=True)


def begun(
    known: Mapping[str, Exact], phrases_known: tuple[str, ...], learnt: tuple[str, ...]
) -> tuple[Exact, Exact]:
    """Queries and outputs of the new phrases as the sum of their words (ridge regression)."""
    words = sorted({word for phrase in (*phrases_known, *learnt) for word in phrase.split()})
    at = {word: number for number, word in enumerate(words)}

    def shares(some: tuple[str, ...]) -> Exact:
        made = np.zeros((len(some), len(words)), np.float32)
        for row, phrase in enumerate(some):
            for word in phrase.split():
                made[row, at[word]] = 1 / np.sqrt(len(phrase.split()))
        return made

    old, fresh = shares(phrases_known), shares(learnt)
    solved = np.linalg.solve(
        old.T @ old + 0.3 * np.eye(len(words), dtype=np.float32),
        old.T @ np.concatenate([known["query"], known["out"]], axis=1),
    )
    both = (fresh @ solved).astype(np.float32)
    width = known["query"].shape[1]
    return both[:, :width], both[:, width:]


@dataclass(frozen=True, slots=True)
class Bank:
    """All windows of the phrases that are said often enough."""

    phrases: tuple[str, ...]
    layers: Exact
    """The frozen network's last layer, (n, 50, width)."""
    target: Exact
    """Which phrase is said, (n, phrases), 0 or 1."""
    counts: Exact
    """Which phrases the window tells anything of, (n, phrases), 0 or 1."""


def bank(folder: Path) -> Bank:
    """All parts; one may have been made when fewer phrases were new: of the others it says none."""
    at = {phrase: number for number, phrase in enumerate(new())}
    layers, targets, counts = [], [], []
    for path in sorted(folder.glob("heads*.npz")):
        with np.load(path) as part:
            names, wanted, unclear = list(part["phrases"]), part["wanted"], part["unclear"]
            layers.append(part["layers"].astype(np.float32))
        target = np.zeros((len(wanted), len(at)), np.float32)
        counted = np.ones_like(target)
        for number, name in enumerate(names):
            if name in at:
                target[:, at[name]] = wanted == number
                counted[:, at[name]] = ~unclear[:, number]
        # what is no longer a phrase may be near to one that is
        gone = [number for number, name in enumerate(names) if name not in at]
        counted[np.isin(wanted, gone)] = 0.0
        targets.append(target)
        counts.append(counted)
    target = np.concatenate(targets)
    often = target.sum(axis=0) >= LEAST
    said = tuple(phrase for phrase, enough in zip(new(), often, strict=True) if enough)
    return Bank(said, np.concatenate(layers), target[:, often], np.concatenate(counts)[:, often])


def trained(made: Bank) -> dict[str, Exact]:
    """Query, output and bias of each new phrase, by Adam on the cross entropy of yes and no."""
    body = network()
    layers, target, counts = made.layers, made.target, made.counts
    keys, values = layers @ body.weights["key"], layers @ body.weights["value"]
    query, out = begun(body.weights, body.phrases, made.phrases)
    bias = np.full(len(made.phrases), -5.0, np.float32)
    weights = {"query": query, "out": out, "out_bias": bias}
    start = dict(weights)
    first = {name: np.zeros_like(w) for name, w in weights.items()}
    second = {name: np.zeros_like(w) for name, w in weights.items()}
    rng, aside = np.random.default_rng(5), np.arange(len(layers)) % 12 < 2
    learn = np.flatnonzero(~aside)
    for step in range(1, STEPS + 1):
        some = rng.choice(learn, BATCH, replace=False)
        loss, slopes = slope(weights, keys[some], values[some], target[some], counts[some])
        rate = RATE * min(1.0, step / 50) * (1 - step / (STEPS + 1))
        for name, w in list(weights.items()):
            g = slopes[name]
            first[name] = 0.9 * first[name] + 0.1 * g
            second[name] = 0.99 * second[name] + 0.01 * g * g
            up = first[name] / (1 - 0.9**step) / (np.sqrt(second[name] / (1 - 0.99**step)) + 1e-8)
            back = DECAY * (w - start[name])
            weights[name] = (w - rate * (up + back)).astype(np.float32)
        if step % 200 == 0:
            told = checked(weights, keys[aside], values[aside], target[aside], counts[aside])
            print(f"{step}: {loss:.3f}, aside {told}", flush=True)
    return weights


def forward(weights: Mapping[str, Exact], keys: Exact, values: Exact) -> tuple[Exact, Exact, Exact]:
    """Attention (n, phrases, 50), what is seen (n, phrases, width), logits (n, phrases)."""
    drawn = np.einsum("ntw,pw->npt", keys, weights["query"], optimize=True)
    drawn = np.exp(drawn - drawn.max(axis=2, keepdims=True))
    drawn /= drawn.sum(axis=2, keepdims=True)
    seen = drawn @ values
    return drawn, seen, (seen * weights["out"]).sum(axis=2) + weights["out_bias"]


def slope(
    weights: Mapping[str, Exact], keys: Exact, values: Exact, target: Exact, counts: Exact
) -> tuple[float, dict[str, Exact]]:
    """The loss of a batch and its gradient, by hand."""
    drawn, seen, logits = forward(weights, keys, values)
    chance = 1 / (1 + np.exp(-np.clip(logits, -30, 30)))
    wrong = (chance - target) * counts / len(keys)
    loss = -(np.log(np.where(target > 0, chance, 1 - chance) + 1e-9) * counts).sum() / len(keys)
    to_seen = wrong[:, :, None] * weights["out"]
    to_drawn = to_seen @ values.transpose(0, 2, 1)
    to_scores = drawn * (to_drawn - (drawn * to_drawn).sum(axis=2, keepdims=True))
    return float(loss), {
        "query": np.einsum("npt,ntw->pw", to_scores, keys, optimize=True),
        "out": np.einsum("np,npw->pw", wrong, seen, optimize=True),
        "out_bias": wrong.sum(axis=0),
    }


def checked(
    weights: Mapping[str, Exact], keys: Exact, values: Exact, target: Exact, counts: Exact
) -> str:
    """Of windows that trained nothing: phrases over 0, and windows of others with one over 0."""
    logits = forward(weights, keys, values)[2]
    said = target.sum(axis=1) > 0
    right = (logits[said] * target[said]).sum(axis=1)
    other = np.where(counts[~said] > 0, logits[~said], -99).max(axis=1)
    return (
        f"{(right > 0).mean():.2f} of {said.sum()} over 0, {(right > -4).mean():.2f} over -4; "
        f"of {(~said).sum()} that say none {(other > 0).sum()} and {(other > -4).sum()}"
    )


def write(out: Path, more: Mapping[str, Exact], learnt: tuple[str, ...]) -> None:
    """The network with the new phrases after its own."""
    with np.load(STRANGERS) as arrays:
        kept = {name: arrays[name] for name in arrays.files}
    for name, added in more.items():
        kept[name] = np.concatenate([kept[name], added.astype(np.float16)])
    kept["phrases"] = np.array([*kept["phrases"], *learnt])
    kept["later"] = np.array([*kept.get("later", ()), *learnt])
    np.savez(out, **kept)
    print(f"{out}: sha256 {hashlib.sha256(out.read_bytes()).hexdigest()}")


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--part", type=int)
    parser.add_argument("--count", type=int, default=2500)
    parser.add_argument("--say", action="store_true", help="have neural voices say them")
    parser.add_argument("--out", type=Path)
    options = parser.parse_args()
    options.folder.mkdir(parents=True, exist_ok=True)
    if options.say:
        some = seldom(options.folder)
        for turn in range(STRANGERS_EACH):
            for phrase in some:
                material.say(strangers(phrase)[turn], phrase)
    elif options.out is not None:
        made = bank(options.folder)
        print(f"{len(made.phrases)} of {len(new())} new phrases in {len(made.target)} windows")
        write(options.out, trained(made), made.phrases)
    else:
        make(options.folder, options.part or 0, options.count)


if __name__ == "__main__":
    main()
