"""A leader's lines in a hall, by two voices: `python -m tests.bench.group_hall [MINUTES]`.

Twelve minutes, or so many twelves of them, the lines said again and again, to one end.
"""

import sys
import tempfile
from pathlib import Path

from coach.hearing.recognisers import load
from tests.hearing.group_hall import LINES, simulate


def main(minutes: float) -> None:
    """Print what was heard."""
    rounds = range(int(minutes // 12) or 1)
    *again, end = LINES
    lines = [(at + 720.0 * n, key) for n in rounds for at, key in again]
    lines.append((end[0] + 720.0 * rounds[-1], end[1]))
    with tempfile.TemporaryDirectory() as cues:
        for seed in (1, 2):
            done = simulate(load("whisper"), minutes * 60.0, seed, Path(cues), lines)
            first = done.first
            at_once = sum(line.outcome == "acted" for line in first)
            heard = done.heard
            later = len(heard) - at_once
            missed = [one.key for one in first if one not in heard]
            wrong = sum(line.outcome == "wrong" for line in done.spoken)
            late = max(at - say.at for say, at in done.cues)
            print(
                f"voice {seed}: {len(first)} lines, {at_once} at once, {later} said again, "
                f"missed {', '.join(missed) or 'none'}, {wrong} wrong, "
                f"{len(done.strays)} heard that nobody said; "
                f"{len(done.cues)} cues, the latest {late * 1000:.0f} ms late"
            )


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 12.0)
