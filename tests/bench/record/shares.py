"""One campaign, spread over processes: numbers in, counts out."""

import tempfile
from collections import Counter
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context
from pathlib import Path

Work = Callable[[Path, Sequence[int]], Counter[str]]
"""Does what has these numbers in a folder of its own; what came of it, by name."""

#: Shares for each process, so that none waits long for the last one.
EACH = 4


def spread(work: Work, number: int, processes: int) -> Counter[str]:
    """What came of 0 to `number` - 1; the same for any number of processes."""
    each = max(-(-number // (processes * EACH)), 1)
    shares = [range(first, min(first + each, number)) for first in range(0, number, each)]
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
    with tempfile.TemporaryDirectory() as folder:
        return work(Path(folder), numbers)
