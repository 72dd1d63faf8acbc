"""Hard tries of two people in hall noise, long: `python -m tests.bench.tries_in_a_hall`.

Each seed has voices of its own; the ear is open all the while. Prints for each what was said, acted
on or asked back at once, missed, wrong, and obeyed though nobody said it; how late 'down' is
answered; and how much faster than real time it ran. With --gated the ear is closed while only the
hall speaks, as in the tests.
"""

import argparse
import tempfile
from collections import Counter
from pathlib import Path

from coach.hearing.recognisers import load
from coach.model.facts import Tried
from coach.session.events import Answered
from tests.hearing.tries_session import VOICES, Block, block


def row(seed: int, one: Block) -> str:
    """One line of the table."""
    first = [said for said in one.script.said if not said.again]
    counts = Counter(said.outcome for said in first)
    cells = " ".join(f"{counts[kind]:>6}" for kind in ("acted", "asked", "missed", "wrong"))
    ends = [s.ends for s in one.script.said if s.key == "down" and s.outcome != "missed"]
    at = [e.at for e in one.events if isinstance(e, Answered) and e.answer.key == "down"]
    late = max((down - end for end, down in zip(ends, at, strict=False)), default=0.0)
    tries = sum(isinstance(fact, Tried) for fact in one.facts)
    return (
        f"{seed:>4} {one.seconds / 60:>7.1f} {tries:>5} {len(first):>7} {cells} "
        f"{len(one.script.strays):>6} {1000 * late:>8.0f} {one.seconds / one.took:>6.1f}"
    )


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=4, help="tries of each of the two (4)")
    parser.add_argument("--seeds", type=int, nargs="*", default=list(range(len(VOICES))))
    parser.add_argument("--gated", action="store_true", help="a closed ear between answers")
    told = parser.parse_args()
    recogniser = load("whisper")
    print("seed minutes tries answers  acted  asked missed  wrong strays late, ms factor")
    for seed in told.seeds:
        with tempfile.TemporaryDirectory() as folder:
            one = block(recogniser, told.rounds, seed, Path(folder), gated=told.gated)
            print(row(seed, one), flush=True)


if __name__ == "__main__":
    main()
