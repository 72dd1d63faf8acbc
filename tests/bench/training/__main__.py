"""Trains the acceptor: `python -m tests.bench.training FOLDER --out coach/hearing/acceptor.npz`.

FOLDER holds parts that `tests.bench.training.windows` wrote. Needs torch (and uses a GPU where
there is one), which running the program does not. Prints the weights' sha256, which belongs into
`coach/hearing/acceptor.py`.

Frames are normalised and reduced to the directions in which they vary most; three blocks of a
filter along time and two products; one attention query and one logit for each phrase. A phrase's
query and its output begin as the sum of its words', which phrases share.
"""

import argparse
import hashlib
import math
import time
from pathlib import Path
from typing import Any

import numpy as np
import torch
from torch import nn

from coach.hearing.acceptor import BLOCKS, REACH, STEP, Network

#: Directions of the frames that are kept, and width of the network.
KEPT = 160
WIDTH = 224


class Net(nn.Module):  # type: ignore[misc]
    """The acceptor on reduced frames (n, 150, KEPT)."""

    def __init__(self, phrases: list[str]) -> None:
        super().__init__()
        self.into = nn.Linear(STEP * KEPT, WIDTH)
        self.norms = nn.ModuleList(nn.LayerNorm(WIDTH) for _ in range(BLOCKS))
        self.along = nn.Parameter(torch.randn(BLOCKS, REACH, WIDTH) / math.sqrt(REACH))
        self.along_bias = nn.Parameter(torch.zeros(BLOCKS, WIDTH))
        self.wide = nn.ModuleList(nn.Linear(WIDTH, WIDTH) for _ in range(BLOCKS))
        self.narrow = nn.ModuleList(nn.Linear(WIDTH, WIDTH) for _ in range(BLOCKS))
        self.drop = nn.Dropout(0.05)
        self.last = nn.LayerNorm(WIDTH, elementwise_affine=False)
        self.key = nn.Linear(WIDTH, WIDTH, bias=False)
        self.value = nn.Linear(WIDTH, WIDTH, bias=False)
        words = sorted({word for phrase in phrases for word in phrase.split()})
        share = torch.zeros(len(phrases), len(words))
        for row, phrase in enumerate(phrases):
            for word in phrase.split():
                share[row, words.index(word)] = 1.0 / math.sqrt(len(phrase.split()))
        self.register_buffer("share", share)
        self.word_query = nn.Parameter(torch.randn(len(words), WIDTH) / math.sqrt(WIDTH))
        self.word_out = nn.Parameter(torch.randn(len(words), WIDTH) / math.sqrt(WIDTH))
        self.own_query = nn.Parameter(torch.zeros(len(phrases), WIDTH))
        self.own_out = nn.Parameter(torch.zeros(len(phrases), WIDTH))
        self.bias = nn.Parameter(torch.full((len(phrases),), -4.0))

    @property
    def query(self) -> torch.Tensor:
        """One query for each phrase."""
        return self.share @ self.word_query + self.own_query

    @property
    def out(self) -> torch.Tensor:
        """One output for each phrase."""
        return self.share @ self.word_out + self.own_out

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """Logits (n, phrases)."""
        x = self.into(x.reshape(len(x), x.shape[1] // STEP, -1))
        for norm, taps, bias, wide, narrow in zip(
            self.norms, self.along, self.along_bias, self.wide, self.narrow, strict=True
        ):
            padded = nn.functional.pad(norm(x), (0, 0, REACH // 2, REACH // 2))
            y = bias + sum(padded[:, i : i + x.shape[1]] * taps[i] for i in range(REACH))
            x = x + self.drop(narrow(torch.relu(wide(y))))
        x = self.last(x)
        weights = torch.softmax(self.query @ self.key(x).transpose(1, 2), dim=-1)
        seen = weights @ self.value(x)
        return (self.drop(seen) * self.out).sum(-1) + self.bias


def normal(frames: np.ndarray) -> np.ndarray:
    """As the acceptor normalises a frame."""
    x = frames.astype(np.float32)
    x -= x.mean(axis=-1, keepdims=True)
    x /= np.sqrt((x**2).mean(axis=-1, keepdims=True) + 1e-5)
    return x


def directions(frames: np.ndarray) -> np.ndarray:
    """(384, KEPT): where normalised frames vary most, scaled to a spread of one."""
    x = normal(frames[:: max(1, len(frames) // 600)]).reshape(-1, frames.shape[-1])
    values, vectors = np.linalg.eigh(np.cov(x.T))
    order = np.argsort(-values)[:KEPT]
    return np.asarray(vectors[:, order] / np.sqrt(values[order] + 0.02), np.float32)


def load(folder: Path) -> tuple[list[np.ndarray], np.ndarray, np.ndarray, list[str]]:
    """Frames of each part, and what was said: index of the phrase or -1, unclear phrases.

    The last part says which phrases are taught.
    """
    paths = sorted(folder.glob("labels*.npz"), key=lambda path: int(path.stem[6:]))
    with np.load(paths[-1]) as labels:
        phrases = [str(phrase) for phrase in labels["phrases"]]
    frames, wanted, unclear = [], [], []
    for path in paths:
        with np.load(path) as labels:
            names = [str(phrase) for phrase in labels["phrases"]]
            place = [phrases.index(name) if name in phrases else -1 for name in names]
            said = labels["wanted"]
            wanted.append(np.where(said < 0, -1, np.array(place)[said]))
            unclear.append(labels["unclear"][:, [names.index(phrase) for phrase in phrases]])
        name = path.stem.replace("labels", "frames")
        frames.append(np.load(folder / f"{name}.npy", mmap_mode="r")[: len(said)])
    return frames, np.concatenate(wanted), np.concatenate(unclear), phrases


def reduced(frames: list[np.ndarray], kept: np.ndarray, device: torch.device) -> torch.Tensor:
    """All frames on the directions kept, (n, 150, KEPT) in half precision."""
    onto = torch.from_numpy(kept).to(device)
    made = []
    for part in frames:
        for i in range(0, len(part), 256):
            x = torch.from_numpy(np.array(part[i : i + 256])).to(device).float()
            x = nn.functional.layer_norm(x, x.shape[-1:])
            made.append((x @ onto).half())
    return torch.cat(made)


def answers_of(
    wanted: np.ndarray, unclear: np.ndarray, device: torch.device
) -> tuple[torch.Tensor, torch.Tensor, torch.Tensor]:
    """The phrase said or -1, each phrase's yes or no, and whether it counts."""
    said = torch.from_numpy(wanted.astype(np.int64)).to(device)
    target = torch.zeros(unclear.shape, device=device)
    target[said >= 0, said[said >= 0]] = 1.0
    return said, target, torch.from_numpy(~unclear).float().to(device)


def train(options: argparse.Namespace) -> None:
    """Load, reduce, train, write."""
    torch.manual_seed(options.seed)
    torch.set_num_threads(options.threads)
    torch.set_float32_matmul_precision("high")
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    frames, wanted, unclear, phrases = load(options.folder)
    kept = directions(np.concatenate([part[:: max(1, len(part) // 200)] for part in frames]))
    x = reduced(frames, kept, device)
    said, target, counts = answers_of(wanted, unclear, device)
    aside = torch.arange(len(x), device=device) % 25 == 0
    held, learn = torch.where(aside)[0], torch.where(~aside)[0]
    net = Net(phrases).to(device)
    size = sum(p.numel() for p in net.parameters())
    print(f"{len(x)} windows, {len(phrases)} phrases, {size} parameters", flush=True)
    steps = options.epochs * (len(learn) // options.batch)
    best = torch.optim.AdamW(net.parameters(), lr=options.rate, weight_decay=0.1)
    plan = torch.optim.lr_scheduler.OneCycleLR(best, options.rate, total_steps=steps, pct_start=0.1)
    began = time.monotonic()
    for epoch in range(options.epochs):
        order = learn[torch.randperm(len(learn), device=device)]
        total = torch.zeros((), device=device)
        for i in range(0, len(order) - options.batch + 1, options.batch):
            some = order[i : i + options.batch]
            loss = loss_of(net(disturbed(x[some].float())), target[some], counts[some])
            best.zero_grad()
            loss.backward()
            nn.utils.clip_grad_norm_(net.parameters(), 1.0)
            best.step()
            plan.step()
            total += loss.detach()
        net.eval()
        with torch.no_grad():
            told = f"aside {checked(net, x[held], said[held], target[held], counts[held])}"
        net.train()
        print(
            f"{epoch + 1}: {float(total) * options.batch / len(order):.3f}, {told}, "
            f"{time.monotonic() - began:.0f} s",
            flush=True,
        )
    net.eval()
    write(options.out, net.cpu(), kept, phrases)
    if options.check is not None:
        net.to(device)
        frames, wanted, unclear, same = load(options.check)
        assert same == phrases
        with torch.no_grad():
            found = checked(
                net, reduced(frames, kept, device), *answers_of(wanted, unclear, device)
            )
        print(f"other voices, {len(wanted)} windows: {found}")


def disturbed(batch: torch.Tensor) -> torch.Tensor:
    """Frames with noise, moved in time, half of them with a gap, without some directions."""
    batch += 0.3 * torch.randn_like(batch)
    batch = torch.roll(batch, STEP * int(torch.randint(-4, 5, ())), 1)
    gap = int(torch.randint(0, 90, ()))
    batch[: len(batch) // 2, gap : gap + 9] = 0.0
    batch[:, :, torch.rand(KEPT, device=batch.device) < 0.1] = 0.0
    return batch


def checked(
    net: Net, x: torch.Tensor, said: torch.Tensor, target: torch.Tensor, counts: torch.Tensor
) -> str:
    """Loss; how often the phrase said is first or among the first six of all; what passes for one.

    The last two: phrases above the logit that one in twenty windows of no answer reaches, and
    above that which one in a hundred reaches, any phrase counting.
    """
    logits = torch.cat([net(x[i : i + 512].float()) for i in range(0, len(x), 512)])
    right = said >= 0
    of = logits[right].gather(1, said[right][:, None])
    place = (logits[right] > of).sum(1)
    false = torch.where(counts[~right] > 0, logits[~right], -99.0).amax(1)
    passed = [float((of > false.quantile(1 - part)).float().mean()) for part in (0.05, 0.01)]
    return (
        f"{float(loss_of(logits, target, counts)):.3f}, first "
        f"{float((place < 1).float().mean()):.3f}, of six {float((place < 6).float().mean()):.3f}, "
        f"at 1 in 20 {passed[0]:.3f}, at 1 in 100 {passed[1]:.3f}"
    )


def loss_of(logits: torch.Tensor, target: torch.Tensor, counts: torch.Tensor) -> torch.Tensor:
    """Cross entropy of each phrase's yes and no, without those that are unclear."""
    each = nn.functional.binary_cross_entropy_with_logits(logits, target, reduction="none")
    return (each * counts).sum() / len(logits)


def write(path: Path, net: Net, kept: np.ndarray, phrases: list[str]) -> None:
    """The weights, with the reduction of the frames folded into the first product."""

    def array(tensor: torch.Tensor) -> np.ndarray:
        return np.asarray(tensor.detach().numpy(), np.float32)

    def stack(layers: nn.ModuleList, name: str, turn: bool = False) -> np.ndarray:
        found = [array(getattr(layer, name)) for layer in layers]
        return np.stack([one.T if turn else one for one in found])

    into = array(net.into.weight).T.reshape(STEP, KEPT, WIDTH)
    arrays = {
        "into": np.concatenate([kept @ part for part in into]),
        "into_bias": array(net.into.bias),
        "scale": stack(net.norms, "weight"),
        "shift": stack(net.norms, "bias"),
        "along": array(net.along),
        "along_bias": array(net.along_bias),
        "wide": stack(net.wide, "weight", turn=True),
        "wide_bias": stack(net.wide, "bias"),
        "narrow": stack(net.narrow, "weight", turn=True),
        "narrow_bias": stack(net.narrow, "bias"),
        "key": array(net.key.weight).T,
        "value": array(net.value.weight).T,
        "query": array(net.query),
        "out": array(net.out),
        "out_bias": array(net.bias),
    }
    halves: dict[str, Any] = {name: some.astype(np.float16) for name, some in arrays.items()}
    np.savez(path, phrases=np.array(phrases), **halves)
    data = path.read_bytes()
    digest = hashlib.sha256(data).hexdigest()
    print(f"{path}: {len(data)} bytes, sha256 {digest}")
    frames = np.random.default_rng(1).standard_normal((150, 384)).astype(np.float32)
    with torch.no_grad():
        ours = net(torch.from_numpy(normal(frames)[None] @ kept))[0].numpy()
    apart = float(np.abs(Network(path, digest).logits(frames) - ours).max())
    print(f"in numpy as in torch within {apart:.3f}")
    assert apart < 0.2


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--check", type=Path, help="parts by voices that train nothing")
    parser.add_argument("--epochs", type=int, default=30)
    parser.add_argument("--batch", type=int, default=256)
    parser.add_argument("--rate", type=float, default=3e-3)
    parser.add_argument("--seed", type=int, default=3)
    parser.add_argument("--threads", type=int, default=1)
    train(parser.parse_args())


if __name__ == "__main__":
    main()
