"""Whole days by seed: `python -m tests.bench.days [COUNT] [--first N] [--kind KIND]`.

With `--faults` a hundredth of all events is lost, as many come late, as many twice; with `--device`
the real stage and mixer play on a simulated one.
Prints, for each judge, how many days it found fault with, and the first of them with their seeds.
"""

import argparse
from collections import Counter, defaultdict
from multiprocessing import Pool
from time import perf_counter

from tests.days.judges import JUDGES
from tests.days.living import KINDS, live


def judge(job: tuple[int, str, bool, bool]) -> tuple[int, str, dict[str, list[str]], float]:
    """The faults of one day by judge, and how long it lasted in minutes."""
    seed, kind, faults, device = job
    day = live(seed, kind, faults=faults, device=device)
    found = {name: faults_of(day) for name, faults_of in JUDGES.items()}
    return seed, kind, {name: told for name, told in found.items() if told}, day.hall.now() / 60.0


def main() -> None:
    """Run them and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("count", nargs="?", type=int, default=300)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--kind", default="")
    parser.add_argument("--faults", action="store_true")
    parser.add_argument("--device", action="store_true")
    parser.add_argument("--processes", type=int, default=None)
    parser.add_argument("--show", type=int, default=3)
    told = parser.parse_args()
    seeds = range(told.first, told.first + told.count)
    how = (told.faults, told.device)
    jobs = [(seed, told.kind or KINDS[seed % len(KINDS)], *how) for seed in seeds]
    began = perf_counter()
    wrong: Counter[str] = Counter()
    examples: dict[str, list[str]] = defaultdict(list)
    with Pool(told.processes) as pool:
        for seed, kind, found, _ in pool.imap_unordered(judge, jobs, chunksize=4):
            for name, told_of in found.items():
                wrong[name] += 1
                examples[name].append(f"seed {seed} ({kind}): {told_of[0]}")
    print(f"{told.count} days in {perf_counter() - began:.0f} s")
    for name in JUDGES:
        print(f"{name:10} {wrong[name]:6}")
        for line in sorted(examples[name])[: told.show]:
            print(f"    {line}")


if __name__ == "__main__":
    main()
