"""How long a rota takes to compute, and how near its bound it is: `python -m tests.bench group`."""

import statistics
import time

from coach.planning.rota import rota
from tests.group.groups import random_group

GROUPS = 100


def main() -> None:
    """Print both."""
    print("people  CPU seconds, median of 5  length / bound")
    for count in (10, 30, 100, 200):
        times, ratios = [], []
        for seed in range(5):
            turns, stations = random_group(seed, count)
            began = time.process_time()
            made = rota(turns, stations)
            times.append(time.process_time() - began)
            ratios.append(made.seconds / made.bound)
        print(f"{count:6}  {statistics.median(times):24.3f}  {statistics.median(ratios):.3f}")
    ratios = []
    for seed in range(GROUPS):
        turns, stations = random_group(seed)
        made = rota(turns, stations)
        ratios.append(made.seconds / made.bound)
    print(f"{GROUPS} groups: median {statistics.median(ratios):.3f}, worst {max(ratios):.3f}")


if __name__ == "__main__":
    main()
