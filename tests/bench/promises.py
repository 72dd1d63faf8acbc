"""Ten thousand random blocks of one to three people: rests, drills and changes keep their promises.

python -m tests.bench.promises [BLOCKS] [--first SEED] [--processes N]
"""

import argparse
import sys
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor

from tests.session import coached, promises

#: Blocks that a process is given at a time.
CHUNK = 50


def judged(first: int, blocks: int) -> tuple[Counter[str], list[str]]:
    """What so many blocks of each kind from a seed on came to, and what was broken in them."""
    counts, broken = Counter[str](), list[str]()
    for seed in range(first, first + blocks):
        for kind, one in (("rests", promises.block(seed, tries=5)), ("coach", coached.block(seed))):
            counts["blocks"] += 1
            counts["calls"] += one.calls
            broken += [f"{kind} {seed}: {what}" for what in one.broken]
            if isinstance(one, coached.Coached):
                counts["drills"] += one.drills
                counts["changes"] += one.changes
    return counts, broken


def main() -> None:
    """Print how many blocks, calls, drills and changes were judged, and what was broken."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("blocks", type=int, nargs="?", default=10_000, help="of each kind (10,000)")
    parser.add_argument("--first", type=int, default=0, help="first seed (0)")
    parser.add_argument("--processes", type=int, default=1, help="how many at once (1)")
    told = parser.parse_args()
    last = told.first + told.blocks
    parts = [(seed, min(CHUNK, last - seed)) for seed in range(told.first, last, CHUNK)]
    counts, broken, began = Counter[str](), list[str](), time.perf_counter()
    with ProcessPoolExecutor(told.processes) as pool:
        for done, (found, wrong) in enumerate(pool.map(judged, *zip(*parts, strict=True)), 1):
            counts += found
            broken += wrong
            for what in wrong:
                print(what, flush=True)
            if done % 10 == 0:
                print(f"{dict(counts)}, {len(broken)} broken", file=sys.stderr, flush=True)
    took = time.perf_counter() - began
    names = ", ".join(f"{count} {name}" for name, count in counts.items())
    print(f"{names}: {len(broken)} broken promises; {took:.0f} s")
    raise SystemExit(bool(broken))


if __name__ == "__main__":
    main()
