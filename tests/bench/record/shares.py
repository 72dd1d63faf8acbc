"""One campaign, spread over processes: numbers in, counts out."""

import tempfile
from collections import Counter
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import cache, lru_cache, partial
from multiprocessing import get_context
from pathlib import Path

from coach.journal import codec

#: Texts of events and facts whose values are kept.
KEPT = 100_000


@cache
def texts_once() -> None:
    """Make each stored text into its value once: a campaign reads the same ones again and again.

    The value depends on nothing else, and nothing changes it.
    """
    codec._validated = lru_cache(KEPT)(codec._validated)


Work = Callable[[Path, Sequence[int]], Counter[str]]
"""Does what has these numbers in a folder of its own; what came of it, by name."""

#: Shares for each process, so that none waits long for the last one.
EACH = 4


def spread(work: Work, number: int, processes: int, first: int = 0) -> Counter[str]:
    """What came of so many from the first on; the same for any number of processes."""
    each = max(-(-number // (processes * EACH)), 1)
    last = first + number
    shares = [range(n, min(n + each, last)) for n in range(first, last, each)]
    found: Counter[str] = Counter()
    if processes < 2:
        for share in shares:
            found += _share(work, share)
        return found
    with ProcessPoolExecutor(processes, get_context("spawn")) as pool:
        for counts in pool.map(partial(_share, work), shares):
            found += counts
    return found


def _share(work: Work, numbers: Sequence[int]) -> Counter[str]:
    texts_once()
    with tempfile.TemporaryDirectory() as folder:
        return work(Path(folder), numbers)
