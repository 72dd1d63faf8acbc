"""Keeps of a trained network the phrases that no earlier one knows.

`python -m tests.bench.training.further WEIGHTS --out coach/hearing/further.npz`: what the earlier
networks know they go on deciding as they did, so that no phrase of theirs gets worse. In doubt the
scorer goes on telling of the others as well, and the better of the two counts.
"""

import argparse
import hashlib
from pathlib import Path

import numpy as np

from coach.hearing.acceptor import FURTHER, SHIPPED, Network

#: Arrays with a row for each phrase.
BY_PHRASE = ("phrases", "query", "out", "out_bias")


def kept(weights: Path, out: Path) -> tuple[str, ...]:
    """Write the network with those phrases alone; which they are."""
    earlier = {
        phrase for path, sha in SHIPPED if path != FURTHER for phrase in Network(path, sha).phrases
    }
    with np.load(weights) as arrays:
        made = {name: arrays[name] for name in arrays.files}
    new = np.array([phrase not in earlier for phrase in made["phrases"]])
    made = {name: some[new] if name in BY_PHRASE else some for name, some in made.items()}
    np.savez(out, **made, later=made["phrases"])
    return tuple(map(str, made["phrases"]))


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("weights", type=Path)
    parser.add_argument("--out", type=Path, required=True)
    options = parser.parse_args()
    phrases = kept(options.weights, options.out)
    data = options.out.read_bytes()
    print(f"{len(phrases)} phrases, {len(data)} bytes, sha256 {hashlib.sha256(data).hexdigest()}")


if __name__ == "__main__":
    main()
