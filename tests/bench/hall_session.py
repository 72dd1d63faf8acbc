"""A real session in a simulated hall, long: `python -m tests.bench.hall_session [--minutes 15]`.

Prints, for each seed and for a quiet room, what was acted on, asked back, missed, wrong and obeyed
though nobody said it, and how much faster than real time it ran.
"""

import argparse
import tempfile
from collections import Counter
from pathlib import Path

from coach.hearing.recognisers import load
from tests.hearing.hall_session import SEEDS, Outcome, simulate


def row(name: str, outcome: Outcome) -> str:
    """One line of the table."""
    counts = Counter(one.outcome for one in outcome.first)
    cells = [f"{counts[kind]:>6}" for kind in ("acted", "asked", "missed", "wrong")]
    factor = outcome.seconds / outcome.took
    return (
        f"{name:<10} {outcome.seconds / 60:>6.1f} {len(outcome.first):>8} {' '.join(cells)} "
        f"{len(outcome.unmended):>8} {len(outcome.strays):>6} {factor:>7.1f}"
    )


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=float, default=15.0, help="of each of five seeds (15)")
    parser.add_argument("--seeds", type=int, nargs="*", default=list(SEEDS))
    told = parser.parse_args()
    recogniser = load("whisper")
    print("room       minutes answers  acted  asked missed  wrong unmended strays  factor")
    with tempfile.TemporaryDirectory() as folder:
        for seed in told.seeds:
            outcome = simulate(recogniser, told.minutes * 60.0, seed, Path(folder))
            print(row(f"hall {seed}", outcome), flush=True)
        quiet = simulate(recogniser, 600.0, SEEDS[0], Path(folder), noisy=False)
        print(row("quiet", quiet), flush=True)


if __name__ == "__main__":
    main()
