"""Spiteful days on which something hurts: `python -m tests.bench.hurting COUNT [FIRST]`.

Prints what is wrong with each, by its seed, and how many there were; `tests/days/hurting.py` has
the people and the judge.
"""

import sys

from tests.days.hurting import live


def main(count: int = 1000, first: int = 0) -> int:
    """Run them; how many have something wrong."""
    wrong = 0
    for seed in range(first, first + count):
        found = live(seed)
        wrong += bool(found)
        if found:
            print(f"seed {seed}: {found[0]} (and {len(found) - 1} more)")
    print(f"{count} days, {wrong} with something wrong")
    return wrong


if __name__ == "__main__":
    sys.exit(bool(main(*map(int, sys.argv[1:3]))))
