"""The same work on many shares, on every core at once, and never in a session's way.

Owns how its processes behave: they step aside for anything else that runs, and leave an
interruption to the one that started them.
"""

import os
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import BrokenExecutor, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context
from typing import TypeVar

from coach.errors import CoachError

Share = TypeVar("Share")
Done = TypeVar("Done")

#: By how much they are nicer than the process that started them: sound and hearing come first.
NICE = 10
#: Shares that make a process worth its start.
LEAST = 2


@contextmanager
def side_by_side(
    work: Callable[[Share], Done], shares: Sequence[Share], processes: int
) -> Iterator[Iterator[Done]]:
    """What the work made of each share, in order; other things may be done before they are read.

    In this process alone where no more are allowed or the shares are too few to be worth starting
    others; else `work` and what it takes and gives are pickled. CoachError where a process ends
    before its work does.
    """
    number = min(processes, len(shares) // LEAST)
    if number < 2:
        yield map(work, shares)
        return
    pool = ProcessPoolExecutor(number, get_context("spawn"), _step_aside)
    try:
        yield pool.map(work, shares)
    except BrokenExecutor as error:
        raise CoachError(
            "a process that helped was ended from outside", "Try again; is there enough memory?"
        ) from error
    finally:
        pool.shutdown(cancel_futures=True)


def _step_aside() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(os, "nice"):
        os.nice(NICE)
