"""How long planning takes, and how exact it is: `python -m tests.bench.planning` prints both.

Goal: planning again after an answer takes less than 5 ms in 99 of 100 cases in a session of 40
blocks; 100 and 1,000 show how it grows. A part that is sore costs most, since it asks again what
everybody may do; a cap lays out again only the blocks that it changes. As in a session, the
collector of garbage is kept from what was loaded before: routine and plan are frozen for each. What
is measured is the processor's time; the load of the machine is printed beside the figures.
"""

import gc
import os
import platform
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import partial
from random import Random
from statistics import median
from typing import TypeVar

from coach.model.answers import parse
from coach.model.day import Day, Library
from coach.model.plan import Step
from coach.planning import adapt, make_plan, open_day
from coach.planning.contents import of_routine
from coach.planning.schedule import merged
from tests.planning.budgets import ALONE, routine_of
from tests.planning.test_schedule import INSTANCES, by_milp, placed, routine, soonest

#: Blocks -> sessions an answer.
AGAIN = {40: 500, 100: 100, 1000: 10}
ANSWERS = ("feel:fingers:sore", "feel:back:stiff", "short-of-time", "longer", "skip", "easier")
SIZES = (10, 20, 40, 100, 200, 500, 1000)
#: Minutes of a session by blocks, so that about half of what is offered fits.
MINUTES = 7


T = TypeVar("T")


def kept(run: Callable[[], T]) -> tuple[float, T]:
    """Milliseconds of one run, and what it gave."""
    began = time.thread_time()
    found = run()
    return (time.thread_time() - began) * 1000, found


def timed(run: Callable[[], object]) -> float:
    """Milliseconds of one run."""
    return kept(run)[0]


def again(day: Day, steps: tuple[Step, ...], key: str, library: Library) -> Callable[[], object]:
    return lambda: adapt(day, steps, 0.0, 1, parse(key), "", library)


def replanned(dice: Random, blocks: int, key: str) -> float:
    """Milliseconds of planning one random session of so many blocks again after an answer."""
    library = routine_of(dice, blocks)
    day = replace(open_day(ALONE, 300, library), ends_at=blocks * MINUTES * 60.0)
    steps = make_plan(day, 0.0, library).steps
    gc.freeze()
    return timed(again(day, steps, key, library))


def replan(blocks: int, repeats: int) -> None:
    """Planning again after each kind of answer, all of it still ahead."""
    print(f"planning again, {blocks} blocks, {repeats} sessions an answer [ms]")
    print(f"{'answer':20s} {'p50':>7s} {'p99':>7s} {'max':>7s}")
    every = []
    gc.collect()
    for key in ANSWERS:
        spent = [replanned(Random(f"{key}-{number}"), blocks, key) for number in range(repeats)]
        every += spent
        row(key, spent)
    row("all", every)
    gc.unfreeze()
    print("load of the machine:", *(f"{one:.1f}" for one in os.getloadavg()))


def row(name: str, spent: list[float]) -> None:
    ordered = sorted(spent)
    at = ordered[int(len(ordered) * 0.99)]
    print(f"{name:20s} {median(ordered):7.2f} {at:7.2f} {ordered[-1]:7.2f}")


def growth() -> None:
    """Making a plan against the number of blocks."""
    print("\na plan against blocks, 20 routines a size [ms]")
    print(f"{'blocks':>6s} {'offers':>7s} {'p50':>8s} {'max':>8s}")
    for blocks in SIZES:
        spent, offered = [], []
        for number in range(20):
            library = routine_of(Random(f"growth-{number}"), blocks)
            day = open_day(ALONE, 300, library)
            day = replace(day, ends_at=max(blocks * MINUTES * 60.0, day.ends_at))
            offered.append(len(of_routine(day, library)))
            spent.append(timed(partial(make_plan, day, 0.0, library)))
        print(f"{blocks:6d} {median(offered):7.0f} {median(spent):8.2f} {max(spent):8.2f}")


@contextmanager
def quiet() -> Iterator[None]:
    """Keep off the terminal what the solver prints past Python."""
    sys.stdout.flush()
    terminal, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    try:
        yield
    finally:
        os.dup2(terminal, 1)
        os.close(terminal)
        os.close(nowhere)


def exact() -> None:
    """The order of mat and board beside the same problem as a mixed-integer programme."""
    dice = Random("schedules")
    ours, theirs = [], []
    equal = 0
    for _ in range(INSTANCES):
        one, other, then = routine(dice, 4)
        spent, order = kept(partial(merged, one, other, then))
        ours.append(spent)
        with quiet():
            spent, best = kept(partial(by_milp, one, other, then))
        theirs.append(spent)
        equal += abs(soonest(placed(one, other, order), then) - best) < 0.01
    print(f"the order of mat and board against HiGHS: {equal} of {INSTANCES} equal")
    print(f"median: ours {median(ours):.2f} ms, HiGHS {median(theirs):.2f} ms\n")


if __name__ == "__main__":
    print(f"{platform.python_implementation()} {platform.python_version()} {platform.machine()}")
    exact()
    for blocks, repeats in AGAIN.items():
        replan(blocks, repeats)
    growth()
